package lan

import (
	"fmt"
	"strings"
	"testing"

	"coldbatch/internal/fault"
)

func TestReadHost(t *testing.T) {
	for _, row := range []struct{ typed, want, why string }{
		{"coldbatch.local", "coldbatch.local", "as it is"},
		{" Dye-House ", "dye-house.local", "a word is a name in the house, in any case"},
		{"dye.example.org", "dye.example.org", "a domain of one's own"},
		{"dye.home.arpa.", "dye.home.arpa", "the dot at the end of a full name"},
		{"2dye", "2dye.local", "RFC 1123, section 2.1: a digit may come first"},
		{"", "", "nothing"},
		{"dye house", "", "a space"},
		{"dye_house", "", "RFC 952 knows no underscore"},
		{"färberei", "", "what a phone would have to encode"},
		{"-dye", "", "a hyphen at the end of a word"},
		{"dye-.local", "", "a hyphen at the end of a word"},
		{"dye..local", "", "a word of nothing"},
		{".local", "", "no word"},
		{"a.b.local", "", "two words under .local, which phones do not ask the network for"},
		{"localhost", "", "every machine's own"},
		{"dye.localhost", "", "RFC 6761, section 6.3: every machine's own"},
		{"192.168.1.20", "", "an address changes"},
		{"fd00::1", "", "an address changes"},
		{strings.Repeat("a", 59), "", "longer than a certificate's name may be"},
		{strings.Repeat("a", 58), strings.Repeat("a", 58) + ".local", "as long as one may be"},
	} {
		got, err := ReadHost(row.typed)
		if got != row.want || (err == nil) != (row.want != "") || err != nil && !fault.Is(err, fault.Input) {
			t.Errorf("%q, %s: %q, %v, want %q", row.typed, row.why, got, err, row.want)
		}
	}
}

func TestNames(t *testing.T) {
	for host, want := range map[string]string{
		"coldbatch.local": "[coldbatch.local coldbatch.home.arpa localhost]",
		"dye.example.org": "[dye.example.org dye.home.arpa localhost]",
		"dye.home.arpa":   "[dye.home.arpa localhost]",
	} {
		if got := fmt.Sprint(Names{host}.DNSNames()); got != want {
			t.Errorf("%s: %s, want %s", host, got, want)
		}
	}
}

func FuzzReadHost(f *testing.F) {
	for _, s := range []string{"coldbatch.local", "Dye", "a.b.local", "10.0.0.1", "x.", "-", "ä"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		host, err := ReadHost(typed)
		if err != nil {
			return
		}
		again, err := ReadHost(host)
		if err != nil || again != host {
			t.Errorf("%q is read as %q, and that as %q, %v", typed, host, again, err)
		}
		if _, err := buildQuery(host, 1); err != nil {
			t.Errorf("%q cannot be asked for: %v", host, err)
		}
	})
}
