package web

import (
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"net/http"
	"strings"
	"time"
)

// patience is how long the coming of a request's body may take: a phone that walks
// off while it sends must not hold the connection.
const patience = 30 * time.Second

// guard sets the headers of every answer, refuses requests that are for another
// host or come from another site's page, and turns a panic into an answer. It bounds
// how long a body may take also where nobody reads it: the server waits for its end
// before the connection is used again. There is no Strict-Transport-Security: it would shut the joining page, which is plain
// http on the same host.
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
		if r.ContentLength != 0 {
			_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(s.patience)) // not every writer can
		}
		h := w.Header()
		h.Set("Content-Security-Policy", s.policy(r))
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(self)")
		err := s.mine(r)
		if err == nil {
			err = ours(r)
		}
		if err != nil {
			s.fail(w, r, err)
			return
		}
		next.ServeHTTP(w, r)
	})
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
