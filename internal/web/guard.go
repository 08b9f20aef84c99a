package web

import (
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"net"
	"net/http"
	"net/url"
	"strings"

	"coldbatch/internal/fault"
)

// guard sets the headers of every answer, refuses requests that are for another
// host or come from another site's page, and turns a panic into an answer. Host
// is checked because a foreign name can be made to point at this machine (DNS
// rebinding), which the browser then takes for that site's own.
func (s *server) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			if v := recover(); v != nil {
				if v == http.ErrAbortHandler {
					panic(v)
				}
				s.fail(w, r, fmt.Errorf("%s %s: panic: %v", r.Method, r.URL.Path, v))
			}
		}()
		h := w.Header()
		h.Set("Content-Security-Policy", s.assets.policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(self)")
		if err := s.ours(r); err != nil {
			s.fail(w, r, err)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// ours returns a fault for a request that is for another host, or that another
// site's page made.
func (s *server) ours(r *http.Request) error {
	if !s.known(r.Host) {
		return fault.New(fault.Refused, "this program does not answer to the name %q", clip(r.Host)).
			WithHint("open http://localhost and its port on the computer it runs on")
	}
	if o := r.Header.Get("Origin"); o != "" {
		u, err := url.Parse(o)
		if err != nil || u.Host != r.Host || (u.Scheme == "https") != (r.TLS != nil) {
			return fault.New(fault.Refused, "a page of %q may not ask this program", clip(o))
		}
	}
	if strings.HasPrefix(r.URL.Path, "/api/") {
		if site := r.Header.Get("Sec-Fetch-Site"); site == "cross-site" || site == "same-site" {
			return fault.New(fault.Refused, "a page of another site may not ask this program")
		}
	}
	return nil
}

func (s *server) known(host string) bool {
	name := host
	if h, _, err := net.SplitHostPort(host); err == nil {
		name = h
	}
	name = strings.ToLower(strings.Trim(name, "[]"))
	switch name {
	case "localhost", "127.0.0.1", "::1":
		return true
	}
	for _, h := range s.Hosts {
		if strings.EqualFold(name, h) {
			return true
		}
	}
	return false
}

// loopback says whether a remote address is this machine.
func loopback(remote string) bool {
	host, _, err := net.SplitHostPort(remote)
	if err != nil {
		return false
	}
	ip := net.ParseIP(host)
	return ip != nil && ip.IsLoopback()
}

// policy is the content security policy for a page: nothing from elsewhere,
// inline scripts by their hash alone. 'wasm-unsafe-eval' lets WebAssembly be
// compiled and nothing else be evaluated.
func policy(page []byte) string {
	script := "'self' 'wasm-unsafe-eval'"
	for _, text := range inline(string(page)) {
		sum := sha256.Sum256([]byte(text))
		script += " 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
	}
	return strings.Join([]string{
		"default-src 'none'", "script-src " + script, "style-src 'self'", "img-src 'self' blob: data:",
		"font-src 'self'", "connect-src 'self'", "manifest-src 'self'", "worker-src 'self'",
		"base-uri 'none'", "form-action 'none'", "frame-ancestors 'none'",
	}, "; ")
}

// inline gives the text of each script that stands in the page itself. The page
// is our own, so this reads just what we write: no comment holds a script.
func inline(page string) []string {
	var texts []string
	for {
		_, rest, ok := strings.Cut(page, "<script")
		if !ok {
			return texts
		}
		tag, rest, ok := strings.Cut(rest, ">")
		if !ok {
			return texts
		}
		text, rest, ok := strings.Cut(rest, "</script>")
		if !ok {
			return texts
		}
		if !strings.Contains(tag, " src=") {
			texts = append(texts, text)
		}
		page = rest
	}
}

// clip shortens foreign text before it is shown in a sentence.
func clip(s string) string {
	if len(s) > 60 {
		return strings.ToValidUTF8(s[:60], "") + "…"
	}
	return s
}
