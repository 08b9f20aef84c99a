package web

import (
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"strings"

	"coldbatch/internal/fault"
)

// hostName gives the name or address of a Host header without its port: in lower
// case, an address in its one spelling.
func hostName(host string) string {
	name := host
	if h, _, err := net.SplitHostPort(host); err == nil {
		name = h
	} else if strings.HasPrefix(host, "[") && strings.HasSuffix(host, "]") {
		name = host[1 : len(host)-1]
	}
	if a, err := netip.ParseAddr(name); err == nil {
		return a.WithZone("").Unmap().String()
	}
	return strings.ToLower(strings.TrimSuffix(name, "."))
}

// loopbackName says whether a name means the machine itself on every machine.
func loopbackName(name string) bool {
	if a, err := netip.ParseAddr(name); err == nil {
		return a.IsLoopback()
	}
	return name == "localhost"
}

// forApp refuses what is for another host. A foreign name can be made to point at
// this machine (DNS rebinding), and its page would then be taken for our own. In
// plain http the app is for this very machine alone.
func (s *server) forApp(r *http.Request) error {
	if r.TLS == nil {
		if local(r) {
			return nil
		}
		return s.elsewhere(r)
	}
	return s.forNetwork(r)
}

// forNetwork takes the hub's names and its own addresses, and from this machine
// the names it has for itself.
func (s *server) forNetwork(r *http.Request) error {
	name := hostName(r.Host)
	if loopbackName(name) && loopback(r.RemoteAddr) {
		return nil
	}
	for _, h := range s.Hosts() {
		if name == hostName(h) {
			return nil
		}
	}
	// An address that is minutes old may not be among the hosts yet.
	if here, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr); ok && !loopbackName(name) {
		if a, err := netip.ParseAddrPort(here.String()); err == nil && name == a.Addr().WithZone("").Unmap().String() {
			return nil
		}
	}
	return s.elsewhere(r)
}

func (s *server) elsewhere(r *http.Request) error {
	return at(http.StatusMisdirectedRequest, fault.New(fault.Refused, "this program does not answer to the name %q here", clip(r.Host)).
		WithHint("open %s, or %s on a phone that is new here", s.Network().App(), s.Network().Door()))
}

// ours refuses what a page of another site asks.
func ours(r *http.Request) error {
	if o := r.Header.Get("Origin"); o != "" {
		u, err := url.Parse(o)
		if err != nil || u.Host != r.Host || (u.Scheme == "https") != (r.TLS != nil) {
			return fault.New(fault.Refused, "a page of %q may not ask this program", clip(o)).
				WithHint("open the program's own page and do it there")
		}
	}
	if strings.HasPrefix(r.URL.Path, "/api/") {
		if site := r.Header.Get("Sec-Fetch-Site"); site == "cross-site" || site == "same-site" {
			return fault.New(fault.Refused, "a page of another site may not ask this program").
				WithHint("open the program's own page and do it there")
		}
	}
	return nil
}
