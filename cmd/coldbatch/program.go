package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"log"
	"net/http"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"coldbatch/internal/api"
	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/lan"
	"coldbatch/internal/store"
	"coldbatch/internal/web"
	"coldbatch/internal/zone"
)

// Program is one coldbatch server: its settings and, from Run to Close, what it runs. Set
// the exported fields, then call Run; it serves until Close. Several can run in one process, each on its own folder.
type Program struct {
	Data      string // folder of the journal
	Port      int    // of plain http; 0: the journal's, or the default
	HTTPS     int    // of https; 0 as for Port
	AnyPort   bool   // use any free ports: for tests
	Name      string // in the home network, at the first run; empty: the default
	LocalOnly bool   // answer on this computer alone
	Cert      string // file of the owner's own certificate; empty: the program's own authority
	Key       string // file of its key
	Zone      string // of the machine, at the first run
	Example   bool
	Dev       bool      // serve the app's modules as they are, not bundled
	OnReady   string    // file of the command to run when bags are ready; empty: none
	Terminal  io.Writer // where the bell rings for that; nil: nowhere
	Log       *log.Logger

	journal    *store.Store
	journalHub *hub.Hub
	activeHub  atomic.Pointer[hub.Hub] // the example's while it is open, else journalHub
	renderer   labelRenderer
	ports      ports
	servers    []*http.Server
	network    *networkState // nil with LocalOnly
	control    *control
	failures   chan error
	stop       context.CancelFunc // ends ctx
	ctx        context.Context    // of the goroutines and the requests
	goroutines sync.WaitGroup     // all that the program started but those of connections
	serving    sync.WaitGroup     // open connections, and requests that are being answered
	openConns  sync.Map           // net.Conn: those counted in serving
	connLimit  *connLimit

	exampleMu sync.Mutex
	example   *store.Store // nil once removed
}

// Run opens the journal, the ports and the network, and begins to serve. When it fails
// it leaves nothing open.
func (p *Program) Run() (err error) {
	p.ctx, p.stop = context.WithCancel(context.Background())
	p.renderer, p.connLimit = newLabelRenderer(), newConnLimit()
	defer func() {
		if err != nil {
			err = errors.Join(err, p.Close())
		}
	}()
	full, plain, err := web.New(p.app())
	if err != nil {
		return err
	}
	if p.journal, err = store.Open(filepath.Join(p.Data, journalFile), store.Options{LockWait: time.Second, OnDamage: p.logDamage}); err != nil {
		return err
	}
	if err := photosIn(p.Data).RemoveIncomplete(); err != nil { // whoever has the journal's lock has the photos
		return err
	}
	if err := p.listen(); err != nil {
		return err
	}
	wish := api.Identity{HTTPPort: p.Port, HTTPSPort: p.HTTPS, Zone: p.Zone}
	if p.Name != "" {
		if wish.Host, err = lan.ReadHost(p.Name); err != nil {
			return err
		}
	}
	if p.journalHub, err = hub.Open(storeJournal{p.journal}, wish, machineSystem()); err != nil {
		return err
	}
	p.activeHub.Store(p.journalHub)
	if p.journalHub.WaitsForOwner() {
		p.Log.Print("this journal is a backup that was put back: helpers and calendars wait until a phone of yours has synced, or you pair one. " +
			"Remove again each phone of yours that you had removed since the backup was made")
	}
	if p.Example {
		if err := p.openExample(p.ctx); err != nil {
			return err
		}
	}
	if !p.LocalOnly {
		if err := p.joinNetwork(); err != nil {
			return err
		}
	}
	if p.control, err = p.listenControl(); err != nil {
		p.Log.Printf("no control socket, so the other commands wait until the program has stopped: %v", err)
	}
	if (p.OnReady != "" || p.Terminal != nil) && !p.Example {
		p.startGoroutine(readyWatcher{p, p.OnReady, p.Terminal}.run)
	}
	p.failures = make(chan error, len(p.ports.listeners()))
	p.serve(web.RouteByOrigin(full, plain), p.ports.http, nil)
	if p.network != nil {
		p.serve(full, p.ports.https, p.network.tlsConfig())
	}
	return nil
}

// Failed returns a channel that gets an error when a server stops by itself.
func (p *Program) Failed() <-chan error { return p.failures }

// URL is the address to open on this computer.
func (p *Program) URL() string { return fmt.Sprintf("http://localhost:%d", p.Port) }

// shutdownTime says how long Close lets requests finish.
const shutdownTime = 3 * time.Second

// Close stops serving and closes the files. Requests may finish for shutdownTime; then
// their contexts end. When Close returns, no goroutine of the program runs.
func (p *Program) Close() error {
	if h := p.activeHub.Load(); h != nil {
		h.Close() // ends the event streams, which would never finish by themselves
	}
	ctx, cancel := context.WithTimeout(context.Background(), shutdownTime)
	defer cancel()
	servers := p.servers
	if p.control != nil {
		servers = append(servers, p.control.server)
	}
	for _, s := range servers {
		if s.Shutdown(ctx) != nil {
			p.stop()
			s.Close()
		}
	}
	if p.stop != nil {
		p.stop()
	}
	p.ports.Close()
	p.goroutines.Wait() // no server accepts a connection any more
	p.serving.Wait()
	err := p.removeExample()
	if p.journal != nil {
		err = errors.Join(err, p.journal.Close())
		p.journal = nil
	}
	return err
}

// logDamage logs a damaged part of the journal, which is left out.
func (p *Program) logDamage(f *fault.Fault) { p.Log.Print(f) }

// startGoroutine runs f in a goroutine that Close waits for. f must return when ctx ends.
func (p *Program) startGoroutine(f func(ctx context.Context)) {
	p.goroutines.Go(func() { f(p.ctx) })
}

// machineSystem is the machine's clock and random source.
func machineSystem() hub.System {
	return hub.System{
		Now:    func() zone.Instant { return zone.Instant(time.Now().UnixMilli()) },
		Random: func(b []byte) { rand.Read(b) }, // never fails, see its documentation
	}
}

// storeJournal adapts a store to hub.Journal.
type storeJournal struct{ *store.Store }

func (b storeJournal) View(read func(hub.Tx) error) error {
	return b.Store.View(func(tx *store.Tx) error { return read(tx) })
}

func (b storeJournal) Update(write func(hub.Tx) error) error {
	return b.Store.Update(func(tx *store.Tx) error { return write(tx) })
}
