package web

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"coldbatch/internal/evict"
)

// The hub reserves no memory for a long body that is announced and never sent.
func TestAnnouncedBodiesReserveNoMemory(t *testing.T) {
	const requests = 100 // within the bounds: all are received at once
	s, err := newServer(newTestApp(t))
	if err != nil {
		t.Fatal(err)
	}
	h := s.fullHandler()
	before := heapInUse()
	bodies := make([]*io.PipeWriter, requests)
	ended := make(chan int, requests)
	for i := range bodies {
		var body *io.PipeReader
		body, bodies[i] = io.Pipe()
		go func() {
			r := newRequest("POST", "/api/v1/exchange", body, "From: https owner", fmt.Sprintf("Remote: [fd00::%x]:5000", i))
			r.ContentLength = maxExchangeBody
			w := httptest.NewRecorder()
			h.ServeHTTP(w, r)
			ended <- w.Code
		}()
		if _, err := io.WriteString(bodies[i], "{"); err != nil {
			t.Fatal(err)
		}
	}
	if grown := heapInUse() - before; grown > 5<<20 {
		t.Errorf("%d requests without a body hold %d KB", requests, grown>>10)
	}
	for _, b := range bodies {
		b.CloseWithError(io.ErrUnexpectedEOF)
	}
	for range bodies {
		if code := <-ended; code != 422 {
			t.Errorf("a body that broke off: %d", code)
		}
	}
}

func heapInUse() int64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return int64(m.HeapAlloc)
}

// Slow senders end each other and not a phone: however many there are, what a phone
// began before them arrives, and what a newcomer sends, too.
func TestSlowSendersEndEachOther(t *testing.T) {
	s, err := newServer(newTestApp(t))
	if err != nil {
		t.Fatal(err)
	}
	full := s.fullHandler()
	var kept atomic.Bool // the phone is known
	var conns []net.Conn
	srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		*r = *newRequest(r.Method, r.URL.Path, r.Body, "From: https "+r.Header.Get("Token"), "Remote: "+r.Header.Get("Remote")).WithContext(r.Context())
		r.ContentLength = 1000
		full.ServeHTTP(w, r.WithContext(WithConn(r.Context(), func() { kept.Store(true) })))
	}))
	defer srv.Close()
	defer func() {
		for _, conn := range conns {
			conn.Close()
		}
	}()
	send := func(path, token, remote, body string) net.Conn {
		conn, err := net.Dial("tcp", srv.Listener.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		conns = append(conns, conn)
		fmt.Fprintf(conn, "POST %s HTTP/1.1\r\nHost: localhost\r\nToken: %s\r\nRemote: %s\r\nContent-Length: 1000\r\n\r\n%s", path, token, remote, body)
		return conn
	}
	answer := func(conn net.Conn) int {
		resp, err := http.ReadResponse(bufio.NewReader(conn), nil)
		if err != nil {
			t.Fatal(err)
		}
		return resp.StatusCode
	}
	phone := send("/api/v1/exchange", "owner", "192.168.1.7:5000", "{}")
	for !kept.Load() {
		time.Sleep(time.Millisecond)
	}
	const more = 20 // than are received at once
	ended := make(chan int, maxBodies+more)
	for i := range maxBodies + more {
		conn := send("/api/v1/pair", "nobody", fmt.Sprintf("[fd00::%x]:5000", i), "{")
		go func() {
			resp, err := http.ReadResponse(bufio.NewReader(conn), nil)
			if err != nil {
				return // the test has ended
			}
			ended <- resp.StatusCode
		}()
	}
	for range more { // they made room
		if code := <-ended; code != 422 {
			t.Errorf("a slow sender: %d", code)
		}
	}
	if n := s.bodies.Len(); n > maxBodies {
		t.Errorf("%d bodies are received at once", n)
	}
	fmt.Fprint(phone, strings.Repeat(" ", 998))
	if code := answer(phone); code != 200 {
		t.Errorf("the phone's exchange: %d", code)
	}
	newcomer := send("/api/v1/pair", "nobody", "192.168.1.8:5000", goodCode+strings.Repeat(" ", 1000-len(goodCode)))
	if code := answer(newcomer); code != 200 {
		t.Errorf("the newcomer's pairing: %d", code)
	}
}

// A phone that opens streams without end has as many as its tabs may need: the oldest
// end, and those of others go on.
func TestStreamsOfOnePhone(t *testing.T) {
	var open atomic.Int32
	a := newTestAppOn(&fakeHub{subscribe: func() (<-chan uint64, func()) {
		open.Add(1)
		return make(chan uint64), func() { open.Add(-1) }
	}})
	s, err := newServer(a)
	if err != nil {
		t.Fatal(err)
	}
	h := s.fullHandler()
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan string, 1000)
	stream := func(token string) {
		r := newRequest("GET", "/api/v1/events", nil, "From: https "+token).WithContext(ctx)
		go func() {
			h.ServeHTTP(streamRecorder{httptest.NewRecorder()}, r)
			ended <- token
		}()
	}
	stream("helper")
	for range 300 {
		stream("owner")
	}
	for range 300 - maxStreamsPerPhone {
		if who := <-ended; who != "owner" {
			t.Fatalf("the stream of %s ended", who)
		}
	}
	if n := open.Load(); n > maxStreamsPerPhone+1 {
		t.Errorf("%d streams are open", n)
	}
	cancel()
	for range maxStreamsPerPhone + 1 {
		<-ended
	}
}

// streamRecorder takes deadlines, as a connection does.
type streamRecorder struct{ *httptest.ResponseRecorder }

func (streamRecorder) SetWriteDeadline(time.Time) error { return nil }

// Only a paired phone keeps its connection when others need room.
func TestOnlyPairedPhonesKeepConnections(t *testing.T) {
	h := newFullHandler(t, newTestApp(t))
	for token, want := range map[string]bool{"owner": true, "helper": true, "nobody": false, "out": false} {
		kept := false
		r := newRequest("GET", "/api/v1/about", nil, "From: https "+token)
		h.ServeHTTP(httptest.NewRecorder(), r.WithContext(WithConn(r.Context(), func() { kept = true })))
		if kept != want {
			t.Errorf("%s keeps the connection: %v", askersByToken[token].Role, kept)
		}
	}
}

// A body that has arrived counts no longer, so a request that waits for the journal is
// not ended by newcomers.
func TestArrivedBodyIsNotEnded(t *testing.T) {
	s := &server{bodies: evict.New[netip.Addr](1, 1)}
	ended := false
	entry := s.bodies.Add(netip.Addr{}, func() { ended = true })
	r := httptest.NewRequest("POST", "/", strings.NewReader("{}"))
	r = r.WithContext(context.WithValue(r.Context(), bodyKey, entry))
	if _, err := readBody(httptest.NewRecorder(), r, 10); err != nil {
		t.Fatal(err)
	}
	s.bodies.Add(netip.Addr{}, func() {})
	if ended {
		t.Error("a newcomer ended a request whose body had arrived")
	}
}
