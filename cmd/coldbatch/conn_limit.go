package main

import (
	"context"
	"crypto/tls"
	"net"
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

// connLimit bounds the open connections of all ports.
type connLimit struct {
	networkConns, localConns *evict.Set[netip.Addr]
}

func newConnLimit() *connLimit {
	return &connLimit{evict.New[netip.Addr](maxNetworkConns, maxConnsPerAddress), evict.New[netip.Addr](maxLocalConns, maxLocalConns)}
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
	set := l.limit.networkConns
	if address.IsLoopback() {
		set = l.limit.localConns
	}
	return &limitedConn{Conn: conn, limitEntry: set.Add(address, func() { conn.Close() })}, nil
}

// limitedConn is a connection that counts in a limit.
type limitedConn struct {
	net.Conn
	limitEntry *evict.Entry[netip.Addr]
}

func (c *limitedConn) Close() error {
	c.limitEntry.Remove()
	return c.Conn.Close()
}

// connContext is for http.Server.ConnContext: it lets package web mark a connection as that
// of somebody who is known.
func connContext(ctx context.Context, conn net.Conn) context.Context {
	if t, ok := conn.(*tls.Conn); ok {
		conn = t.NetConn()
	}
	if c, ok := conn.(*limitedConn); ok {
		return web.WithConn(ctx, c.limitEntry.Keep)
	}
	return ctx
}
