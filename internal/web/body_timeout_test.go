package web

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"testing"
	"time"
)

// A body that is announced and never sent does not keep a connection open, whether the
// handler reads it or not; an open event stream goes on.
func TestBodyThatNeverArrives(t *testing.T) {
	s, err := newServer(newTestApp(t))
	if err != nil {
		t.Fatal(err)
	}
	s.bodyTimeout = 300 * time.Millisecond
	other := *s
	srv := httptest.NewServer(RouteByOrigin(s.fullHandler(), other.plainHandler()))
	defer srv.Close()
	for _, c := range []struct{ why, line, host string }{
		{"it is read", "POST /api/v1/pair", "localhost"},
		{"a photo, which is longer than others", "PUT /api/v1/photo/" + photoOfThisBatch, "localhost"},
		{"nobody is let that far", "POST /api/v1/exchange", "192.168.1.20"},
		{"nobody reads it", "POST /api/v1/invite", "localhost"},
		{"nor that of a page", "GET /", "localhost"},
		{"nor at the joining page", "GET /", "192.168.1.20"},
		{"nor where the host is another", "POST /", "elsewhere.example"},
	} {
		conn, err := net.Dial("tcp", srv.Listener.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		began := time.Now()
		_ = conn.SetDeadline(began.Add(5 * time.Second))
		fmt.Fprintf(conn, "%s HTTP/1.1\r\nHost: %s\r\nContent-Length: 1000\r\n\r\n{", c.line, c.host)
		if _, err := io.ReadAll(conn); err != nil || time.Since(began) < s.bodyTimeout {
			t.Errorf("%s: it ended after %v: %v", c.why, time.Since(began), err)
		}
		conn.Close()
	}
}

// The event stream stays open longer than the write timeout, with either protocol.
func TestEventsOutliveWriteTimeout(t *testing.T) {
	for _, two := range []bool{false, true} {
		a := newTestAppOn(&fakeHub{subscribe: func() (<-chan uint64, func()) { return make(chan uint64), func() {} }})
		s, err := newServer(a)
		if err != nil {
			t.Fatal(err)
		}
		s.heartbeat, s.bodyTimeout = 200*time.Millisecond, time.Nanosecond
		full := s.fullHandler()
		srv := httptest.NewUnstartedServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			r.Host = "localhost"
			r.AddCookie(&http.Cookie{Name: cookieName, Value: "helper.20000"})
			full.ServeHTTP(w, r)
		}))
		srv.Config.WriteTimeout = 800 * time.Millisecond
		srv.EnableHTTP2 = two
		srv.StartTLS()
		resp, err := srv.Client().Get(srv.URL + "/api/v1/events")
		if err != nil {
			t.Fatal(err)
		}
		if resp.ProtoMajor == 2 != two {
			t.Errorf("spoken is %s", resp.Proto)
		}
		lines := bufio.NewScanner(resp.Body)
		for n := 0; n < 12; n++ {
			if !lines.Scan() {
				t.Fatalf("%s: the stream ended after %d lines: %v", resp.Proto, n, lines.Err())
			}
		}
		resp.Body.Close()
		srv.Close()
	}
}

// The hub ends the stream of a phone that stops reading, such as one that went to sleep,
// instead of waiting for ever.
func TestStreamEndsForStalledReader(t *testing.T) {
	ended := make(chan bool, 1)
	a := newTestAppOn(&fakeHub{subscribe: func() (<-chan uint64, func()) { return make(chan uint64), func() { ended <- true } }})
	s, err := newServer(a)
	if err != nil {
		t.Fatal(err)
	}
	s.heartbeat = 50 * time.Millisecond
	full := s.fullHandler()
	// A pipe has no buffer: what the phone does not read cannot be written.
	phone, hub := net.Pipe()
	defer phone.Close()
	srv := &http.Server{Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.RemoteAddr = "127.0.0.1:5000"
		full.ServeHTTP(w, r)
	})}
	defer srv.Close()
	l := &oneConnListener{conn: hub, closed: make(chan bool)}
	go srv.Serve(l)
	if _, err := io.WriteString(phone, "GET /api/v1/events HTTP/1.1\r\nHost: localhost\r\n\r\n"); err != nil {
		t.Fatal(err)
	}
	select {
	case <-ended:
	case <-time.After(20 * time.Second):
		t.Error("the stream is still open")
	}
}

// oneConnListener is a listener that gives one connection.
type oneConnListener struct {
	conn   net.Conn
	closed chan bool
}

func (l *oneConnListener) Accept() (net.Conn, error) {
	if conn := l.conn; conn != nil {
		l.conn = nil
		return conn, nil
	}
	<-l.closed
	return nil, net.ErrClosed
}

func (l *oneConnListener) Close() error { close(l.closed); return nil }
func (l *oneConnListener) Addr() net.Addr {
	return &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 8090}
}
