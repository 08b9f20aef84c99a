package main

import (
	"bytes"
	"context"
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

// ports are the program's listeners: for plain http, and for https unless it answers on
// this computer alone.
type ports struct {
	http, https []net.Listener
}

// listeners returns every listener.
func (l ports) listeners() []net.Listener {
	return append(l.http[:len(l.http):len(l.http)], l.https...)
}

// Close closes all listeners.
func (l ports) Close() {
	for _, x := range l.listeners() {
		x.Close()
	}
}

// listen opens the ports and sets p.Port and p.HTTPS to them: the requested ones, else
// those stored in the journal, else the default ones.
func (p *Program) listen() error {
	id, known, err := hub.ReadIdentity(storeJournal{p.journal})
	if err != nil {
		return err
	}
	choose := func(port *int, stored, usual int) {
		switch {
		case *port != 0:
		case known:
			*port = stored
		case !p.AnyPort:
			*port = usual
		}
	}
	choose(&p.Port, id.HTTPPort, hub.DefaultPort)
	choose(&p.HTTPS, id.HTTPSPort, hub.DefaultHTTPS)
	if p.Port == p.HTTPS && p.Port != 0 {
		return fault.New(fault.Input, "port %d cannot serve both http and https", p.Port).WithHint("give --port and --https different numbers")
	}
	if p.ports.http, err = p.openPort(&p.Port); err != nil {
		return err
	}
	if !p.LocalOnly {
		p.ports.https, err = p.openPort(&p.HTTPS)
	}
	return err
}

// openPort opens a port for IPv4 and, where the computer has it, IPv6; with LocalOnly on
// this computer alone. Port 0 means any, and is set to the one that was opened.
func (p *Program) openPort(port *int) ([]net.Listener, error) {
	if !p.LocalOnly {
		// On some systems another program may listen on this computer alone beside one
		// that listens everywhere, and would get our requests.
		if c, err := net.DialTimeout("tcp", fmt.Sprintf("127.0.0.1:%d", *port), time.Second); err == nil && *port != 0 {
			c.Close()
			return nil, portError(*port, syscall.EADDRINUSE)
		}
		l, err := net.Listen("tcp", fmt.Sprintf(":%d", *port))
		if err != nil {
			return nil, portError(*port, err)
		}
		*port = l.Addr().(*net.TCPAddr).Port
		return []net.Listener{l}, nil
	}
	four, err := net.Listen("tcp", fmt.Sprintf("127.0.0.1:%d", *port))
	if err != nil {
		return nil, portError(*port, err)
	}
	*port = four.Addr().(*net.TCPAddr).Port
	six, err := net.Listen("tcp", fmt.Sprintf("[::1]:%d", *port))
	switch {
	case err == nil:
		return []net.Listener{four, six}, nil
	case isInUse(err): // a browser may use ::1 for localhost, and would reach that other program
		four.Close()
		return nil, portError(*port, err)
	}
	return []net.Listener{four}, nil
}

// portError returns a fault that says why a port cannot be opened.
func portError(port int, err error) error {
	if isInUse(err) {
		return fault.New(fault.Conflict, "port %d is in use by another program", port).
			WithHint("stop that program, which may be another coldbatch")
	}
	return fault.New(fault.Unavailable, "port %d cannot be opened: %v", port, err).
		WithHint("ports below 1024 often need special rights")
}

// isInUse reports whether err says that a port is in use. Windows has its own error number for that
// (WSAEADDRINUSE), which package syscall does not map.
func isInUse(err error) bool {
	var n syscall.Errno
	return errors.As(err, &n) && (n == syscall.EADDRINUSE || n == 10048)
}

// writeTimeout bounds how long a phone may take to read an answer, so that one that went
// out of range does not hold the connection. The app itself stops waiting sooner. The event
// stream sets its own deadlines.
const writeTimeout = 3 * time.Minute

// serve serves a handler on listeners until the program closes, by https where config is
// not nil.
func (p *Program) serve(handler http.Handler, listeners []net.Listener, config *tls.Config) {
	s := &http.Server{Handler: p.countRequests(handler), TLSConfig: config, ReadHeaderTimeout: 10 * time.Second,
		WriteTimeout: writeTimeout, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: maxHeaderBytes,
		HTTP2: &http.HTTP2Config{MaxConcurrentStreams: maxStreams}, ConnContext: connContext,
		ErrorLog:    log.New(handshakeErrorFilter{p.Log.Writer()}, p.Log.Prefix(), p.Log.Flags()),
		BaseContext: func(net.Listener) context.Context { return p.ctx }, ConnState: p.countConns}
	p.servers = append(p.servers, s)
	for _, l := range listeners {
		l = limitedListener{l, p.connLimit}
		p.startGoroutine(func(context.Context) {
			serve := s.Serve
			if config != nil {
				serve = func(l net.Listener) error { return s.ServeTLS(l, "", "") }
			}
			if err := serve(l); !errors.Is(err, http.ErrServerClosed) {
				p.failures <- err
			}
		})
	}
}

// countConns counts the open connections, each of which has goroutines. Close waits for
// them.
func (p *Program) countConns(conn net.Conn, state http.ConnState) {
	switch state {
	case http.StateNew:
		if _, known := p.openConns.LoadOrStore(conn, true); !known {
			p.serving.Add(1)
		}
	case http.StateClosed, http.StateHijacked:
		if _, known := p.openConns.LoadAndDelete(conn); known {
			p.serving.Done()
		}
	}
}

// countRequests counts and limits the requests that are being answered. Close waits for
// them: with HTTP/2 they may outlast their connection.
func (p *Program) countRequests(handler http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		p.serving.Add(1)
		defer p.serving.Done()
		r, done := limitRequest(r)
		defer done()
		handler.ServeHTTP(w, r)
	})
}

// handshakeErrorFilter is a log without failed TLS handshakes: a phone that does not trust
// the certificate yet says so on its own screen.
type handshakeErrorFilter struct{ io.Writer }

func (w handshakeErrorFilter) Write(line []byte) (int, error) {
	if bytes.Contains(line, []byte("TLS handshake error")) {
		return len(line), nil
	}
	return w.Writer.Write(line)
}
