package hub

import (
	"encoding/json"
	"fmt"
	"sync"
	"testing"

	"coldbatch/internal/api"
	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// sharedMemory is a journal in memory for several goroutines. As with the real one a
// transaction within a transaction may wait for ever.
type sharedMemory struct {
	*memoryJournal
	mu sync.RWMutex
}

func (s *sharedMemory) View(do func(Tx) error) error {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.memoryJournal.View(do)
}

func (s *sharedMemory) Update(do func(Tx) error) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.memoryJournal.Update(do)
}

// While a helper and an owner exchange without a pause, another owner's phone removes
// the helper and gives it access again. Once the hub has acknowledged each change, the
// helper has the right role, and none of its acknowledged facts is lost. Run it with -race.
func TestRemovePhoneDuringExchange(t *testing.T) {
	d, journals := repeatableRandom(7), &sharedMemory{memoryJournal: newMemoryJournal()}
	var mu sync.Mutex
	fill := func(b []byte) {
		mu.Lock()
		defer mu.Unlock()
		d.fill(b)
	}
	h := &testHub{memoryJournal: journals.memoryJournal, now: noon, random: &d}
	var err error
	if h.Hub, err = Open(journals, api.Identity{Zone: "Europe/Lisbon"}, System{func() zone.Instant { return noon }, fill}); err != nil {
		t.Fatal(err)
	}
	one, two := h.addOwner(t), h.addOwner(t)
	market := h.startBatch(t, one, "market")
	code := h.shareBatch(t, one, market, 0)
	kai := h.addHelper(t, code)
	for _, g := range []*networkPhone{one, two, kai} {
		h.mustSyncPhone(t, g)
		g.Random = fill
	}
	scope := journal.BatchScope(market)
	send := func(g *networkPhone, drafts ...journal.Draft) (*exchange.Answer, journal.Fact, error) {
		facts, err := g.MakeFacts(drafts)
		if err != nil {
			t.Error(err)
			return nil, journal.Fact{}, err
		}
		who, err := h.AskerByToken(ctx, g.token)
		if err != nil {
			t.Error(err)
		}
		a, err := h.Exchange(ctx, who, exchange.Request{Device: g.Device, Facts: factTexts(facts), Lease: []journal.ID{market}})
		if err == nil && len(a.Acks) != 1 && who.Role == rights.Owner {
			err = fmt.Errorf("not taken: %+v", a)
		}
		return a, facts[0], err
	}

	done := make(chan struct{})
	var all sync.WaitGroup
	var kept []journal.Fact
	all.Go(func() { // the helper, and what it was told is kept
		for n := 0; ; n++ {
			select {
			case <-done:
				return
			default:
			}
			a, f, err := send(kai, remarkDraft(market, fmt.Sprint(n)))
			if err == nil && len(a.Acks) == 1 || fault.Is(err, fault.Refused) {
				kept = append(kept, f)
			} else if err != nil {
				t.Error(err)
			}
		}
	})
	all.Go(func() { // another owner, who sees the list and the batch's bags change
		for n := 1; ; n++ {
			select {
			case <-done:
				return
			default:
			}
			if _, _, err := send(one, journal.Draft{Scope: scope, Subject: h.bagID(n), Kind: journal.KindBagLooked, Body: factText(`{}`)}); err != nil {
				t.Error(err)
			}
			if _, err := h.Phones(ctx, h.LocalAsker()); err != nil {
				t.Error(err)
			}
			if i, err := h.Invite(ctx, h.LocalAsker()); err != nil || i.Code == "" {
				t.Error(err)
			}
		}
	})
	is := func() string {
		who, err := h.AskerByToken(ctx, kai.token)
		if err != nil {
			t.Error(err)
		}
		if who.Revoked {
			return "out"
		}
		return string(who.Role)
	}
	body := func(v any) json.RawMessage {
		text, err := json.Marshal(v)
		if err != nil {
			t.Error(err)
		}
		return text
	}
	for range 30 {
		for _, by := range []struct {
			scope journal.Scope
			kind  string
		}{{journal.HouseScope, kindRevoked}, {scope, journal.KindShareClosed}} {
			_, out, err := send(two, journal.Draft{Scope: by.scope, Subject: kai.Device, Kind: by.kind, Body: factText(`{}`)})
			if err != nil || is() != "out" {
				t.Fatalf("%s: %v, it is %s", by.kind, err, is())
			}
			_, _, err = send(two, journal.Draft{Scope: by.scope, Subject: kai.Device, Kind: journal.KindFactWithdrawn, Body: body(journal.FactTarget{Target: out.ID})})
			if err != nil || is() != "helper" {
				t.Fatalf("%s taken back: %v, it is %s", by.kind, err, is())
			}
		}
	}
	close(done)
	all.Wait()
	if _, err := h.Accept(ctx, h.LocalAsker(), kai.Device, 0); err != nil {
		t.Error(err)
	}
	for _, f := range kept {
		if !h.hasFact(f) {
			t.Errorf("lost %s", f.Text())
		}
	}
	if len(kept) == 0 {
		t.Error("the helper brought nothing")
	}
}

// bagID returns the id of bag n. It draws no random number.
func (h *testHub) bagID(n int) journal.ID { return journal.NewID([16]byte{byte(n), byte(n >> 8), 1}) }
