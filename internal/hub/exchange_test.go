package hub

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/api"
	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// startDraft returns a draft that starts a batch, and the batch's id.
func (h *testHub) startDraft(name string) (journal.Draft, journal.ID) {
	id := h.newID()
	return journal.Draft{Scope: journal.BatchScope(id), Subject: id, Kind: journal.KindBatchStarted,
		Body: json.RawMessage(fmt.Sprintf(`{"name":%q,"secret":%q}`, name, h.newID()))}, id
}

func (h *testHub) newReadingDraft(celsius string) journal.Draft {
	return journal.Draft{Scope: journal.PlaceScope(h.newID()), Kind: journal.KindPlaceRead, Body: json.RawMessage(`{"celsius":` + celsius + `}`)}
}

func TestExchange(t *testing.T) {
	h := newTestHub(t)
	one, two := h.newPhone(), h.newPhone()
	if a := one.syncWith(t, h.Hub); a.Cursor != nil || a.StartsOver || a.HasMore || a.Hub.ID != h.ID || a.Now != noon {
		t.Errorf("an empty journal answered %+v", a)
	}
	draft, _ := h.startDraft("market")
	wrote := one.write(t, draft, h.newReadingDraft("18.5"))
	a := one.syncWith(t, h.Hub)
	if len(a.Acks) != 2 || len(a.Facts) != 0 || *a.Cursor != (exchange.Cursor{Seq: 2, FactID: wrote[1].ID, Epoch: h.epoch}) {
		t.Errorf("the writer was told %+v", a)
	}
	a = two.syncWith(t, h.Hub)
	if len(a.Facts) != 2 || string(a.Facts[0].Text()) != string(wrote[0].Text()) {
		t.Errorf("the other phone was told %+v", a)
	}
	if a = two.syncWith(t, h.Hub); len(a.Facts) != 0 || *a.Cursor != (exchange.Cursor{Seq: 2, FactID: wrote[1].ID, Epoch: h.epoch}) {
		t.Errorf("with nothing new it was told %+v", a)
	}
}

// A phone asks again when an answer is lost.
func TestExchangeIsIdempotent(t *testing.T) {
	h := newTestHub(t)
	p := h.newPhone()
	draft, _ := h.startDraft("market")
	f := p.write(t, draft)[0]
	q := exchange.Request{Device: p.Device, Facts: []json.RawMessage{f.Text(), f.Text()}}
	for range 3 {
		a, err := h.Exchange(ctx, h.LocalAsker(), q)
		if err != nil || len(a.Acks) != 2 || len(h.facts) != 1 || a.Cursor.Seq != 1 {
			t.Fatalf("%+v %v, %d facts", a, err, len(h.facts))
		}
	}
	updates := h.updates
	if _, err := h.Exchange(ctx, h.LocalAsker(), exchange.Request{Device: p.Device}); err != nil || h.updates != updates {
		t.Errorf("one that brings nothing wrote (%v)", err)
	}
}

func TestExchangeRefusesOneFact(t *testing.T) {
	h := newTestHub(t)
	p := h.newPhone()
	draft, id := h.startDraft("market")
	good := p.write(t, draft)[0]
	unknown := strings.Replace(string(p.write(t, h.newReadingDraft("18"))[0].Text()), journal.KindPlaceRead, "place.sniffed", 1)
	leased := p.write(t, journal.Draft{Scope: journal.BatchScope(id), Subject: id, Kind: journal.KindNumbersLeased,
		Body: json.RawMessage(`{"device":"` + string(p.Device) + `","from":1,"to":900}`)})[0]
	joined := p.write(t, journal.Draft{Scope: journal.HouseScope, Subject: p.Device, Kind: journal.KindDeviceJoined, Body: json.RawMessage(`{"name":"x","letter":"A"}`)})[0]
	a, err := h.Exchange(ctx, h.LocalAsker(), exchange.Request{Device: p.Device, Facts: []json.RawMessage{
		json.RawMessage(`{"id":"bananas"}`), good.Text(), json.RawMessage(`7`), leased.Text(), json.RawMessage(unknown), joined.Text(), nil,
	}})
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Acks) != 2 || a.Acks[0] != good.ID || len(h.facts) != 2 {
		t.Errorf("acknowledged %v", a.Acks)
	}
	var got []string
	for _, r := range a.Refused {
		got = append(got, string(r.ID)+" "+string(r.Code))
		if r.Sentence == "" || strings.Contains(r.Sentence, "inside the program") {
			t.Errorf("refused without a reason: %+v", r)
		}
	}
	want := []string{"bananas input", " input", string(leased.ID) + " refused", string(joined.ID) + " refused", " input"}
	if !slices.Equal(got, want) {
		t.Errorf("refused %q, want %q", got, want)
	}
	if text := string(h.facts[1].Text()); text != unknown {
		t.Errorf("a kind that is not known came back as %s", text)
	}
}

func TestExchangeBounds(t *testing.T) {
	h := newTestHub(t)
	p := h.newPhone()
	_, err := h.Exchange(ctx, h.LocalAsker(), exchange.Request{Device: "phone"})
	wantFault(t, err, fault.Input)
	_, err = h.Exchange(ctx, h.LocalAsker(), exchange.Request{Device: p.Device, Facts: make([]json.RawMessage, exchange.MaxFacts+1)})
	wantFault(t, err, fault.Input)
	for range exchange.MaxFacts + 1 {
		p.write(t, h.newReadingDraft("20"))
	}
	p.syncWith(t, h.Hub)
	other := h.newPhone()
	a, err := h.Exchange(ctx, h.LocalAsker(), exchange.Request{Device: other.Device})
	if err != nil || len(a.Facts) != exchange.MaxFacts || !a.HasMore || a.Cursor.Seq != exchange.MaxFacts {
		t.Fatalf("%d facts, more %v, cursor %+v, %v", len(a.Facts), a.HasMore, a.Cursor, err)
	}
	a, err = h.Exchange(ctx, h.LocalAsker(), exchange.Request{Device: other.Device, Cursor: a.Cursor})
	if err != nil || len(a.Facts) != 1 || a.HasMore || a.StartsOver {
		t.Fatalf("then %d facts, more %v, fresh %v, %v", len(a.Facts), a.HasMore, a.StartsOver, err)
	}
}

// Large facts must not make an answer larger than a phone accepts.
func TestExchangeAnswerIsBounded(t *testing.T) {
	h := newTestHub(t)
	p := h.newPhone()
	draft, id := h.startDraft("market")
	p.write(t, draft)
	for range 100 {
		p.write(t, journal.Draft{Scope: journal.BatchScope(id), Subject: id, Kind: journal.KindBatchChanged, Body: json.RawMessage(`{"note":"` + strings.Repeat("n", 15000) + `"}`)})
	}
	p.syncWith(t, h.Hub)
	a, err := h.Exchange(ctx, h.LocalAsker(), exchange.Request{Device: h.newID()})
	if err != nil {
		t.Fatal(err)
	}
	size := 0
	for _, f := range a.Facts {
		size += len(f.Text())
	}
	if !a.HasMore || size > exchange.MaxAnswerBytes+24<<10 {
		t.Errorf("%d bytes, more %v", size, a.HasMore)
	}
}

func TestExchangeOnAFullDisk(t *testing.T) {
	h := newTestHub(t)
	p := h.newPhone()
	draft, _ := h.startDraft("market")
	f := p.write(t, draft)[0]
	h.updateErr = fault.New(fault.Full, "the disk is full")
	_, err := h.Exchange(ctx, h.LocalAsker(), exchange.Request{Device: p.Device, Facts: []json.RawMessage{f.Text()}})
	wantFault(t, err, fault.Full)
	if _, err := h.Exchange(ctx, h.LocalAsker(), exchange.Request{Device: p.Device}); err != nil {
		t.Errorf("what is there can still be had: %v", err)
	}
	h.updateErr = nil
	if p.syncWith(t, h.Hub); len(h.facts) != 1 {
		t.Errorf("%d facts after there was room again", len(h.facts))
	}
}

// A hub that was restored from an old copy gets back what the phones have, also
// the leases that it wrote itself: else two phones would print one number.
func TestExchangeAfterARestore(t *testing.T) {
	h := newTestHub(t)
	one, two := h.newPhone(), h.newPhone()
	draft, id := h.startDraft("market")
	one.write(t, draft)
	one.syncWith(t, h.Hub)
	backup := *h.memoryJournal
	backup.facts = slices.Clone(h.facts)
	backup.meta = map[string][]byte{identityKey: h.meta[identityKey], stampKey: h.meta[stampKey]}
	backup.cache = map[string][]byte{}
	one.syncWith(t, h.Hub, id)
	one.write(t, h.newReadingDraft("18"))
	one.syncWith(t, h.Hub)
	before := len(h.facts)
	lost := h.facts[1]

	*h.memoryJournal = backup
	h.open(t)
	// A phone with the cursor of before asks for numbers: the hub has forgotten
	// that it gave some away, and gives none until it has been told all.
	stale := &exchange.Cursor{Seq: uint64(before), FactID: lost.ID}
	if a, err := h.Exchange(ctx, h.LocalAsker(), exchange.Request{Device: two.Device, Cursor: stale, Lease: []journal.ID{id}}); err != nil || !a.StartsOver || len(journal.NumbersFromFacts(h.facts).Leases) != 0 {
		t.Errorf("%v, fresh %v, leases %v", err, a.StartsOver, journal.NumbersFromFacts(h.facts).Leases)
	}
	draft, _ = h.startDraft("another")
	two.write(t, draft, h.newReadingDraft("19"), h.newReadingDraft("20"))
	two.syncWith(t, h.Hub)
	one.syncWith(t, h.Hub)
	two.syncWith(t, h.Hub)
	if len(h.facts) != before+3 {
		t.Fatalf("%d facts, want %d", len(h.facts), before+3)
	}
	for _, p := range []*testPhone{one, two} {
		if len(p.facts) != len(h.facts) {
			t.Errorf("a phone has %d facts, the hub %d", len(p.facts), len(h.facts))
		}
	}
	if f := two.facts[lost.ID]; lost.Kind != journal.KindNumbersLeased || string(f.Text()) != string(lost.Text()) {
		t.Errorf("the lease came back as %s, was %s", f.Text(), lost.Text())
	}
	s, err := readState(memoryTx{h.memoryJournal, false}, id, h.now)
	if err != nil || s.Numbers.FreeCount(one.Device) != journal.LeaseSize {
		t.Errorf("%v, %+v", err, s.Numbers)
	}
}

// A cursor of another hub, or one past the end, begins afresh.
func TestExchangeForeignCursor(t *testing.T) {
	h := newTestHub(t)
	p := h.newPhone()
	p.write(t, h.newReadingDraft("18"), h.newReadingDraft("19"))
	p.syncWith(t, h.Hub)
	for _, c := range []*exchange.Cursor{{Seq: 1, FactID: h.newID()}, {Seq: 3, FactID: h.newID()}, {Seq: 0, FactID: ""}, {Seq: 1 << 63, FactID: p.cursor.FactID}, {Seq: 2, FactID: h.facts[0].ID}} {
		a, err := h.Exchange(ctx, h.LocalAsker(), exchange.Request{Device: p.Device, Cursor: c})
		if err != nil || !a.StartsOver || len(a.Facts) != 2 || a.Cursor.Seq != 2 {
			t.Errorf("cursor %+v: %+v %v", c, a, err)
		}
	}
}

func TestExchangeNotInTheExample(t *testing.T) {
	h := newTestHub(t)
	h.Hub.Example = true
	_, err := h.Exchange(ctx, h.LocalAsker(), exchange.Request{Device: h.newID()})
	wantFault(t, err, fault.Conflict)
	_, err = h.RegisterPhone(ctx, h.LocalAsker(), api.JoinRequest{Device: h.newID(), Name: "x"})
	wantFault(t, err, fault.Conflict)
}

// However phones meet the hub, with wrong clocks and answers lost on the way, in
// the end all have the same facts and no number was leased twice.
func TestPhonesConverge(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		h := newTestHub(t)
		phones := []*testPhone{h.newPhone(), h.newPhone(), h.newPhone()}
		draft, batch := h.startDraft("market")
		phones[0].write(t, draft)
		phones[0].syncWith(t, h.Hub)
		for range rapid.IntRange(1, 25).Draw(r, "steps") {
			p := phones[rapid.IntRange(0, 2).Draw(r, "phone")]
			switch rapid.IntRange(0, 3).Draw(r, "what") {
			case 0:
				p.write(t, h.newReadingDraft("20"))
			case 1:
				p.syncWith(t, h.Hub, batch)
			case 2: // the hub hears it, the phone never knows
				q := exchange.Request{Device: p.Device, Cursor: p.cursor, Lease: []journal.ID{batch}}
				for _, f := range p.unsentFacts {
					q.Facts = append(q.Facts, f.Text())
				}
				if _, err := h.Exchange(ctx, h.LocalAsker(), q); err != nil {
					r.Fatal(err)
				}
			case 3: // a wrong clock
				p.Now = p.Now.Add(3600000)
			}
		}
		for range 2 {
			for _, p := range phones {
				p.syncWith(t, h.Hub)
			}
		}
		for i, p := range phones {
			if len(p.facts) != len(h.facts) {
				r.Fatalf("phone %d has %d facts, the hub %d", i, len(p.facts), len(h.facts))
			}
		}
		given := map[int]bool{}
		for _, l := range journal.NumbersFromFacts(h.facts).Leases {
			for n := l.FirstNumber; n <= l.LastNumber; n++ {
				if given[n] {
					r.Fatalf("number %d was leased twice", n)
				}
				given[n] = true
			}
		}
	})
}

// emptyRequest is a request of p that sends no facts.
func emptyRequest(p *testPhone) exchange.Request {
	return exchange.Request{Device: p.Device, Cursor: p.cursor}
}
