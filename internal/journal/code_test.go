package journal

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/fault"
)

func TestReadCode(t *testing.T) {
	const want = "K7M2Q9X4TTRW9ABC"
	for _, c := range []struct{ why, typed, want string }{
		{"as it is shown", "K7M2-Q9X4-TTRW-9ABC", want},
		{"as the address has it", "K7M2Q9X4TTRW9ABC", want},
		{"in small letters", "k7m2-q9x4-ttrw-9abc", want},
		{"with spaces, as a phone's keyboard puts them in", " k7m2 q9x4  ttrw 9abc ", want},
		{"with the dashes and spaces of a text that was passed on", "K7M2–Q9X4—TTRW\u00a09ABC", want},
		{"O for 0, I and L for 1, as Crockford's base32 reads them", "ooooiiiillllOIL0", "0000111111110110"},
		{"U does not occur in it", "U7M2-Q9X4-TTRW-9ABC", ""},
		{"too short", "K7M2-Q9X4-TTRW-9AB", ""},
		{"too long", "K7M2-Q9X4-TTRW-9ABCD", ""},
		{"nothing", "", ""},
		{"the digits of the short code", "1234 5678", ""},
		{"a letter that looks like one", "К7M2-Q9X4-TTRW-9ABC", ""}, // a Cyrillic К
		{"a full-width one", "Ｋ7M2-Q9X4-TTRW-9ABC", ""},
	} {
		got, err := ParseCode(c.typed)
		if got != c.want || (err == nil) != (c.want != "") || err != nil && (!fault.Is(err, fault.Input) || fault.AsFault(err).Hint == "") {
			t.Errorf("%s: %q %v", c.why, got, err)
		}
	}
}

func TestReadDigits(t *testing.T) {
	for _, c := range []struct {
		why, typed, want string
		ok               bool
	}{
		{"as it is shown", "1234 5678", "12345678", true},
		{"in one", "00000001", "00000001", true},
		{"with hyphens and more spaces", " 12-34 56–78 ", "12345678", true},
		{"too few", "1234 567", "", false},
		{"too many", "1234 56789", "", false},
		{"nothing", "", "", false},
		{"a long code", "K7M2-Q9X4-TTRW-9ABC", "", false},
		{"digits of another script", "١٢٣٤٥٦٧٨", "", false},
	} {
		if got, ok := ParseDigits(c.typed); ok != c.ok || ok && got != c.want {
			t.Errorf("%s: %q %v", c.why, got, ok)
		}
	}
}

// Any 80 bits are a code that reads back, and different ones are different codes.
func TestNewCode(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		draw := func(name string) [10]byte { return [10]byte(rapid.SliceOfN(rapid.Byte(), 10, 10).Draw(r, name)) }
		one, two := draw("one"), draw("two")
		shown := NewCode(one)
		canonical, err := ParseCode(shown)
		if err != nil || len(shown) != 19 || strings.ReplaceAll(shown, "-", "") != canonical || FormatCode(canonical) != shown {
			r.Fatalf("%q reads as %q, %v", shown, canonical, err)
		}
		if (one == two) != (shown == NewCode(two)) {
			r.Fatalf("%x and %x are both %q", one, two, shown)
		}
	})
}

// Read, written and read again a code stays the same.
func FuzzCode(f *testing.F) {
	for _, s := range []string{"K7M2-Q9X4-TTRW-9ABC", "ooooiiiillllOIL0", "1234 5678", "12345678 12345678", "", "\xff", "ß", "ı", "K7M2\u2011Q9X4\u202fTTRW.9/AB_C"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		canonical, err := ParseCode(typed)
		if err != nil {
			if !fault.Is(err, fault.Input) || canonical != "" {
				t.Fatalf("%q gives %q and %v", typed, canonical, err)
			}
		} else if again, err := ParseCode(FormatCode(canonical)); err != nil || again != canonical || len(canonical) != 16 {
			t.Fatalf("%q is %q, which reads as %q %v", typed, canonical, again, err)
		}
		if digits, ok := ParseDigits(typed); ok {
			if again, ok := ParseDigits(digits[:4] + " " + digits[4:]); !ok || again != digits || err == nil {
				t.Fatalf("%q is %q, which reads as %q; as a code: %v", typed, digits, again, err)
			}
		}
	})
}
