package main

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"runtime"
	"strings"
	"testing"

	"coldbatch/internal/store"
)

// programGoroutines returns the stacks of goroutines that run code of this program or of its
// servers, but for the one that asks.
func programGoroutines() (stacks []string) {
	text := make([]byte, 1<<20)
	text = text[:runtime.Stack(text, true)]
	for i, stack := range strings.Split(string(text), "\n\n") {
		_, code, _ := strings.Cut(stack, "\n")
		isOwn := strings.Contains(code, "coldbatch/cmd/coldbatch.") && !strings.Contains(code, "testing.tRunner") ||
			strings.Contains(code, "coldbatch/internal/") && !strings.Contains(code, "testing.tRunner") ||
			strings.Contains(code, "net/http.(*conn).serve") || strings.Contains(code, "net/http.(*Server).Serve") || strings.Contains(code, "pion/mdns")
		if i > 0 && isOwn {
			stacks = append(stacks, stack)
		}
	}
	return stacks
}

// When Close returns nothing of the program runs any more, whatever was going on: an
// event stream by https, a request whose body never ends, a connection that says
// nothing, and what watches the network.
func TestCloseWaitsForEveryGoroutine(t *testing.T) {
	before := len(programGoroutines())
	p := mustRunOnNetwork(t)
	roots := x509.NewCertPool()
	authority, err := x509.ParseCertificate(p.network.current().Authority)
	if err != nil {
		t.Fatal(err)
	}
	roots.AddCert(authority)
	secure := &http.Transport{TLSClientConfig: &tls.Config{RootCAs: roots, ServerName: "coldbatch.local"}, ForceAttemptHTTP2: true}
	for name, get := range map[string]func() (*http.Response, error){
		"https": func() (*http.Response, error) {
			return (&http.Client{Transport: secure}).Get(fmt.Sprintf("https://127.0.0.1:%d/api/v1/about", p.HTTPS))
		},
		"the event stream": func() (*http.Response, error) { return http.Get(p.URL() + "/api/v1/events") },
	} {
		r, err := get()
		if err != nil || r.StatusCode != 200 {
			t.Fatalf("%s: %v, %v", name, r, err)
		}
		defer r.Body.Close()
	}
	for _, opening := range []string{"", "POST /api/v1/exchange HTTP/1.1\r\nHost: localhost\r\nContent-Length: 100\r\n\r\n{"} {
		conn, err := net.Dial("tcp", fmt.Sprintf("127.0.0.1:%d", p.Port))
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close()
		if _, err := io.WriteString(conn, opening); err != nil {
			t.Fatal(err)
		}
	}
	if got := len(programGoroutines()); got < before+5 {
		t.Fatalf("only %d goroutines are counted while the program serves", got-before)
	}
	if err := p.Close(); err != nil {
		t.Fatal(err)
	}
	secure.CloseIdleConnections()
	if left := programGoroutines(); len(left) > before {
		t.Errorf("after Close these still run:\n%s", strings.Join(left, "\n\n"))
	}
}

// A goroutine and a request that take their time to end still have the journal: Close
// waits for them first.
func TestCloseWaitsForSlowWork(t *testing.T) {
	for _, name := range []string{"a goroutine", "a request"} {
		p := mustRunOnNetwork(t)
		var failed error
		ended := false
		work := func(ctx context.Context) {
			<-ctx.Done()
			for range 100_000 {
				if err := p.journal.View(func(tx *store.Tx) error { tx.Last(); return nil }); err != nil {
					failed = err
				}
			}
			ended = true
		}
		started := make(chan bool)
		if name == "a goroutine" {
			close(started)
			p.startGoroutine(work)
		} else {
			handler := p.countRequests(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { close(started); work(p.ctx) }))
			go handler.ServeHTTP(nil, httptest.NewRequest("GET", "/", nil))
		}
		<-started
		if err := p.Close(); err != nil || failed != nil || !ended {
			t.Errorf("%s: closed with %v; it ended %v, with %v", name, err, ended, failed)
		}
	}
}
