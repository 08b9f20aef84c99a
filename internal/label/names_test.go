package label

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/skip2/go-qrcode"
	"pgregory.net/rapid"
)

const host = "coldbatch.local:8443"

func labelWithNames(names ...string) Label {
	l := sampleBagLabel()
	l.Colours = nil
	for i, n := range names {
		l.Colours = append(l.Colours, Colour{CapLetters: string(rune('A' + i)), RGB: [3]uint8{17, 34, 51}, ShareSixteenths: equalShare(len(names)), Name: n})
	}
	return l
}

func colourNames(l Label) (out []string) {
	for _, c := range l.Colours {
		out = append(out, c.Name)
	}
	return out
}

func TestNamesAsFarAsThereIsRoom(t *testing.T) {
	for _, row := range []struct {
		why   string
		names []string
		want  []string
	}{
		{"one that fits", []string{"deep yellow"}, []string{"deep yellow"}},
		{"capital letters become small", []string{"Rust"}, []string{"rust"}},
		{"all the characters there are", []string{"d'or blue-gr"}, []string{"d'or blue-gr"}},
		{"two short ones", []string{"rust", "teal"}, []string{"rust", "teal"}},
		{"one too long is left out, the next is not", []string{"a very long name it has", "teal"}, []string{"", "teal"}},
		{"the last of them has none", []string{"rust", "a very long name it has"}, []string{"rust", ""}},
		{"letters that are not there", []string{"écru", "ржавый"}, []string{"", ""}},
		{"digits", []string{"blue 2", "rust"}, []string{"", "rust"}},
		{"none", []string{"", ""}, []string{"", ""}},
		{"eight: what is left of version 6", []string{"rust", "teal", "sand", "moss", "plum", "clay", "pine", "wine"}, []string{"rust", "teal", "", "", "", "", "", ""}},
	} {
		code, err := EncodeNamed(host, labelWithNames(row.names...))
		if err != nil {
			t.Fatal(err)
		}
		l, err := Decode(code)
		if err != nil || !slices.Equal(colourNames(l), row.want) {
			t.Errorf("%s: %q, %v; want %q", row.why, colourNames(l), err, row.want)
		}
	}
	if a, b := mustEncode(t, sampleBlankLabel()), mustAddress(t, host, sampleBlankLabel()); a != b {
		t.Errorf("a blank for a host is %s, not %s", b, a)
	}
}

func mustAddress(t interface{ Fatal(...any) }, host string, l Label) string {
	code, err := EncodeNamed(host, l)
	if err != nil {
		t.Fatal(err)
	}
	return code
}

// Names never cost a larger QR code, which github.com/skip2/go-qrcode measures at
// level Q ("High" there), nor more than version 6 holds; and what is read is what
// was written. Digits are measured as letters: it packs a long run of digits denser,
// as a token of zeros has, and no token that is drawn.
func TestNamesNeverNeedALargerCode(t *testing.T) {
	version := func(t *rapid.T, address string) int {
		letters := strings.Map(func(r rune) rune {
			if r >= '0' && r <= '9' {
				return 'A'
			}
			return r
		}, address)
		q, err := qrcode.New(letters, qrcode.High)
		if err != nil {
			t.Fatal(err)
		}
		return q.VersionNumber
	}
	some := 0
	rapid.Check(t, func(t *rapid.T) {
		l := drawLabel(t)
		for i := range l.Colours {
			l.Colours[i].Name = rapid.SampledFrom([]string{"rust", "Teal", "deep yellow", "écru", "", "a name that is too long for a label of this size"}).Draw(t, "name")
		}
		host := rapid.SampledFrom([]string{host, "192.168.1.7:8443", "a.b", "the-dyers-house-by-the-river.example.org:18443"}).Draw(t, "host")
		plain, code := mustEncode(t, l), mustAddress(t, host, l)
		a, b := Address(host, plain), Address(host, code)
		if len(b) > len(a) && len(b) > 108 || version(t, b) > version(t, a) {
			t.Fatalf("%d characters without names, %d with: versions %d and %d", len(a), len(b), version(t, a), version(t, b))
		}
		p, err := Decode(plain)
		if err != nil {
			t.Fatal(err)
		}
		n, err := Decode(code)
		if err != nil {
			t.Fatal(err)
		}
		again, err := encode(n, len(code))
		if err != nil || again != code {
			t.Fatalf("%s reads and writes as %s, %v", code, again, err)
		}
		for i, c := range n.Colours {
			if c.Name != "" {
				some++
			}
			if c.Name != "" && c.Name != strings.ToLower(l.Colours[i].Name) {
				t.Fatalf("%q became %q", l.Colours[i].Name, c.Name)
			}
			n.Colours[i].Name = ""
		}
		if !reflect.DeepEqual(p, n) {
			t.Fatalf("but for names the same: %+v, %+v", p, n)
		}
	})
	if some == 0 {
		t.Error("no name was ever written")
	}
}
