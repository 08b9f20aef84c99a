package label

import (
	"encoding/binary"
	"strings"

	"coldbatch/internal/fault"
)

// Token names one bag for ever and lets who holds it read that bag: it is on
// the label alone and cannot be guessed.
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
	var b bits
	b.put(binary.BigEndian.Uint64(t[:]), 64)
	b.put(0, 1)
	return []byte(b.text()), nil
}

// UnmarshalText reads what MarshalText writes, in either case. Anything else
// gives code Input.
func (t *Token) UnmarshalText(text []byte) error {
	s := string(text)
	if len(s) == 13 && isBase32(s) {
		r := reader{left: fromText(s)}
		v := r.take(64)
		if !r.flag() {
			binary.BigEndian.PutUint64(t[:], v)
			return nil
		}
	}
	return fault.New(fault.Input, "a bag's token is 13 letters and digits as this program writes them, not %.40q", s)
}

// idSize is the characters of an id: eight of 40 bits and the check.
const idSize = 9

// ID is what a person types where no camera helps: the first 40 bits of the
// token's SHA-256 in the alphabet of the code and a check character, grouped as
// in "K7M2-Q9X4-F". It finds a bag that is known and does not give the token
// away.
func (t Token) ID() string {
	sum := sha256(t[:])
	var b bits
	for _, v := range sum[:5] {
		b.put(uint64(v), 8)
	}
	s := b.text()
	return group(s + string(alphabet[check(s)]))
}

func group(s string) string { return s[:4] + "-" + s[4:8] + "-" + s[8:] }

// check gives the value of the check character of eight digits: the Reed–Solomon
// sum over GF(32), x⁵ + x² + 1, so any one wrong character and any two that
// changed places are found (Reed and Solomon 1960). Crockford's own check,
// modulo 37, finds as much but needs five signs that no base32 key has.
func check(s string) byte {
	var sum byte
	for i := range len(s) {
		sum = double(sum ^ byte(digit(s[i])))
	}
	return sum
}

// double multiplies by x in GF(32).
func double(v byte) byte {
	v <<= 1
	if v&32 != 0 {
		v ^= 0b100101
	}
	return v
}

// ParseID reads an id as a person types it, in either case, with O for 0, with
// I or L for 1, with any spaces, hyphens and stops between, and gives it as ID
// writes it. A wrong length, a foreign character or a check that fails gives
// code Input.
func ParseID(s string) (string, error) {
	var id []byte
	for _, c := range s {
		if strings.ContainsRune(" \t\u00a0\u202f-‐‑–—−._/", c) {
			continue
		}
		d := -1
		if c < 128 {
			d = digit(byte(c))
		}
		if d < 0 {
			return "", badID(s, "%q does not occur in the id of a bag", c)
		}
		if len(id) == idSize {
			return "", badID(s, "the id of a bag has %d letters and digits, this has more", idSize)
		}
		id = append(id, alphabet[d])
	}
	if len(id) < idSize {
		return "", badID(s, "the id of a bag has %d letters and digits, this has %d", idSize, len(id))
	}
	if t := string(id); alphabet[check(t[:8])] != t[8] {
		return "", badID(s, "one letter or digit of the id %s is wrong or two changed places", group(t))
	}
	return group(string(id)), nil
}

func badID(typed, format string, args ...any) error {
	return fault.New(fault.Input, format, args...).At("id", typed).
		WithHint("an id looks like K7M2-Q9X4-F and is printed under the code")
}
