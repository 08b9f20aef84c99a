package label

import (
	"strings"
	"testing"
)

const sampleCode = "0123456789ABCDEFGHJK"

func TestAddress(t *testing.T) {
	for _, row := range []struct{ why, host, code, want string }{
		{"a name and a port, upper-cased", "coldbatch.local:8443", sampleCode, "HTTPS://COLDBATCH.LOCAL:8443/B/" + sampleCode},
		{"no port", "shed-hub.home.arpa", sampleCode, "HTTPS://SHED-HUB.HOME.ARPA/B/" + sampleCode},
		{"an IPv4 address", "192.168.1.20:8443", sampleCode, "HTTPS://192.168.1.20:8443/B/" + sampleCode},
		{"a code in lower case", "a", strings.ToLower(sampleCode), "HTTPS://A/B/" + sampleCode},
		{"no host", "", sampleCode, ""},
		{"brackets are not in the alphanumeric set", "[fd00::1]:8443", sampleCode, ""},
		{"an underscore is not, in the middle", "cold_batch", sampleCode, ""},
		{"a letter outside ASCII", "kühl.local", sampleCode, ""},
		{"a slash would start the path", "a/b", sampleCode, ""},
		{"a space", "a b", sampleCode, ""},
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
		{"what Address makes", Address("coldbatch.local:8443", sampleCode), sampleCode},
		{"folded to lower case by a browser", strings.ToLower(Address("coldbatch.local:8443", sampleCode)), sampleCode},
		{"host folded alone", "https://coldbatch.local:8443/B/" + sampleCode, sampleCode},
		{"the origin of a phone on the computer itself", "http://localhost:8080/b/" + sampleCode, sampleCode},
		{"a foreign origin with an IPv6 address", "https://[fd00::1]:8443/b/" + sampleCode, sampleCode},
		{"the path alone", "/b/" + sampleCode, sampleCode},
		{"the code alone", strings.ToLower(sampleCode), sampleCode},
		{"white space of a paste", "  " + sampleCode + "\n", sampleCode},
		{"a query and a fragment that something added", "https://a/b/" + sampleCode + "?x=1#y", sampleCode},
		{"a closing slash", "https://a/b/" + sampleCode + "/", sampleCode},
		{"a host called b", "https://b/b/" + sampleCode, sampleCode},
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
		{"a code cut short", "/b/" + sampleCode[:19]},
		{"a code with more path after it", "/b/" + sampleCode + "/edit"},
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
	f.Add("https://coldbatch.local:8443/b/" + sampleCode)
	f.Add("/B/" + sampleCode + "?")
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
