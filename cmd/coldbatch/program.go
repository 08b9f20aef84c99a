package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log"
	"net/http"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/lan"
	"coldbatch/internal/store"
	"coldbatch/internal/web"
	"coldbatch/internal/zone"
)

// Program is the running program. Set the fields, then Run; it serves until
// Close. Several can run in one process, each on its own folder.
type Program struct {
	Data    string // folder of the journal
	Port    int    // of plain http; 0: the one the journal fixed, or the default
	HTTPS   int    // of https; 0 as Port
	AnyPort bool   // take whatever ports are free: for tests
	Name    string // in the home network, for the first run; empty: the default
	Here    bool   // answer on this computer alone
	Cert    string // file of the owner's own certificate; empty: the program's own authority
	Key     string // file of its key
	Zone    string // of the machine, for the first run
	Example bool
	Log     *log.Logger

	journal *store.Store
	example *store.Store
	real    *hub.Hub
	current atomic.Pointer[hub.Hub] // the example's, and from its end on the real one
	ports   ports
	servers []*http.Server
	network *presence // nil where it answers on this computer alone
	control *control
	failed  chan error
	stop    context.CancelFunc
	mu      sync.Mutex // guards example once it is served
}

// Run opens the journal, the ports and the network and begins to serve. When it
// fails nothing is left open.
func (p *Program) Run() (err error) {
	defer func() {
		if err != nil {
			p.Close()
		}
	}()
	full, plain, err := web.New(p.app())
	if err != nil {
		return err
	}
	ctx, stop := context.WithCancel(context.Background())
	p.stop = stop
	if p.journal, err = store.Open(filepath.Join(p.Data, journalFile), store.Options{Wait: time.Second, OnDamage: p.logDamage}); err != nil {
		return err
	}
	if err := photosOf(p.Data).Tidy(); err != nil { // the journal is ours, so the photos are
		return err
	}
	if err := p.listen(); err != nil {
		return err
	}
	wish := hub.Identity{Port: p.Port, HTTPS: p.HTTPS, Zone: p.Zone}
	if p.Name != "" {
		if wish.Host, err = lan.ReadHost(p.Name); err != nil {
			return err
		}
	}
	if !p.Here {
		if err := p.free(ctx, wish); err != nil {
			return err
		}
	}
	if p.real, err = hub.Open(bolt{p.journal}, wish, world()); err != nil {
		return err
	}
	p.current.Store(p.real)
	if p.Example {
		if err := p.openExample(); err != nil {
			return err
		}
	}
	if !p.Here {
		if err := p.joinNetwork(ctx); err != nil {
			return err
		}
	}
	if p.control, err = p.listenControl(); err != nil {
		p.Log.Printf("no control socket, so the other commands wait until the program has stopped: %v", err)
	}
	p.failed = make(chan error, len(p.ports.all()))
	p.serveOn(web.Port(full, plain), p.ports.http, nil)
	if p.network != nil {
		p.serveOn(full, p.ports.https, p.network.tls())
	}
	return nil
}

// Failed gives an error that ended the serving by itself.
func (p *Program) Failed() <-chan error { return p.failed }

// URL is the address to open on this computer.
func (p *Program) URL() string { return fmt.Sprintf("http://localhost:%d", p.Port) }

// Close stops serving, lets what is being answered finish, and closes the files.
func (p *Program) Close() error {
	if p.stop != nil {
		p.stop()
	}
	if h := p.current.Load(); h != nil {
		h.Close() // ends the event streams, which would never finish
	}
	ctx, stop := context.WithTimeout(context.Background(), 3*time.Second)
	defer stop()
	for _, s := range p.servers {
		if s.Shutdown(ctx) != nil {
			s.Close()
		}
	}
	p.ports.Close()
	p.control.Close()
	err := p.closeExample()
	if p.journal != nil {
		err = errors.Join(err, p.journal.Close())
		p.journal = nil
	}
	return err
}

// logDamage tells of a damaged part of the journal that is read past.
func (p *Program) logDamage(f *fault.Fault) { p.Log.Print(f) }

// world is the machine's clock and randomness.
func world() hub.System {
	return hub.System{
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
