package web

import (
	"context"
	"net/http"
	"net/netip"
	"sync"
	"time"

	"coldbatch/internal/evict"
)

// How many bodies are received at a time. When there is one more, the oldest is cut off, a
// stranger's before a phone's.
const (
	maxBodies           = 128
	maxBodiesPerAddress = 64 // fifty phones behind one router
)

// contextKey is the type of this package's keys in the context of a request.
type contextKey int

const (
	connKey contextKey = iota // func(): keeps the connection
	bodyKey                   // *evict.Entry[netip.Addr]: of the body that is received
)

// WithConn returns a context for the requests of a connection. keep is called when one of
// them comes from somebody who is known, so that strangers' connections are closed before
// this one where there are too many.
func WithConn(ctx context.Context, keep func()) context.Context {
	return context.WithValue(ctx, connKey, keep)
}

// KeepConn marks the connection of a context that WithConn made as that of somebody who
// is known.
func KeepConn(ctx context.Context) {
	if keep, ok := ctx.Value(connKey).(func()); ok {
		keep()
	}
}

// keepConnOpen marks the connection and the body of a request as those of somebody who is
// known.
func keepConnOpen(r *http.Request) {
	KeepConn(r.Context())
	if body, ok := r.Context().Value(bodyKey).(*evict.Entry[netip.Addr]); ok {
		body.Keep()
	}
}

// countBody counts the body of a request among those that are received, until done. The oldest
// is cut off when there are too many.
func (s *server) countBody(w http.ResponseWriter, r *http.Request) (_ *http.Request, done func()) {
	var mu sync.Mutex
	answered := false
	entry := s.bodies.Add(remoteAddr(r.RemoteAddr), func() {
		mu.Lock()
		defer mu.Unlock()
		if !answered { // the writer may not be used afterwards
			_ = http.NewResponseController(w).SetReadDeadline(time.Unix(1, 0)) // a writer without deadlines has no body to wait for
		}
	})
	return r.WithContext(context.WithValue(r.Context(), bodyKey, entry)), func() {
		entry.Remove()
		mu.Lock()
		defer mu.Unlock()
		answered = true
	}
}

// stopCountingBody takes a body that has arrived out of the count: what waits for the
// journal is nothing that a newcomer may end.
func stopCountingBody(r *http.Request) {
	if body, ok := r.Context().Value(bodyKey).(*evict.Entry[netip.Addr]); ok {
		body.Remove()
	}
}

// remoteAddr returns the address of a remote "address:port", or the zero Addr.
func remoteAddr(remote string) netip.Addr {
	a, err := netip.ParseAddrPort(remote)
	if err != nil {
		return netip.Addr{}
	}
	return a.Addr().Unmap()
}
