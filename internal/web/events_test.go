package web

import (
	"bufio"
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"coldbatch/internal/rights"
)

func TestEvents(t *testing.T) {
	seqs := make(chan uint64)
	stopped := make(chan bool, 1)
	a := newTestAppOn(&fakeHub{subscribe: func() (<-chan uint64, func()) { return seqs, func() { stopped <- true } }})
	srv := httptest.NewServer(newFullHandler(t, a))
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

// A removed phone gets no further event, and its stream ends by the next heartbeat.
func TestEventsEndForRemovedPhone(t *testing.T) {
	for _, row := range []struct {
		why  string
		beat time.Duration
		hint bool
	}{
		{"at the next hint", time.Hour, true},
		{"at the next heartbeat, where nothing happens", 200 * time.Millisecond, false},
	} {
		seqs := make(chan uint64, 1)
		stopped := make(chan bool, 1)
		var in atomic.Bool
		in.Store(true)
		a := newTestAppOn(&fakeHub{
			subscribe: func() (<-chan uint64, func()) { return seqs, func() { stopped <- true } },
			localAsker: func() rights.Asker {
				if in.Load() {
					return askersByToken["helper"]
				}
				return askersByToken["out"]
			},
		})
		s, err := newServer(a)
		if err != nil {
			t.Fatal(err)
		}
		s.heartbeat = row.beat
		srv := httptest.NewServer(s.fullHandler())
		defer srv.Close()
		resp, err := http.Get(srv.URL + "/api/v1/events")
		if err != nil {
			t.Fatal(err)
		}
		defer resp.Body.Close()
		in.Store(false)
		if row.hint {
			seqs <- 41
		}
		rest, err := io.ReadAll(resp.Body) // ends, or the test runs into its time
		if err != nil || strings.Contains(string(rest), "data:") {
			t.Errorf("%s: %v, and was still told %q", row.why, err, rest)
		}
		<-stopped
		if resp, err := http.Get(srv.URL + "/api/v1/events"); err != nil || resp.StatusCode != 401 {
			t.Errorf("%s: asking again gives %v, %v", row.why, resp, err)
		}
	}
}
