package label

import (
	"strings"
	"testing"
)

const sample = "0123456789ABCDEFGHJK"

func TestAddress(t *testing.T) {
	for _, row := range []struct{ why, host, code, want string }{
		{"a name and a port, upper-cased", "coldbatch.local:8443", sample, "HTTPS://COLDBATCH.LOCAL:8443/B/" + sample},
		{"no port", "shed-hub.home.arpa", sample, "HTTPS://SHED-HUB.HOME.ARPA/B/" + sample},
		{"an IPv4 address", "192.168.1.20:8443", sample, "HTTPS://192.168.1.20:8443/B/" + sample},
		{"a code in lower case", "a", strings.ToLower(sample), "HTTPS://A/B/" + sample},
		{"no host", "", sample, ""},
		{"brackets are not in the alphanumeric set", "[fd00::1]:8443", sample, ""},
		{"an underscore is not, in the middle", "cold_batch", sample, ""},
		{"a letter outside ASCII", "kühl.local", sample, ""},
		{"a slash would start the path", "a/b", sample, ""},
		{"a space", "a b", sample, ""},
		{"a code with a foreign sign", "a", "0123456789ABCDEFGHJ!", ""},
		{"no code", "a", "", ""},
	} {
		if got := Address(row.host, row.code); got != row.want {
			t.Errorf("%s: Address(%q, %q) = %q, want %q", row.why, row.host, row.code, got, row.want)
		}
		if strings.Trim(Address(row.host, row.code), "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:") != "" {
			t.Errorf("%s: outside the alphanumeric set", row.why)
		}
	}
}

func TestFindCode(t *testing.T) {
	for _, row := range []struct{ why, in, want string }{
		{"what Address makes", Address("coldbatch.local:8443", sample), sample},
		{"folded to lower case by a browser", strings.ToLower(Address("coldbatch.local:8443", sample)), sample},
		{"host folded alone", "https://coldbatch.local:8443/B/" + sample, sample},
		{"the origin of a phone on the computer itself", "http://localhost:8080/b/" + sample, sample},
		{"a foreign origin with an IPv6 address", "https://[fd00::1]:8443/b/" + sample, sample},
		{"the path alone", "/b/" + sample, sample},
		{"the code alone", strings.ToLower(sample), sample},
		{"white space of a paste", "  " + sample + "\n", sample},
		{"a query and a fragment that something added", "https://a/b/" + sample + "?x=1#y", sample},
		{"a closing slash", "https://a/b/" + sample + "/", sample},
		{"a host called b", "https://b/b/" + sample, sample},
	} {
		got, ok := FindCode(row.in)
		if !ok || got != row.want {
			t.Errorf("%s: FindCode(%q) = %q, %v", row.why, row.in, got, ok)
		}
	}
	for _, row := range []struct{ why, in string }{
		{"nothing", ""},
		{"some other address", "https://example.org/about"},
		{"the path without a code", "https://coldbatch.local:8443/b/"},
		{"a code cut short", "/b/" + sample[:19]},
		{"a code with more path after it", "/b/" + sample + "/edit"},
		{"a typed id is no code", "K7M2-Q9X4-F"},
		{"a network's access code", "WIFI:T:WPA;S:shed;P:secret;;"},
		{"far too long", "/b/" + strings.Repeat("0", maxCodeChars+1)},
		{"letters that only fold into the alphabet", "/b/" + strings.Repeat("ſ", 20)},
	} {
		if got, ok := FindCode(row.in); ok || got != "" {
			t.Errorf("%s: FindCode(%q) = %q, %v; want none", row.why, row.in, got, ok)
		}
	}
}

func FuzzFindCode(f *testing.F) {
	f.Add("https://coldbatch.local:8443/b/" + sample)
	f.Add("/B/" + sample + "?")
	f.Fuzz(func(t *testing.T, s string) {
		code, ok := FindCode(s)
		if !ok {
			return
		}
		if again, ok := FindCode(Address("A", code)); !ok || again != code {
			t.Errorf("%q gives %q, whose address gives %q, %v", s, code, again, ok)
		}
	})
}
