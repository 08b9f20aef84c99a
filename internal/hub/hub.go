// Package hub holds the use cases of the program in the house: it fixes who it
// is at the first run, lets phones in and out, exchanges facts with them, leases
// bag numbers, takes the readings of sensors, and tells how a bag stands. Call
// Open with a journal; then Who says who asks, and Pair, Exchange, Bag, Phones and
// the others answer. It knows no network and no file: both are interfaces it
// declares, and clock and randomness come in as functions.
package hub

import (
	"sync"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// Journal keeps facts. What Update wrote is on the disk when it returns nil.
type Journal interface {
	View(func(Tx) error) error
	Update(func(Tx) error) error
}

// Tx is one transaction on a journal. Facts have sequences 1, 2, 3 … in the
// order they came.
type Tx interface {
	Has(journal.ID) bool
	Append(journal.Fact) (seq uint64, err error) // a known fact is not replaced
	Since(seq uint64, each func(seq uint64, f journal.Fact) bool) error
	IDAt(seq uint64) (journal.ID, bool)
	Last() uint64
	Scope(journal.Scope) ([]journal.Fact, error)
	Scopes() []journal.Scope
	Meta(key string) []byte
	SetMeta(key string, value []byte) error
	Cache(key string) []byte // what can be worked out again; an empty value is none
	SetCache(key string, value []byte) error
}

// System is what the hub cannot know by itself.
type System struct {
	Now    func() zone.Instant
	Random func([]byte)
}

// Hub is the use cases on one journal. Its methods may be called from several
// goroutines.
type Hub struct {
	Identity
	Example bool // an invented journal: nothing is exchanged with it

	journal Journal
	system  System
	era     string // of what this run writes

	accessChange sync.Mutex // one change of the access at a time
	factWrite    sync.Mutex // one transaction that writes facts at a time, with the standing in step

	mu           sync.Mutex
	subscribers  map[chan uint64]bool // nil once closed
	access       accessList
	derived      derivedCache
	lastReadings map[string]lastReading      // by the hash of the sensor's token
	lastSeen     map[journal.ID]zone.Instant // the last exchange of each phone since the start
}

// Open opens the use cases on j. At the first run it fixes the identity from
// wish; later wish must agree with what is fixed.
func Open(j Journal, wish Identity, w System) (*Hub, error) {
	id, known, err := ReadIdentity(j)
	if err != nil {
		return nil, err
	}
	if known {
		if err := id.checkWish(wish); err != nil {
			return nil, err
		}
	} else if id, err = createIdentity(j, wish, w); err != nil {
		return nil, err
	}
	access, err := readAccess(j)
	if err != nil {
		return nil, err
	}
	return &Hub{Identity: id, journal: j, system: w, era: newEra(w), subscribers: map[chan uint64]bool{}, access: access,
		derived:  derivedCache{summaries: map[journal.ID]batchSummary{}},
		lastSeen: map[journal.ID]zone.Instant{}}, nil
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

// Subscribe gives a channel that hints at the newest sequence after facts were
// written. Hints that are not read are replaced by later ones. The channel is
// closed when the hub closes; stop ends the subscription.
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

// notifySubscribers tells every subscriber the newest sequence, unless nothing was written.
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

// checkNotExample says that a use case that writes is not for the example.
func (h *Hub) checkNotExample() error {
	if h.Example {
		return fault.New(fault.Conflict, "this is the example: nothing is exchanged with it").
			WithHint("leave the example first")
	}
	return nil
}
