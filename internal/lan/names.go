package lan

import (
	"net/netip"
	"strings"

	"coldbatch/internal/fault"
)

// maxHost is the longest a certificate's common name may be: RFC 5280, appendix
// A.1, ub-common-name.
const maxHost = 64

// Names are the names of the hub on the network.
type Names struct {
	Host string // as ReadHost returns it, such as coldbatch.local
}

// DNSNames returns every name that a certificate covers: the host, its first label under
// home.arpa, which a router can serve (RFC 8375), and localhost.
func (n Names) DNSNames() []string {
	label, _, _ := strings.Cut(n.Host, ".")
	names := []string{n.Host}
	for _, name := range []string{label + ".home.arpa", "localhost"} {
		if name != n.Host {
			names = append(names, name)
		}
	}
	return names
}

// isMulticastName reports whether the machines of a network resolve the name among
// themselves by multicast DNS (RFC 6762, section 3), without a server.
func isMulticastName(host string) bool { return strings.HasSuffix(host, ".local") }

// ReadHost parses the name of the hub as a person types it: letters a to z, digits and
// hyphens, with or without a domain; a single word gets .local. It returns fault.Input
// for an impossible name, for an address, and for localhost, which means every machine
// itself.
func ReadHost(typed string) (string, error) {
	host := strings.ToLower(strings.TrimSuffix(strings.TrimSpace(typed), "."))
	bad := fault.New(fault.Input, "%.80q is not a name for the hub", typed).
		WithHint("letters a to z, digits and hyphens, such as dye.local; at most %d characters", maxHost)
	if _, err := netip.ParseAddr(host); err == nil {
		return "", fault.New(fault.Input, "%s is an address, but the hub needs a name", host).
			WithHint("addresses change, and a phone stores its journal under the name; such as dye.local")
	}
	if !strings.Contains(host, ".") {
		host += ".local"
	}
	if len(host) > maxHost || host == "localhost.local" || strings.HasSuffix(host, ".localhost") {
		return "", bad
	}
	for _, label := range strings.Split(host, ".") {
		if !isLabel(label) {
			return "", bad
		}
	}
	if isMulticastName(host) && strings.Count(host, ".") != 1 {
		return "", bad.WithHint("a name under .local is one word, such as dye.local")
	}
	return host, nil
}

// isLabel reports whether s is one label of a host name: RFC 1123, section 2.1.
func isLabel(s string) bool {
	if len(s) == 0 || len(s) > 63 || s[0] == '-' || s[len(s)-1] == '-' {
		return false
	}
	for _, c := range []byte(s) {
		if (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '-' {
			return false
		}
	}
	return true
}
