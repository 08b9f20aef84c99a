package label

import (
	"encoding/hex"
	"strings"
	"testing"

	"coldbatch/internal/fault"
	"pgregory.net/rapid"
)

// RFC 4231 gives HMAC-SHA-256 of known keys and data; a token is its first 64
// bits.
func TestMakeTokenFirstBitsOfRFC4231(t *testing.T) {
	for _, row := range []struct{ why, key, data, want string }{
		{"section 4.2: a key shorter than the block", strings.Repeat("\x0b", 20), "Hi There", "b0344c61d8db3853"},
		{"section 4.3: a key shorter than the output", "Jefe", "what do ya want for nothing?", "5bdcc146bf60754e"},
		{"section 4.7: a key longer than the block", strings.Repeat("\xaa", 131), "Test Using Larger Than Block-Size Key - Hash Key First", "60e431591ee0b67f"},
	} {
		tok := MakeToken([]byte(row.key), []byte(row.data))
		if got := hex.EncodeToString(tok[:]); got != row.want {
			t.Errorf("%s: %s, want %s", row.why, got, row.want)
		}
	}
}

// The 64-bit message of the NIST CAVP file SHA256ShortMsg.rsp (from memory) has
// the digest 963bb88f27f512777aab6c8b1a02c70e…: its first 40 bits are the id.
func TestIDIsTheStartOfASHA256(t *testing.T) {
	tok := Token{0x57, 0x38, 0xc9, 0x29, 0xc4, 0xf4, 0xcc, 0xb6}
	var b bitString
	for _, v := range []byte{0x96, 0x3b, 0xb8, 0x8f, 0x27} {
		b.put(uint64(v), 8)
	}
	id := tok.ID()
	if want := b.text(); strings.ReplaceAll(id, "-", "")[:8] != want || want != "JRXVH3S7" {
		t.Errorf("id %s, want the digits %s", id, want)
	}
	if len(id) != 11 || id[4] != '-' || id[9] != '-' {
		t.Errorf("id %q is not grouped 4-4-1", id)
	}
}

// x⁵ + x² + 1 is primitive: doubling walks through all 31 elements, which is
// what makes every place's weight its own.
func TestDoubleWalksTheWholeField(t *testing.T) {
	seen := map[byte]bool{}
	v := byte(1)
	for range 31 {
		seen[v] = true
		v = multiplyByX(v)
	}
	if v != 1 || len(seen) != 31 || seen[0] {
		t.Errorf("doubling walks through %d elements and ends at %d", len(seen), v)
	}
}

func TestOneWrongCharacterOrTwoSwappedAreFound(t *testing.T) {
	for n := range 40 {
		id := MakeToken([]byte{1}, []byte{byte(n)}).ID()
		plain := []byte(strings.ReplaceAll(id, "-", ""))
		for i := range plain {
			for _, c := range []byte(base32Alphabet) {
				bad := append([]byte(nil), plain...)
				bad[i] = c
				if _, err := ParseID(string(bad)); (err == nil) != (c == plain[i]) {
					t.Fatalf("%s with %c at %d: %v", id, c, i, err)
				}
			}
			for j := range i {
				bad := append([]byte(nil), plain...)
				bad[i], bad[j] = bad[j], bad[i]
				if _, err := ParseID(string(bad)); (err == nil) != (plain[i] == plain[j]) {
					t.Fatalf("%s with %d and %d swapped: %v", id, i, j, err)
				}
			}
		}
	}
}

func TestParseID(t *testing.T) {
	for _, row := range []struct{ why, in, want string }{
		{"as it is printed", "K7M2-Q9X4-F", "K7M2-Q9X4-F"},
		{"no separators, lower case", "k7m2q9x4f", "K7M2-Q9X4-F"},
		{"spaces of all kinds, as a phone keyboard makes them", " k7m2 q9x4\u00a0f\u202f", "K7M2-Q9X4-F"},
		{"dashes that a keyboard puts for hyphens", "K7M2–Q9X4—F", "K7M2-Q9X4-F"},
		{"letters O, I and L read as digits", "oil0-0000-" + string(base32Alphabet[checkCharacterValue("01100000")]), "0110-0000-" + string(base32Alphabet[checkCharacterValue("01100000")])},
	} {
		got, err := ParseID(row.in)
		if err != nil || got != row.want {
			t.Errorf("%s: ParseID(%q) = %q, %v; want %q", row.why, row.in, got, err, row.want)
		}
	}
	for _, row := range []struct{ why, in string }{
		{"nothing", ""},
		{"separators alone", " - - "},
		{"one short", "K7M2-Q9X4"},
		{"one too many", "K7M2-Q9X4-F0"},
		{"U is not in the alphabet", "K7M2-Q9X4-U"},
		{"a letter outside ASCII that folds into it", "ſ7M2-Q9X4-F"},
		{"the check is wrong", "K7M2-Q9X4-G"},
		{"a bag number", "12"},
	} {
		got, err := ParseID(row.in)
		if !fault.Is(err, fault.Input) || got != "" {
			t.Errorf("%s: ParseID(%q) = %q, %v; want a refusal", row.why, row.in, got, err)
			continue
		}
		if f := fault.AsFault(err); f.Typed != row.in || f.Input != "id" || f.Hint == "" {
			t.Errorf("%s: the fault does not say what was typed: %+v", row.why, f)
		}
	}
}

func TestTokenText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tok := drawToken(t)
		text, _ := tok.MarshalText()
		var back Token
		if err := back.UnmarshalText([]byte(strings.ToLower(string(text)))); err != nil || back != tok {
			t.Fatalf("%v as %s comes back as %v, %v", tok, text, back, err)
		}
	})
	for why, in := range map[string]string{
		"empty":                       "",
		"one short":                   "000000000000",
		"one too many":                "00000000000000",
		"a sign outside the alphabet": "000000000000U",
		"the 65th bit set":            "0000000000001",
	} {
		tok := Token{1}
		if err := tok.UnmarshalText([]byte(in)); !fault.Is(err, fault.Input) || tok != (Token{1}) {
			t.Errorf("%s: %v, %v", why, tok, err)
		}
	}
}

func FuzzParseID(f *testing.F) {
	f.Add("K7M2-Q9X4-F")
	f.Add("k7m2 q9x4 f")
	f.Add("oooo oooo o")
	f.Fuzz(func(t *testing.T, s string) {
		id, err := ParseID(s)
		if err != nil {
			return
		}
		if again, err := ParseID(id); err != nil || again != id {
			t.Errorf("%q reads as %q, which reads as %q, %v", s, id, again, err)
		}
	})
}

func drawToken(t *rapid.T) Token {
	return Token(rapid.SliceOfN(rapid.Byte(), 8, 8).Draw(t, "token"))
}
