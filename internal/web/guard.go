package web

import (
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"net/http"
	"strings"
	"time"
)

// bodyTimeout bounds how long a request's body may take to arrive: a phone that goes out
// of range while it sends must not hold the connection.
const bodyTimeout = 30 * time.Second

// withHeadersAndLimits sets the headers of every answer, refuses requests for another host and from
// the pages of other sites, and turns a panic into an answer. It bounds how long a body
// may take even where no handler reads it, because the server waits for its end before
// it reuses the connection. It sets no Strict-Transport-Security, which would block the
// joining page: that is plain http on the same host.
func (s *server) withHeadersAndLimits(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			if v := recover(); v != nil {
				if v == http.ErrAbortHandler {
					panic(v)
				}
				s.fail(w, r, stranger, fmt.Errorf("%s %s: panic: %v", r.Method, r.URL.Path, v))
			}
		}()
		if r.ContentLength != 0 {
			_ = http.NewResponseController(w).SetReadDeadline(time.Now().Add(s.bodyTimeout)) // a writer without deadlines needs none
			var done func()
			r, done = s.countBody(w, r)
			defer done()
		}
		h := w.Header()
		h.Set("Content-Security-Policy", s.contentPolicy(r))
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(self)")
		err := s.checkHost(r)
		if err == nil {
			err = checkOrigin(r)
		}
		if err != nil {
			s.fail(w, r, stranger, err)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// contentPolicy returns the content security policy of a page: nothing from other
// sites, and inline scripts only by their hash. 'wasm-unsafe-eval' allows WebAssembly to
// be compiled and nothing else to be evaluated.
func contentPolicy(page []byte) string {
	script := "'self' 'wasm-unsafe-eval'"
	for _, text := range inlineScripts(string(page)) {
		sum := sha256.Sum256([]byte(text))
		script += " 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
	}
	return strings.Join([]string{
		"default-src 'none'", "script-src " + script, "style-src 'self'", "img-src 'self' blob: data:",
		"font-src 'self'", "connect-src 'self'", "manifest-src 'self'", "worker-src 'self'",
		"base-uri 'none'", "form-action 'none'", "frame-ancestors 'none'",
	}, "; ")
}

// inlineScripts returns the text of each script within the page. It reads only our own
// page, which has no script in a comment.
func inlineScripts(page string) []string {
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

// truncate shortens foreign text for use in a sentence.
func truncate(s string) string {
	if len(s) > 60 {
		return strings.ToValidUTF8(s[:60], "") + "…"
	}
	return s
}
