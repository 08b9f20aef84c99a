package web

import (
	"bufio"
	"context"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"
)

func TestEvents(t *testing.T) {
	seqs := make(chan uint64)
	stopped := make(chan bool, 1)
	a := app(t)
	a.Events = func() (<-chan uint64, func()) { return seqs, func() { stopped <- true } }
	srv := httptest.NewServer(handler(t, a))
	defer srv.Close()
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Second)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, "GET", srv.URL+"/api/v1/events", nil)
	if err != nil {
		t.Fatal(err)
	}
	resp, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	if got := resp.Header.Get("Content-Type"); got != "text/event-stream" {
		t.Errorf("type %q", got)
	}
	lines := bufio.NewScanner(resp.Body)
	next := func(want string) {
		t.Helper()
		for lines.Scan() {
			if line := lines.Text(); line != "" && !strings.HasPrefix(line, ":") {
				if line != want {
					t.Errorf("got %q, want %q", line, want)
				}
				return
			}
		}
		t.Errorf("the stream ended before %q: %v", want, lines.Err())
	}
	seqs <- 41
	next("event: changed")
	next("data: 41")
	seqs <- 42
	next("event: changed")
	next("data: 42")
	close(seqs) // the hub closes
	if lines.Scan() && lines.Text() != "" {
		t.Errorf("after the hub closed: %q", lines.Text())
	}
	select {
	case <-stopped:
	case <-time.After(5 * time.Second):
		t.Error("the subscription was not given back")
	}
}
