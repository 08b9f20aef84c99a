package main

import (
	"context"
	"crypto/tls"
	"net"
	"net/http"
	"net/netip"

	"coldbatch/internal/evict"
	"coldbatch/internal/web"
)

// Open connections. With one more than these the oldest is closed, a stranger's before
// that of a phone. This computer has a number of its own, which nobody in the network
// can use up. Both together leave half of the 1,024 descriptors that a process often has
// to files.
const (
	maxNetworkConns    = 256 // on all ports together
	maxConnsPerAddress = 64
	maxLocalConns      = 256
)

// Bounds of what a connection may hold: the header of a request, and the requests of one
// connection by HTTP/2, each of which has goroutines and buffers.
const (
	maxHeaderBytes = 16 << 10
	maxStreams     = 32
)

// Requests that are being answered. Whoever asks by HTTP/2 and reads nothing keeps each of
// them open, on every connection. With one more than these the connection of the oldest is
// closed. This computer has as many of its own.
const (
	maxRequests           = 256
	maxRequestsPerAddress = 128
)

// connLimit bounds the open connections of all ports, and the requests on them.
type connLimit struct {
	networkConns, localConns       *evict.Set[netip.Addr]
	networkRequests, localRequests *evict.Set[netip.Addr]
}

func newConnLimit() *connLimit {
	return &connLimit{
		networkConns:    evict.New[netip.Addr](maxNetworkConns, maxConnsPerAddress),
		localConns:      evict.New[netip.Addr](maxLocalConns, maxLocalConns),
		networkRequests: evict.New[netip.Addr](maxRequests, maxRequestsPerAddress),
		localRequests:   evict.New[netip.Addr](maxRequests, maxRequests),
	}
}

// limitedListener accepts connections that count in a limit until they are closed.
type limitedListener struct {
	net.Listener
	limit *connLimit
}

func (l limitedListener) Accept() (net.Conn, error) {
	conn, err := l.Listener.Accept()
	if err != nil {
		return nil, err
	}
	var address netip.Addr
	if a, err := netip.ParseAddrPort(conn.RemoteAddr().String()); err == nil {
		address = a.Addr().Unmap()
	}
	conns, requests := l.limit.networkConns, l.limit.networkRequests
	if address.IsLoopback() {
		conns, requests = l.limit.localConns, l.limit.localRequests
	}
	return &limitedConn{Conn: conn, address: address, limitEntry: conns.Add(address, func() { conn.Close() }), requests: requests}, nil
}

// limitedConn is a connection that counts in a limit.
type limitedConn struct {
	net.Conn
	address    netip.Addr
	limitEntry *evict.Entry[netip.Addr]
	requests   *evict.Set[netip.Addr]
}

func (c *limitedConn) Close() error {
	c.limitEntry.Remove()
	return c.Conn.Close()
}

// connKey is the key of a request's *limitedConn in its context.
type connKey struct{}

// connContext is for http.Server.ConnContext: it adds the connection for limitRequest.
func connContext(ctx context.Context, conn net.Conn) context.Context {
	if t, ok := conn.(*tls.Conn); ok {
		conn = t.NetConn()
	}
	return context.WithValue(ctx, connKey{}, conn)
}

// limitRequest counts a request in the limit until done. It lets package web mark the
// request and its connection as those of somebody who is known.
func limitRequest(r *http.Request) (_ *http.Request, done func()) {
	c, ok := r.Context().Value(connKey{}).(*limitedConn)
	if !ok {
		return r, func() {}
	}
	entry := c.requests.Add(c.address, func() { c.Close() })
	keep := func() {
		c.limitEntry.Keep()
		entry.Keep()
	}
	return r.WithContext(web.WithConn(r.Context(), keep)), entry.Remove
}
