package main

import (
	"fmt"
	"io"
	"net/http"
	"os"
	"strings"
	"testing"

	"coldbatch/internal/web"
)

// No answer to a stranger contains a path of the machine, whatever is wrong with the
// program's files.
func TestStrangersSeeNoPath(t *testing.T) {
	p := mustRunOnNetwork(t)
	stranger := newClient(t, p)
	requestCount := 0
	for _, state := range []string{"all is well", "the journal is closed"} {
		if state == "the journal is closed" {
			if err := p.journal.Close(); err != nil {
				t.Fatal(err)
			}
		}
		for _, route := range append(web.Routes(), web.Route{Method: "GET", Path: "/"}, web.Route{Method: "GET", Path: "/nothing.js"},
			web.Route{Method: "POST", Path: "/today"}, web.Route{Method: "GET", Path: "/ca.key"}) {
			if route.Path == "/api/v1/events" {
				continue // its answer never ends, and a stranger is refused before it begins
			}
			path := strings.NewReplacer("{file}", "x", "{code}", "K7M2-Q9X4-F", "{sha256}", strings.Repeat("ab", 32), "{device}", "00000000000000000000000004", "{name}", "x").Replace(route.Path)
			for _, base := range []string{stranger.base, fmt.Sprintf("http://127.0.0.1:%d", p.Port)} {
				body := `{"device":"00000000000000000000000004","code":"12345678"}`
				q, err := http.NewRequest(route.Method, base+path, strings.NewReader(body))
				if err != nil {
					t.Fatal(err)
				}
				q.AddCookie(&http.Cookie{Name: "__Host-phone", Value: "invented.20000"})
				if base != stranger.base {
					q.Header.Set("Via", "1.1 proxy") // so that it does not count as this computer itself
				}
				r, err := stranger.http.Do(q)
				if err != nil {
					t.Fatal(err)
				}
				text, err := io.ReadAll(r.Body)
				r.Body.Close()
				if err != nil {
					t.Fatal(err)
				}
				requestCount++
				for name, values := range r.Header {
					text = append(text, name+strings.Join(values, "")...)
				}
				for _, secret := range []string{p.Data, os.TempDir() + "/"} {
					if strings.Contains(string(text), secret) {
						t.Errorf("%s: %s %s%s contains %s: %.300s", state, route.Method, base, path, secret, text)
					}
				}
			}
		}
	}
	if requestCount < 100 {
		t.Errorf("only %d requests were made", requestCount)
	}
}
