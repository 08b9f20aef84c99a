package hub

import (
	"fmt"
	"strings"
	"testing"

	"coldbatch/internal/api"
	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// removePhone removes a phone.
func (h *testHub) removePhone(t testing.TB, by, g *networkPhone) {
	t.Helper()
	h.recordFact(t, by, journal.HouseScope, g.Device, kindRevoked, struct{}{})
}

// refusalOf sends facts from a phone that may be removed, and returns the sentence of the
// refusal.
func (h *testHub) refusalOf(t testing.TB, g *networkPhone, facts ...journal.Fact) string {
	t.Helper()
	_, err := h.Exchange(ctx, h.askerOf(g), exchange.Request{Device: g.Device, Facts: factTexts(facts)})
	if !fault.Is(err, fault.Refused) {
		t.Fatalf("answered %v", err)
	}
	return fault.AsFault(err).Sentence
}

func (h *testHub) mustListQuarantined(t testing.TB, g *networkPhone) (lines []api.QuarantinedFact) {
	t.Helper()
	lines, err := h.Quarantined(ctx, h.LocalAsker(), g.Device)
	if err != nil {
		t.Fatal(err)
	}
	return lines
}

func remarkDraft(id journal.ID, text string) journal.Draft {
	return journal.Draft{Scope: journal.BatchScope(id), Subject: id, Kind: journal.KindBatchChanged, Body: factText(fmt.Sprintf(`{"note":%q}`, text))}
}

func TestRemovedPhoneIsQuarantined(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market, gifts := h.startBatch(t, one, "market"), h.startBatch(t, one, "gifts")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	known := h.recordFact(t, kai, journal.BatchScope(market), market, journal.KindBatchChanged, map[string]string{"note": "in time"})
	two := h.addOwner(t)
	h.removePhone(t, one, kai)
	h.removePhone(t, one, two)
	facts := len(h.facts)

	if s := h.refusalOf(t, kai); s != "this phone was removed" {
		t.Errorf("with nothing it is told %q", s)
	}
	late := kai.write(t, remarkDraft(market, "late <b>& gone</b>"))[0]
	updates := h.updates
	for range 3 {
		if s := h.refusalOf(t, kai, late, late); s != "this phone was removed; 1 entry it sent is waiting for the owner" {
			t.Errorf("told %q", s)
		}
	}
	if h.updates != updates+1 {
		t.Errorf("sent three times it cost %d transactions", h.updates-updates)
	}
	more := kai.write(t, remarkDraft(market, "later"))[0]
	for _, f := range []journal.Fact{ // none of these waits
		known,
		kai.write(t, remarkDraft(gifts, "of a batch it never helped with"))[0],
		kai.write(t, journal.Draft{Scope: journal.BatchScope(market), Subject: market, Kind: journal.KindShareOpened, Body: factText(`{"hash":"x"}`)})[0],
		kai.write(t, journal.Draft{Scope: journal.HouseScope, Subject: kai.Device, Kind: journal.KindFactWithdrawn, Body: factText(fmt.Sprintf(`{"target":%q}`, h.newID()))})[0],
		kai.write(t, h.readingDraft(h.newID(), "18"))[0],
		one.write(t, remarkDraft(market, "of another phone"))[0],
	} {
		if s := h.refusalOf(t, kai, f); !strings.Contains(s, "1 entry") {
			t.Errorf("%s: told %q", f.Text(), s)
		}
	}
	if s := h.refusalOf(t, kai, more); s != "this phone was removed; 2 entries it sent are waiting for the owner" {
		t.Errorf("told %q", s)
	}
	h.open(t) // it is on the disk
	lines := h.mustListQuarantined(t, kai)
	if len(lines) != 2 || lines[0].ID != late.ID || lines[0].Batch != "market" || lines[0].Kind != journal.KindBatchChanged || lines[0].Description == "" || lines[0].At != noon {
		t.Errorf("waiting: %+v", lines)
	}
	// What an owner's phone sent waits too, of any batch, but not who is in the house.
	back := two.write(t, journal.Draft{Scope: journal.HouseScope, Subject: one.Device, Kind: kindRevoked, Body: factText(`{}`)})[0]
	h.refusalOf(t, two, two.write(t, remarkDraft(gifts, "an owner's"))[0], back)
	if l := h.mustListQuarantined(t, two); len(l) != 1 || l[0].Batch != "gifts" {
		t.Errorf("waiting: %+v", l)
	}
	if len(h.facts) != facts {
		t.Errorf("%d facts were written", len(h.facts)-facts)
	}

	for range 2 {
		s, err := h.Accept(ctx, h.LocalAsker(), kai.Device, 0)
		if err != nil || s.Count != len(lines) || !h.hasFact(late) || !h.hasFact(more) || len(h.mustListQuarantined(t, kai)) != 0 {
			t.Errorf("accepted %+v %v", s, err)
		}
		lines = nil
		h.refusalOf(t, kai, late, more)
	}
	for _, f := range h.facts {
		if f.ID == late.ID && string(f.Text()) != string(late.Text()) {
			t.Errorf("waiting changed it to %s", f.Text())
		}
	}
	s, err := h.Reject(ctx, h.LocalAsker(), two.Device)
	if err != nil || s.Count != 1 {
		t.Errorf("discarded %+v %v", s, err)
	}
	h.refusalOf(t, two, two.facts[back.ID], two.write(t, remarkDraft(gifts, "another"))[0])
	for _, f := range two.facts { // all that it has, again
		if f.Device == two.Device {
			h.refusalOf(t, two, f)
		}
	}
	if l := h.mustListQuarantined(t, two); len(l) != 1 {
		t.Errorf("what was left out came again: %+v", l)
	}
	for _, want := range []int{1, 0} { // thought better of, and once more by mistake
		if s, err := h.Requeue(ctx, h.LocalAsker(), two.Device); err != nil || s.Count != want {
			t.Errorf("called back %+v %v, want %d", s, err, want)
		}
	}
	if l := h.mustListQuarantined(t, two); len(l) != 2 || l[0].Batch != "gifts" {
		t.Errorf("called back, waiting: %+v", l)
	}
	if len(h.facts) != facts+2 {
		t.Errorf("%d facts were written", len(h.facts)-facts)
	}
	for _, act := range []func() error{
		func() error { _, err := h.Quarantined(ctx, h.LocalAsker(), "x"); return err },
		func() error { _, err := h.Accept(ctx, h.LocalAsker(), "x", 0); return err },
		func() error { _, err := h.Reject(ctx, h.LocalAsker(), ""); return err },
		func() error { _, err := h.Requeue(ctx, h.LocalAsker(), ""); return err },
	} {
		wantFault(t, act(), fault.Input)
	}
	if s, err := h.Accept(ctx, h.LocalAsker(), h.newID(), 0); err != nil || s.Count != 0 {
		t.Errorf("of a phone that nobody knows: %+v %v", s, err)
	}
}

// A phone that still helps with one batch but no longer with another has access, but
// what it sends for the other batch waits in quarantine.
func TestLateFactsOfOneSharedBatch(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market, gifts := h.startBatch(t, one, "market"), h.startBatch(t, one, "gifts")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	h.mustPair(t, kai, h.shareBatch(t, one, gifts, 0))
	scope := journal.BatchScope(market)
	slip := h.recordFact(t, kai, scope, market, journal.KindBatchChanged, map[string]string{"note": "slip"})
	closed := h.recordFact(t, one, scope, market, journal.KindShareClosed, struct{}{})
	if h.roleOf(kai) != "helper 1" {
		t.Fatalf("it is %s", h.roleOf(kai))
	}
	undo := func(f journal.Fact) journal.Draft {
		return journal.Draft{Scope: scope, Subject: market, Kind: journal.KindFactWithdrawn, Body: factText(fmt.Sprintf(`{"target":%q}`, f.ID))}
	}
	third := h.startBatch(t, one, "third")
	sent := kai.write(t, remarkDraft(market, "late"), undo(slip), remarkDraft(gifts, "in time"), undo(closed),
		journal.Draft{Scope: scope, Subject: market, Kind: journal.KindShareOpened, Body: factText(`{"hash":"x"}`)}, remarkDraft(third, "never joined"))
	others := one.write(t, remarkDraft(market, "of another phone"))[0]
	q := exchange.Request{Device: kai.Device, Facts: factTexts(append(sent, others))}
	for range 2 {
		a, err := h.Exchange(ctx, h.askerOf(kai), q)
		if err != nil || len(a.Acks) != 1 || len(a.Refused) != len(sent) || !h.hasFact(sent[2]) {
			t.Fatalf("answered %+v %v", a, err)
		}
		for _, r := range a.Refused {
			late := r.ID == sent[0].ID || r.ID == sent[1].ID || r.ID == sent[3].ID
			if strings.Contains(r.Sentence, "the owner decides") != late || h.hasFact(journal.Fact{ID: r.ID}) {
				t.Errorf("%+v", r)
			}
		}
		if l := h.mustListQuarantined(t, kai); len(l) != 2 || l[0].ID != sent[0].ID || l[1].ID != sent[1].ID {
			t.Errorf("waiting: %+v", l)
		}
	}
	if s, err := h.Accept(ctx, h.LocalAsker(), kai.Device, 0); err != nil || s.Count != 2 || !h.hasFact(sent[0]) || !h.hasFact(sent[1]) {
		t.Errorf("accepted %+v %v", s, err)
	}
	if h.roleOf(kai) != "helper 1" {
		t.Errorf("what waited made it %s", h.roleOf(kai))
	}
	if a, err := h.Exchange(ctx, h.askerOf(kai), q); err != nil || len(a.Acks) != 3 { // they came, by whatever way
		t.Errorf("answered %+v %v", a, err)
	}
	h.meta[quarantineKey(kai.Device)] = []byte("{")
	q.Facts = factTexts(kai.write(t, remarkDraft(market, "later")))
	_, err := h.Exchange(ctx, h.askerOf(kai), q)
	wantFault(t, err, fault.Damaged)
}

// A removed phone must not fill the disk.
func TestQuarantineIsBounded(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	h.removePhone(t, one, kai)
	long := strings.Repeat("n", 15000)
	for range 3 {
		var facts []journal.Fact
		for range 100 {
			facts = append(facts, kai.write(t, remarkDraft(market, long))[0])
		}
		h.refusalOf(t, kai, facts...)
	}
	_, err := h.Exchange(ctx, h.askerOf(kai), exchange.Request{Device: kai.Device, Facts: factTexts(kai.write(t, remarkDraft(market, long)))})
	n, size := len(h.mustListQuarantined(t, kai)), len(h.meta[quarantineKey(kai.Device)])
	if n < 250 || n >= 300 || size > maxQuarantineBytes+10000 || !strings.Contains(fault.AsFault(err).Hint, "no room") {
		t.Errorf("%d wait with %d bytes, told %v", n, size, err)
	}
	two := h.addOwner(t)
	h.removePhone(t, one, two)
	x := quarantine{Facts: make([]journal.Fact, 0, maxQuarantined)}
	for range maxQuarantined - 1 {
		x.Facts = append(x.Facts, two.write(t, remarkDraft(market, ""))[0])
	}
	if err := h.memoryJournal.Update(func(tx Tx) error { return writeQuarantine(tx, two.Device, x) }); err != nil {
		t.Fatal(err)
	}
	h.refusalOf(t, two, two.write(t, remarkDraft(market, "a"), remarkDraft(market, "b"))...)
	if n := len(h.mustListQuarantined(t, two)); n != maxQuarantined {
		t.Errorf("%d wait", n)
	}
	left := func() (n int) {
		list, err := h.Phones(ctx, h.LocalAsker())
		for _, p := range list {
			if p.Device == two.Device {
				n = p.RejectedCount
			}
		}
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	for range 2 { // of those left out only so many are kept, the newest
		if _, err := h.Reject(ctx, h.LocalAsker(), two.Device); err != nil || left() != maxQuarantined {
			t.Errorf("%d were left out, %v", left(), err)
		}
		late := two.write(t, remarkDraft(market, "late"))[0]
		if h.refusalOf(t, two, late); len(h.mustListQuarantined(t, two)) != 1 {
			t.Error("there was no room again")
		}
	}
	h.meta[quarantineKey(two.Device)] = []byte("{")
	_, err = h.Quarantined(ctx, h.LocalAsker(), two.Device)
	wantFault(t, err, fault.Damaged)
}

// A phone that has access again sends its facts again; then the quarantine is empty.
func TestRestoredPhoneSendsQuarantinedFacts(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	scope := journal.BatchScope(market)
	code := h.shareBatch(t, one, market, 0)
	kai := h.addHelper(t, code)
	h.mustSyncPhone(t, one)
	h.recordFact(t, one, scope, market, journal.KindShareClosed, struct{}{})
	f := kai.write(t, remarkDraft(market, "late"))[0]
	if _, err := h.syncPhone(kai); !fault.Is(err, fault.Refused) || len(h.mustListQuarantined(t, kai)) != 1 {
		t.Fatal(err)
	}
	h.mustPair(t, kai, h.shareBatch(t, one, market, 0))
	h.mustSyncPhone(t, kai)
	if !h.hasFact(f) || len(h.mustListQuarantined(t, kai)) != 0 {
		t.Errorf("kept %v, %d wait", h.hasFact(f), len(h.mustListQuarantined(t, kai)))
	}
	if s, err := h.Accept(ctx, h.LocalAsker(), kai.Device, 0); err != nil || s.Count != 0 {
		t.Errorf("%+v %v", s, err)
	}
}

func TestImport(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	h.mustSyncPhone(t, one)
	for range exchange.MaxFacts { // more than goes into one transaction
		one.write(t, remarkDraft(market, "n"))
	}
	var saved []journal.Fact
	for _, f := range one.facts { // those of others and of the hub too
		saved = append(saved, f)
	}
	other := newTestHub(t)
	other.random.fill(make([]byte, 64))
	seq, stop := other.Subscribe()
	defer stop()
	for _, want := range []int{len(saved), 0} {
		added, refused, err := other.Import(ctx, saved)
		if err != nil || added != want || len(refused) != 0 {
			t.Errorf("%d new, refused %v, %v", added, refused, err)
		}
	}
	if got := <-seq; got != uint64(len(saved)) {
		t.Errorf("hinted %d", got)
	}
	if s, err := readState(memoryTx{other.memoryJournal, false}, market, other.now); err != nil || s.Name != "market" || len(s.Helpers) != 1 || s.Helpers[0].Device != kai.Device {
		t.Errorf("%+v %v", s, err)
	}
	if l, err := other.Phones(ctx, other.LocalAsker()); err != nil || len(l) != 2 || l[0].IsPaired {
		t.Errorf("%+v %v", l, err)
	}
	other.updateErr = fault.New(fault.Full, "the disk is full")
	_, _, err := other.Import(ctx, saved)
	wantFault(t, err, fault.Full)
	var none journal.Fact
	other.updateErr = nil
	if added, refused, err := other.Import(ctx, []journal.Fact{none}); err != nil || added != 0 || len(refused) != 1 {
		t.Errorf("what is no fact: %d, %v, %v", added, refused, err)
	}
}
