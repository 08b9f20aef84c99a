package main

import (
	"fmt"
	"net"
	"net/http/httptest"
	"net/netip"
	"testing"

	"coldbatch/internal/web"
)

// addressedListener accepts the connections that it is given.
type addressedListener struct {
	net.Listener
	next chan net.Conn
}

func (l addressedListener) Accept() (net.Conn, error) { return <-l.next, nil }

// addressedConn is a connection that seems to come from an address.
type addressedConn struct {
	net.Conn
	from   netip.AddrPort
	closed bool
}

func (c *addressedConn) RemoteAddr() net.Addr { return net.TCPAddrFromAddrPort(c.from) }
func (c *addressedConn) Close() error         { c.closed = true; return nil }

// A thousand idle connections from the network do not close those of this computer and of
// the phones, and no more of them stay open than the limit.
func TestIdleConnectionsBlockNoOne(t *testing.T) {
	next := make(chan net.Conn, 1)
	l := limitedListener{addressedListener{next: next}, newConnLimit()}
	open := func(from string) (*addressedConn, net.Conn) {
		t.Helper()
		c := &addressedConn{from: netip.MustParseAddrPort(from)}
		next <- c
		accepted, err := l.Accept()
		if err != nil {
			t.Fatal(err)
		}
		return c, accepted
	}
	stillOpen := func(list []*addressedConn) (n int) {
		for _, c := range list {
			if !c.closed {
				n++
			}
		}
		return n
	}
	owner, _ := open("127.0.0.1:5000")
	phone, accepted := open("192.168.1.7:5000")
	request, done := limitRequest(httptest.NewRequestWithContext(connContext(t.Context(), accepted), "GET", "/", nil))
	web.KeepConn(request.Context()) // as when a request of a paired phone came
	done()
	var one, many []*addressedConn
	for i := range 1000 {
		c, _ := open(fmt.Sprintf("192.168.1.66:%d", 1000+i))
		one = append(one, c)
	}
	if n := stillOpen(one); n != maxConnsPerAddress {
		t.Errorf("one address has %d connections", n)
	}
	for i := range 1000 {
		c, _ := open(fmt.Sprintf("[fd00::%x]:5000", i))
		many = append(many, c)
	}
	if n := stillOpen(one) + stillOpen(many); n != maxNetworkConns-1 {
		t.Errorf("strangers have %d connections, beside one of a phone", n)
	}
	newcomer, _ := open("192.168.1.8:5000")
	for why, c := range map[string]*addressedConn{"this computer": owner, "the phone": phone, "the newcomer": newcomer} {
		if c.closed {
			t.Errorf("%s lost the connection", why)
		}
	}
	var local []*addressedConn
	for i := range 1000 {
		c, _ := open(fmt.Sprintf("127.0.0.1:%d", 6000+i))
		local = append(local, c)
	}
	if n := stillOpen(local); n != maxLocalConns {
		t.Errorf("this computer has %d connections", n)
	}
	if phone.closed {
		t.Error("this computer's connections closed the phone's")
	}
}

// Strangers who leave thousands of requests unanswered, many on each connection, lose their
// connections; that of a phone stays.
func TestUnansweredRequestsAreBounded(t *testing.T) {
	next := make(chan net.Conn, 1)
	l := limitedListener{addressedListener{next: next}, newConnLimit()}
	open := func(from string, requests int) *addressedConn {
		t.Helper()
		c := &addressedConn{from: netip.MustParseAddrPort(from)}
		next <- c
		accepted, err := l.Accept()
		if err != nil {
			t.Fatal(err)
		}
		for range requests {
			r, _ := limitRequest(httptest.NewRequestWithContext(connContext(t.Context(), accepted), "GET", "/", nil))
			if requests == 1 {
				web.KeepConn(r.Context())
			}
		}
		return c
	}
	phone := open("192.168.1.7:5000", 1)
	var strangers []*addressedConn
	for i := range 256 {
		strangers = append(strangers, open(fmt.Sprintf("[fd00::%x]:5000", i), maxStreams))
	}
	if n := l.limit.networkRequests.Len(); n > maxRequests {
		t.Errorf("%d requests are being answered", n)
	}
	if phone.closed || strangers[255].closed {
		t.Errorf("closed: the phone %v, the newcomer %v", phone.closed, strangers[255].closed)
	}
	if !strangers[0].closed {
		t.Error("the oldest stranger is still connected")
	}
}
