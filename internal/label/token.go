package label

import (
	"encoding/binary"
	"strings"

	"coldbatch/internal/fault"
)

// Token identifies one bag for ever and lets whoever has it read that bag: only the label
// shows it, and nobody can guess it.
type Token [8]byte

// MakeToken derives a bag's token from the secret of its batch and the bag's
// id, so that any phone of the batch can print the label again. It is the first
// 64 bits of HMAC-SHA-256 (RFC 2104; FIPS 198-1).
func MakeToken(secret, bag []byte) Token {
	sum := hmacSHA256(secret, bag)
	return Token(sum[:len(Token{})])
}

// MarshalText writes the token as 13 characters in the alphabet of the code.
func (t Token) MarshalText() ([]byte, error) {
	var b bitString
	b.put(binary.BigEndian.Uint64(t[:]), 64)
	b.put(0, 1)
	return []byte(b.text()), nil
}

// UnmarshalText reads what MarshalText writes, in either case. It returns code Input for
// anything else.
func (t *Token) UnmarshalText(text []byte) error {
	s := string(text)
	if len(s) == 13 && isBase32(s) {
		r := reader{unread: bitsFromText(s)}
		v := r.takeBits(64)
		if !r.readFlag() {
			binary.BigEndian.PutUint64(t[:], v)
			return nil
		}
	}
	return fault.New(fault.Input, "a bag's token is 13 letters and digits as this program shows it, not %.40q", s)
}

// idSize is the characters of an id: eight of 40 bits and the check.
const idSize = 9

// ID is what a person types when the camera cannot read the code: the first 40 bits of the
// token's SHA-256 in the alphabet of the code and a check character, grouped as in
// "K7M2-Q9X4-F". It finds a known bag and does not reveal the token.
func (t Token) ID() string {
	sum := sha256(t[:])
	var b bitString
	for _, v := range sum[:5] {
		b.put(uint64(v), 8)
	}
	s := b.text()
	return groupDigits(s + string(base32Alphabet[checkCharacterValue(s)]))
}

func groupDigits(s string) string { return s[:4] + "-" + s[4:8] + "-" + s[8:] }

// checkCharacterValue returns the value of the check character of eight digits: the Reed–Solomon
// sum over GF(32), x⁵ + x² + 1, so any one wrong character and any two that
// changed places are found (Reed and Solomon 1960). Crockford's own check,
// modulo 37, finds as much but needs five signs that no base32 key has.
func checkCharacterValue(s string) byte {
	var sum byte
	for i := range len(s) {
		sum = multiplyByX(sum ^ byte(digitValue(s[i])))
	}
	return sum
}

// multiplyByX multiplies by x in GF(32).
func multiplyByX(v byte) byte {
	v <<= 1
	if v&32 != 0 {
		v ^= 0b100101
	}
	return v
}

// ParseID reads an id as a person types it, in either case, with O for 0, with I or L for
// 1, with any spaces, hyphens and dots between, and returns it as ID writes it. It returns
// code Input for a wrong length, another character or a failing check.
func ParseID(s string) (string, error) {
	var id []byte
	for _, c := range s {
		if strings.ContainsRune(" \t\u00a0\u202f-‐‑–—−._/", c) {
			continue
		}
		d := -1
		if c < 128 {
			d = digitValue(byte(c))
		}
		if d < 0 {
			return "", idFault(s, "the id of a bag never has %q", c)
		}
		if len(id) == idSize {
			return "", idFault(s, "the id of a bag has %d letters and digits, this has more", idSize)
		}
		id = append(id, base32Alphabet[d])
	}
	if len(id) < idSize {
		return "", idFault(s, "the id of a bag has %d letters and digits, this has %d", idSize, len(id))
	}
	if t := string(id); base32Alphabet[checkCharacterValue(t[:8])] != t[8] {
		return "", idFault(s, "the id %s has one wrong letter or digit, or two that are swapped", groupDigits(t))
	}
	return groupDigits(string(id)), nil
}

func idFault(typed, format string, args ...any) error {
	return fault.New(fault.Input, format, args...).At("id", typed).
		WithHint("an id looks like K7M2-Q9X4-F and is printed under the code")
}
