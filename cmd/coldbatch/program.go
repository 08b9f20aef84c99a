package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log"
	"net"
	"net/http"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"coldbatch/internal/calc"
	"coldbatch/internal/exchange"
	"coldbatch/internal/hub"
	"coldbatch/internal/rights"
	"coldbatch/internal/store"
	"coldbatch/internal/web"
	"coldbatch/internal/zone"
	"coldbatch/static"
)

// Program is the running program. Set the fields, then Run; it serves until
// Close. Several can run in one process, each on its own folder.
type Program struct {
	Data    string // folder of the journal
	Port    int    // 0: the one the journal fixed, or the default
	AnyPort bool   // take whatever port is free: for tests
	Zone    string // of the machine, for the first run
	Example bool
	Log     *log.Logger

	journal *store.Store
	example *store.Store
	real    *hub.Hub
	current atomic.Pointer[hub.Hub] // the example's, and from its end on the real one
	listens []net.Listener
	server  *http.Server
	control *control
	failed  chan error
	mu      sync.Mutex // guards example once it is served
}

// Run opens the journal and the port and begins to serve. When it fails nothing
// is left open.
func (p *Program) Run() (err error) {
	defer func() {
		if err != nil {
			p.Close()
		}
	}()
	handler, err := web.New(p.app())
	if err != nil {
		return err
	}
	if p.journal, err = store.Open(filepath.Join(p.Data, journalFile), store.Options{Wait: time.Second}); err != nil {
		return err
	}
	if err := p.listen(); err != nil {
		return err
	}
	p.server = &http.Server{Handler: handler, ReadHeaderTimeout: 10 * time.Second, IdleTimeout: 2 * time.Minute, ErrorLog: p.Log}
	p.failed = make(chan error, len(p.listens))
	wish := hub.Identity{Port: p.Port, Zone: p.Zone}
	if p.real, err = hub.Open(bolt{p.journal}, wish, world()); err != nil {
		return err
	}
	p.current.Store(p.real)
	if p.Example {
		if err := p.openExample(); err != nil {
			return err
		}
	}
	if p.control, err = listenControl(p.Data, p.journal); err != nil {
		p.Log.Printf("no control socket, so check and backup wait until the program has stopped: %v", err)
	}
	for _, l := range p.listens {
		go func() {
			if err := p.server.Serve(l); !errors.Is(err, http.ErrServerClosed) {
				p.failed <- err
			}
		}()
	}
	return nil
}

// Failed gives an error that ended the serving by itself.
func (p *Program) Failed() <-chan error { return p.failed }

// URL is the address to open.
func (p *Program) URL() string { return fmt.Sprintf("http://localhost:%d", p.Port) }

// Close stops serving, lets what is being answered finish, and closes the files.
func (p *Program) Close() error {
	if h := p.current.Load(); h != nil {
		h.Close() // ends the event streams, which would never finish
	}
	if p.server != nil {
		ctx, stop := context.WithTimeout(context.Background(), 3*time.Second)
		defer stop()
		if p.server.Shutdown(ctx) != nil {
			p.server.Close()
		}
	}
	for _, l := range p.listens {
		l.Close() // one that was not served yet; the others are closed
	}
	p.control.Close()
	err := p.closeExample()
	if p.journal != nil {
		err = errors.Join(err, p.journal.Close())
		p.journal = nil
	}
	return err
}

// listen opens the port on this machine alone, for IPv4 and where there is one
// for IPv6, and sets p.Port to it.
func (p *Program) listen() error {
	id, known, err := hub.Known(bolt{p.journal})
	switch {
	case err != nil:
		return err
	case known && p.Port == 0:
		p.Port = id.Port
	case p.Port == 0 && !p.AnyPort:
		p.Port = hub.DefaultPort
	}
	four, err := net.Listen("tcp", fmt.Sprintf("127.0.0.1:%d", p.Port))
	if err != nil {
		return busy(p.Port, err)
	}
	p.listens = append(p.listens, four)
	p.Port = four.Addr().(*net.TCPAddr).Port
	six, err := net.Listen("tcp", fmt.Sprintf("[::1]:%d", p.Port))
	switch {
	case err == nil:
		p.listens = append(p.listens, six)
	case inUse(err): // a browser may take ::1 for localhost, and would reach a stranger
		return busy(p.Port, err)
	}
	return nil
}

// app joins the use cases to the web.
func (p *Program) app() web.App {
	return web.App{
		Static:  static.Files,
		Who:     func(string) (rights.Asker, error) { return rights.Asker{Role: rights.Stranger}, nil },
		Local:   func() rights.Asker { return rights.Asker{Role: rights.Owner} },
		Hosts:   func() []string { return nil },
		Network: func() web.Network { return web.Network{} },
		About:   func(rights.Asker) (any, error) { return p.current.Load().About(buildVersion()) },
		Join: web.Body(func(_ rights.Asker, q hub.JoinRequest) (*hub.Joined, error) {
			return p.current.Load().Join(q)
		}),
		Exchange: web.Body(func(_ rights.Asker, q exchange.Request) (*exchange.Answer, error) {
			return p.current.Load().Exchange(q)
		}),
		Bag:        func(_ rights.Asker, code string) (any, error) { return p.current.Load().Bag(code) },
		EndExample: p.endExample,
		Events:     func() (<-chan uint64, func()) { return p.current.Load().Subscribe() },
		Env: func(name string) (calc.Env, error) {
			now := world().Now()
			table, err := p.current.Load().Table(name, now)
			return env(now, table), err
		},
		Log: p.Log,
	}
}

// env is what a sum may know.
func env(now zone.Instant, table zone.Table) calc.Env {
	return calc.Env{Now: now, Zone: table, Zones: func(name string) (zone.Table, error) {
		return hub.ZoneTable(name, now.Add(-40*366*zone.Day), now.Add(10*366*zone.Day))
	}}
}

// world is the machine's clock and randomness.
func world() hub.World {
	return hub.World{
		Now:    func() zone.Instant { return zone.Instant(time.Now().UnixMilli()) },
		Random: func(b []byte) { rand.Read(b) }, // never fails, see its documentation
	}
}

// bolt is the store as the hub's journal.
type bolt struct{ *store.Store }

func (b bolt) View(do func(hub.Tx) error) error {
	return b.Store.View(func(tx *store.Tx) error { return do(tx) })
}

func (b bolt) Update(do func(hub.Tx) error) error {
	return b.Store.Update(func(tx *store.Tx) error { return do(tx) })
}
