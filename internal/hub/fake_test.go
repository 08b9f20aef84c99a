package hub

import (
	"context"
	"errors"
	"maps"
	"slices"
	"testing"

	"coldbatch/internal/api"
	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// ctx never ends. context_test.go tests contexts that do.
var ctx = context.Background()

// memoryJournal is a journal in memory. Like the real one it keeps nothing of an Update
// that fails, and refuses to write in a View.
type memoryJournal struct {
	facts     []journal.Fact
	meta      map[string][]byte
	cache     map[string][]byte
	updates   int   // transactions that wrote: each costs a sync of the disk
	updateErr error // what Update fails with
}

func newMemoryJournal() *memoryJournal {
	return &memoryJournal{meta: map[string][]byte{}, cache: map[string][]byte{}}
}

type memoryTx struct {
	*memoryJournal
	writing bool
}

func (m *memoryJournal) View(do func(Tx) error) error { return do(memoryTx{m, false}) }

func (m *memoryJournal) Update(do func(Tx) error) error {
	if m.updateErr != nil {
		return m.updateErr
	}
	next := &memoryJournal{slices.Clone(m.facts), maps.Clone(m.meta), maps.Clone(m.cache), m.updates + 1, nil}
	if err := do(memoryTx{next, true}); err != nil {
		return err
	}
	*m = *next
	return nil
}

var errReading = errors.New("a write in a transaction that reads")

func (t memoryTx) index(id journal.ID) int {
	return slices.IndexFunc(t.facts, func(f journal.Fact) bool { return f.ID == id })
}

func (t memoryTx) Has(id journal.ID) bool { return t.index(id) >= 0 }

func (t memoryTx) Append(f journal.Fact) (uint64, error) {
	if !t.writing {
		return 0, errReading
	}
	if i := t.index(f.ID); i >= 0 {
		return uint64(i + 1), nil
	}
	t.memoryJournal.facts = append(t.facts, f)
	return uint64(len(t.facts)), nil
}

func (t memoryTx) Since(seq uint64, each func(uint64, journal.Fact) bool) error {
	for i := int(min(seq, uint64(len(t.facts)))); i < len(t.facts); i++ {
		if !each(uint64(i+1), t.facts[i]) {
			break
		}
	}
	return nil
}

func (t memoryTx) IDAt(seq uint64) (journal.ID, bool) {
	if seq < 1 || seq > uint64(len(t.facts)) {
		return "", false
	}
	return t.facts[seq-1].ID, true
}

func (t memoryTx) Last() uint64 { return uint64(len(t.facts)) }

func (t memoryTx) Scope(s journal.Scope) (facts []journal.Fact, err error) {
	for _, f := range t.facts {
		if f.Scope == s {
			facts = append(facts, f)
		}
	}
	return facts, nil
}

func (t memoryTx) Scopes() (scopes []journal.Scope) {
	for _, f := range t.facts {
		if !slices.Contains(scopes, f.Scope) {
			scopes = append(scopes, f.Scope)
		}
	}
	return scopes
}

func (t memoryTx) Meta(key string) []byte  { return t.meta[key] }
func (t memoryTx) Cache(key string) []byte { return t.cache[key] }

func (t memoryTx) SetMeta(key string, value []byte) error  { return t.set(t.meta, key, value) }
func (t memoryTx) SetCache(key string, value []byte) error { return t.set(t.cache, key, value) }

func (t memoryTx) set(m map[string][]byte, key string, value []byte) error {
	if !t.writing {
		return errReading
	}
	m[key] = value
	return nil
}

// repeatableRandom is a random source that repeats itself from run to run.
type repeatableRandom uint64

func (d *repeatableRandom) fill(b []byte) {
	for i := range b {
		*d = *d*6364136223846793005 + 1442695040888963407
		b[i] = byte(*d >> 56)
	}
}

// testHub is a hub on a journal in memory, with a clock that the test sets.
type testHub struct {
	*Hub
	*memoryJournal
	now    zone.Instant
	random *repeatableRandom
}

func newTestHub(t testing.TB) *testHub {
	t.Helper()
	d := repeatableRandom(7)
	h := &testHub{memoryJournal: newMemoryJournal(), now: noon, random: &d}
	h.open(t)
	return h
}

// noon is 12:00 on 2 May 2026 in Lisbon.
const noon zone.Instant = 1777719600000

func (h *testHub) open(t testing.TB) {
	t.Helper()
	var err error
	h.Hub, err = Open(h.memoryJournal, api.Identity{Zone: "Europe/Lisbon"}, System{func() zone.Instant { return h.now }, h.random.fill})
	if err != nil {
		t.Fatal(err)
	}
}

func (h *testHub) newID() journal.ID {
	var b [16]byte
	h.random.fill(b[:])
	return journal.NewID(b)
}

// testPhone is a minimal phone of an owner.
type testPhone struct {
	journal.Author
	cursor      *exchange.Cursor
	facts       map[journal.ID]journal.Fact
	unsentFacts []journal.Fact
}

func (h *testHub) newPhone() *testPhone {
	return &testPhone{Author: journal.Author{Device: h.newID(), Now: h.now, TZ: "Europe/Lisbon", Random: h.random.fill}, facts: map[journal.ID]journal.Fact{}}
}

// write records facts on the phone.
func (p *testPhone) write(t testing.TB, drafts ...journal.Draft) []journal.Fact {
	t.Helper()
	facts, err := p.MakeFacts(drafts)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range facts {
		p.facts[f.ID] = f
	}
	p.unsentFacts = append(p.unsentFacts, facts...)
	return facts
}

// syncWith exchanges until there is no more, and returns the last answer.
func (p *testPhone) syncWith(t testing.TB, h *Hub, lease ...journal.ID) *exchange.Answer {
	t.Helper()
	for {
		n := min(len(p.unsentFacts), exchange.MaxFacts)
		q := exchange.Request{Device: p.Device, Cursor: p.cursor, Lease: lease}
		for _, f := range p.unsentFacts[:n] {
			q.Facts = append(q.Facts, f.Text())
		}
		a, err := h.Exchange(ctx, h.LocalAsker(), q)
		if err != nil {
			t.Fatal(err)
		}
		if a.StartsOver {
			p.unsentFacts = nil
			for _, f := range p.facts {
				p.unsentFacts = append(p.unsentFacts, f)
			}
		} else {
			p.unsentFacts = p.unsentFacts[n:]
		}
		for _, f := range a.Facts {
			p.facts[f.ID] = f
		}
		p.LatestStamp = journal.LatestStamp(p.LatestStamp, a.Facts, max(a.Now, a.LatestHubTime))
		p.cursor = a.Cursor
		if !a.HasMore && len(p.unsentFacts) == 0 {
			return a
		}
	}
}

func wantFault(t *testing.T, err error, code fault.Code) {
	t.Helper()
	if !fault.Is(err, code) {
		t.Errorf("got %v, want a fault of code %s", err, code)
	}
}
