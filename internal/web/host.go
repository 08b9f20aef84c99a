package web

import (
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"strings"

	"coldbatch/internal/fault"
)

// normalizeHost returns the name or address in a Host header, without the port: a name in
// lower case, an address in its standard form.
func normalizeHost(host string) string {
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

// isLoopbackName says whether a name means the computer itself on every computer.
func isLoopbackName(name string) bool {
	if a, err := netip.ParseAddr(name); err == nil {
		return a.IsLoopback()
	}
	return name == "localhost"
}

// checkAppHost refuses a request for another host. A foreign name can be made to point
// at this computer (DNS rebinding), and a browser would then take its page for ours.
// By plain http the app answers this computer alone.
func (s *server) checkAppHost(r *http.Request) error {
	if r.TLS == nil {
		if isLocal(r) {
			return nil
		}
		return s.wrongHost(r)
	}
	return s.checkNetworkHost(r)
}

// checkNetworkHost accepts the hub's names and addresses, and from this computer its
// loopback names.
func (s *server) checkNetworkHost(r *http.Request) error {
	name := normalizeHost(r.Host)
	if isLoopbackName(name) && isLoopback(r.RemoteAddr) {
		return nil
	}
	for _, h := range s.Network().hosts() {
		if name == normalizeHost(h) {
			return nil
		}
	}
	// An address that is new may not be among the hosts yet.
	if local, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr); ok && !isLoopbackName(name) {
		if a, err := netip.ParseAddrPort(local.String()); err == nil && name == a.Addr().WithZone("").Unmap().String() {
			return nil
		}
	}
	return s.wrongHost(r)
}

func (s *server) wrongHost(r *http.Request) error {
	return withStatus(http.StatusMisdirectedRequest, fault.New(fault.Refused, "this program does not answer to the name %q here", truncate(r.Host)).
		WithHint("open %s, or %s on a phone that is new here", s.Network().AppURL(), s.Network().JoinURL()))
}

// checkOrigin refuses a request that the page of another site makes.
func checkOrigin(r *http.Request) error {
	if o := r.Header.Get("Origin"); o != "" {
		u, err := url.Parse(o)
		if err != nil || u.Host != r.Host || (u.Scheme == "https") != (r.TLS != nil) {
			return fault.New(fault.Refused, "a page from %q may not use this program", truncate(o)).
				WithHint("open the program's own page and do it there")
		}
	}
	if strings.HasPrefix(r.URL.Path, "/api/") {
		if site := r.Header.Get("Sec-Fetch-Site"); site == "cross-site" || site == "same-site" {
			return fault.New(fault.Refused, "a page from another site may not use this program").
				WithHint("open the program's own page and do it there")
		}
	}
	return nil
}
