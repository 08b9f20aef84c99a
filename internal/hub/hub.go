// Package hub holds the use cases of the program at home: it fixes its identity at
// the first run, pairs and revokes phones, exchanges facts with them, leases bag
// numbers, records readings of sensors, and shows a bag. Call Open with a journal;
// then AskerByToken identifies an asker, and Pair, Exchange, ViewBag, Phones and the
// other methods serve it. The package uses no network and no file: both are interfaces
// that it declares, and it is given a clock and a random source.
package hub

import (
	"sync"

	"coldbatch/internal/api"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// Journal stores facts. What Update wrote is on disk when it returns nil.
type Journal interface {
	View(func(Tx) error) error
	Update(func(Tx) error) error
}

// Tx is one transaction on a journal. Facts have sequence numbers 1, 2, 3 … in the
// order in which they arrived.
type Tx interface {
	Has(journal.ID) bool
	Append(journal.Fact) (seq uint64, err error) // does not replace a known fact
	Since(seq uint64, each func(seq uint64, f journal.Fact) bool) error
	IDAt(seq uint64) (journal.ID, bool)
	Last() uint64
	Scope(journal.Scope) ([]journal.Fact, error)
	Scopes() []journal.Scope
	Meta(key string) []byte
	SetMeta(key string, value []byte) error
	Cache(key string) []byte // what can be computed again; an empty value means none
	SetCache(key string, value []byte) error
}

// System is what the hub needs of the machine: its clock and a random source.
type System struct {
	Now    func() zone.Instant
	Random func([]byte)
}

// Hub is the use cases on one journal. Its methods may be called concurrently. Each
// that takes a context stops when the context ends, and then has written nothing.
type Hub struct {
	api.Identity
	Example bool // an invented journal, which exchanges with no phone

	journal Journal
	system  System
	epoch   string // of the facts that this run writes

	accessLock    lock // held by the one change of the access list
	factWriteLock lock // held by the one transaction that writes facts, until the derived cache agrees

	mu              sync.Mutex
	subscribers     map[chan uint64]bool // nil once closed
	access          accessList
	derived         derivedCache
	lastReadings    map[string]lastReading      // by the hash of the sensor's token
	lastSeen        map[journal.ID]zone.Instant // the last exchange of each phone since the start
	latestTimeShown zone.Instant                // the latest time that the clock has shown
	putBack         putBack
}

// Open opens the use cases on j. At the first run it fixes the identity by wanted; on
// later runs it returns a fault when wanted differs from the stored one.
func Open(j Journal, wanted api.Identity, s System) (*Hub, error) {
	id, known, err := ReadIdentity(j)
	if err != nil {
		return nil, err
	}
	if known {
		if err := checkWantedIdentity(id, wanted); err != nil {
			return nil, err
		}
	} else if id, err = createIdentity(j, wanted, s); err != nil {
		return nil, err
	}
	access, err := readAccess(j)
	if err != nil {
		return nil, err
	}
	latest, err := readClock(j, access)
	if err != nil {
		return nil, err
	}
	back, err := readPutBack(j)
	if err != nil {
		return nil, err
	}
	return &Hub{Identity: id, journal: j, putBack: back, system: s, epoch: newEpoch(s), access: access, latestTimeShown: latest,
		accessLock: newLock(), factWriteLock: newLock(),
		subscribers:  map[chan uint64]bool{},
		derived:      derivedCache{summaries: map[journal.ID]batchSummary{}},
		lastReadings: map[string]lastReading{},
		lastSeen:     map[journal.ID]zone.Instant{}}, nil
}

// Close ends every subscription. It does not close the journal.
func (h *Hub) Close() {
	h.mu.Lock()
	defer h.mu.Unlock()
	for c := range h.subscribers {
		close(c)
	}
	h.subscribers = nil
}

// Subscribe returns a channel that gets the newest sequence number after facts were
// written. A newer number replaces one that was not received. The channel is closed
// when the hub closes; stop ends the subscription.
func (h *Hub) Subscribe() (seq <-chan uint64, stop func()) {
	c := make(chan uint64, 1)
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.subscribers == nil {
		close(c)
		return c, func() {}
	}
	h.subscribers[c] = true
	return c, func() {
		h.mu.Lock()
		defer h.mu.Unlock()
		delete(h.subscribers, c)
	}
}

// notifySubscribers sends the newest sequence number to every subscriber. 0 means that
// nothing was written, and nothing is sent.
func (h *Hub) notifySubscribers(seq uint64) {
	if seq == 0 {
		return
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	for c := range h.subscribers {
		select {
		case <-c:
		default:
		}
		c <- seq
	}
}

// checkNotExample returns a fault for a use case that the example does not offer.
func (h *Hub) checkNotExample() error {
	if h.Example {
		return fault.New(fault.Conflict, "this is the example: phones do not sync with it").
			WithHint("close the example first")
	}
	return nil
}
