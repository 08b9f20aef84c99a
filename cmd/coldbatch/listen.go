package main

import (
	"bytes"
	"crypto/tls"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"syscall"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
)

// ports are where the program answers: plain http, and https unless it answers on
// this computer alone.
type ports struct {
	http, https []net.Listener
}

// all gives every listener.
func (l ports) all() []net.Listener { return append(l.http[:len(l.http):len(l.http)], l.https...) }

// Close closes all that were not served yet.
func (l ports) Close() {
	for _, x := range l.all() {
		x.Close()
	}
}

// listen opens the ports and sets p.Port and p.HTTPS to them. They are those that
// the journal fixed, or else those wished for, or the usual ones.
func (p *Program) listen() error {
	id, known, err := hub.ReadIdentity(bolt{p.journal})
	if err != nil {
		return err
	}
	choose := func(port *int, fixed, usual int) {
		switch {
		case *port != 0:
		case known:
			*port = fixed
		case !p.AnyPort:
			*port = usual
		}
	}
	choose(&p.Port, id.Port, hub.DefaultPort)
	choose(&p.HTTPS, id.HTTPS, hub.DefaultHTTPS)
	if p.Port == p.HTTPS && p.Port != 0 {
		return fault.New(fault.Input, "port %d cannot be that of http and of https", p.Port).WithHint("give --port and --https two numbers")
	}
	if p.ports.http, err = p.open(&p.Port); err != nil {
		return err
	}
	if !p.Here {
		p.ports.https, err = p.open(&p.HTTPS)
	}
	return err
}

// open opens a port, on this computer alone where that is asked for, for IPv4 and
// where there is one for IPv6. port 0 is any, and set to the one that it became.
func (p *Program) open(port *int) ([]net.Listener, error) {
	if !p.Here {
		// A program that listens on this computer alone would not be in the way of
		// one that listens everywhere on some systems, and would get our requests.
		if c, err := net.DialTimeout("tcp", fmt.Sprintf("127.0.0.1:%d", *port), time.Second); err == nil && *port != 0 {
			c.Close()
			return nil, busy(*port, syscall.EADDRINUSE)
		}
		l, err := net.Listen("tcp", fmt.Sprintf(":%d", *port))
		if err != nil {
			return nil, busy(*port, err)
		}
		*port = l.Addr().(*net.TCPAddr).Port
		return []net.Listener{l}, nil
	}
	four, err := net.Listen("tcp", fmt.Sprintf("127.0.0.1:%d", *port))
	if err != nil {
		return nil, busy(*port, err)
	}
	*port = four.Addr().(*net.TCPAddr).Port
	six, err := net.Listen("tcp", fmt.Sprintf("[::1]:%d", *port))
	switch {
	case err == nil:
		return []net.Listener{four, six}, nil
	case inUse(err): // a browser may take ::1 for localhost, and would reach a stranger
		four.Close()
		return nil, busy(*port, err)
	}
	return []net.Listener{four}, nil
}

// busy says that a port cannot be had.
func busy(port int, err error) error {
	if inUse(err) {
		return fault.New(fault.Conflict, "port %d is busy: another program listens there", port).
			WithHint("stop that program, or a coldbatch that still runs")
	}
	return fault.New(fault.Unavailable, "port %d cannot be opened: %v", port, err).
		WithHint("ports below 1024 often need special rights")
}

// inUse says whether a port is taken. Windows has a number of its own for it
// (WSAEADDRINUSE), which package syscall does not map.
func inUse(err error) bool {
	var n syscall.Errno
	return errors.As(err, &n) && (n == syscall.EADDRINUSE || n == 10048)
}

// toEnd is how long an answer may take to be read: a phone that walked off, or only
// pretends to read, must not hold the connection. The app gives up earlier. The event
// stream has times of its own.
const toEnd = 3 * time.Minute

// serveOn serves a handler on listeners until the program closes; with a
// certificate by https.
func (p *Program) serveOn(handler http.Handler, list []net.Listener, certificate *tls.Config) {
	s := &http.Server{Handler: handler, TLSConfig: certificate, ReadHeaderTimeout: 10 * time.Second,
		WriteTimeout: toEnd, IdleTimeout: 2 * time.Minute, ErrorLog: log.New(unlessHandshake{p.Log.Writer()}, p.Log.Prefix(), p.Log.Flags())}
	p.servers = append(p.servers, s)
	for _, l := range list {
		go func() {
			serve := s.Serve
			if certificate != nil {
				serve = func(l net.Listener) error { return s.ServeTLS(l, "", "") }
			}
			if err := serve(l); !errors.Is(err, http.ErrServerClosed) {
				p.failed <- err
			}
		}()
	}
}

// unlessHandshake keeps out of the log that a phone does not trust the
// certificate yet: it is told so on its own screen.
type unlessHandshake struct{ io.Writer }

func (w unlessHandshake) Write(line []byte) (int, error) {
	if bytes.Contains(line, []byte("TLS handshake error")) {
		return len(line), nil
	}
	return w.Writer.Write(line)
}
