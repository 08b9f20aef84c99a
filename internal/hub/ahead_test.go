package hub

import (
	"encoding/json"
	"fmt"
	"testing"

	"coldbatch/internal/api"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// lastStamp is the last stamp that can be read.
const lastStamp = "0699e991a800ffff"

// checkClock fails where the hub's next stamp is not near now.
func (h *testHub) checkClock(t *testing.T, why string) {
	t.Helper()
	n := len(h.facts)
	h.addOwner(t) // the hub writes that it joined
	if f := h.facts[n]; f.Device != h.ID || f.Stamp.IsAhead(h.now) || f.Stamp.Milliseconds < h.now {
		t.Errorf("%s: the hub's next stamp is %s at %d", why, f.Stamp, h.now)
	}
}

// A helper's phone with a wrong year, or bad will, sends a fact stamped far ahead. It
// waits for the owner, moves nobody's clock, and of the sharings that are closed
// afterwards every one ends.
func TestStampAheadWaits(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	scope := journal.BatchScope(market)
	a := h.sendForged(t, kai, h.forgeFact(kai, lastStamp, scope, market, journal.KindBatchChanged, `{"note":"x"}`, int64(h.now)))
	if len(a.Acks) != 0 || len(a.Refused) != 1 {
		t.Fatalf("%+v", a)
	}
	list, err := h.Quarantined(ctx, h.askerOf(one), kai.Device)
	if err != nil || len(list) != 1 || list[0].ID != a.Refused[0].ID {
		t.Errorf("the owner is told %+v, %v", list, err)
	}
	phones, err := h.Phones(ctx, h.askerOf(one))
	if err != nil || phones[1].QuarantinedCount != 1 {
		t.Errorf("%+v %v", phones, err)
	}
	h.checkClock(t, "it waits")
	for round := range 2 {
		for range 20 {
			h.now = h.now.Add(zone.Minute)
			one.Now = h.now
			id := h.startBatch(t, one, "gifts")
			sam := h.addHelper(t, h.shareBatch(t, one, id, 0))
			if h.recordFact(t, one, journal.BatchScope(id), id, journal.KindShareClosed, struct{}{}); h.roleOf(sam) != "out" {
				t.Fatalf("round %d: the sharing was closed, and the helper is %s", round, h.roleOf(sam))
			}
		}
		// The owner accepts the entry: it is kept, and moves no clock either.
		if round == 0 {
			if n, err := h.Accept(ctx, h.askerOf(one), kai.Device, 0); err != nil || n.Count != 1 {
				t.Fatalf("%+v %v", n, err)
			}
			h.mustSyncPhone(t, one)
			h.checkClock(t, "it was accepted")
		}
	}
	h.recordFact(t, one, scope, market, journal.KindBatchChanged, map[string]string{"note": "later"})
	if s, err := readState(memoryTx{h.memoryJournal, false}, market, h.now); err != nil || s.Note != "later" {
		t.Errorf("the note is %q, %v", s.Note, err)
	}
}

// The browser at this computer has no token, and is an owner's: what it undid of another's while its clock
// was ahead is undone once it is accepted.
func TestUndoAtThisComputerAhead(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	scope := journal.BatchScope(market)
	note := h.recordFact(t, one, scope, market, journal.KindBatchChanged, map[string]string{"note": "wash cold"})
	browser := h.newPhone()
	browser.Now = h.now.Add(7 * zone.Day)
	h.sendFacts(t, browser, browser.write(t, journal.Draft{Scope: scope, Subject: market, Kind: journal.KindFactWithdrawn, Body: factText(`{"target":"` + string(note.ID) + `"}`)})...)
	if n, err := h.Accept(ctx, h.LocalAsker(), browser.Device, 0); err != nil || n.Count != 1 {
		t.Fatalf("%+v entries are accepted, %v", n, err)
	}
	if s := h.buildBatch(t, market); s.Note != "" {
		t.Errorf("the note is still %q", s.Note)
	}
}

// A removal of a phone must not wait: it holds whatever the clock of who removed it.
func TestRemovalAheadHolds(t *testing.T) {
	h := newTestHub(t)
	one, lost := h.addOwner(t), h.addOwner(t)
	one.Now = h.now.Add(300 * zone.Day)
	h.removePhone(t, one, lost)
	if h.roleOf(lost) != "out" {
		t.Errorf("it is %s", h.roleOf(lost))
	}
	h.checkClock(t, "the removal")
}

// A fact stamped ahead is refused when its file is imported; the others are stored.
func TestImportStampAhead(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	var far journal.Fact
	if err := json.Unmarshal(h.forgeFact(one, lastStamp, journal.BatchScope(market), market, journal.KindBatchChanged, `{"note":"x"}`, int64(h.now)), &far); err != nil {
		t.Fatal(err)
	}
	near := one.write(t, remarkDraft(market, "near"))[0]
	added, refused, err := h.Import(ctx, []journal.Fact{far, near})
	if err != nil || added != 1 || len(refused) != 1 || refused[0].ID != far.ID || refused[0].Code != fault.Refused {
		t.Errorf("%d %+v %v", added, refused, err)
	}
	h.checkClock(t, "a file")
}

// An earlier version let such a fact in: the journal and the hub's clock are poisoned, and
// the hub and phones went on with stamps at the end of time. Opened now it recovers: the
// hub's next stamps are near now, and whatever is done now wins over what is stamped ahead.
func TestPoisonedJournalRecovers(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	code := h.shareBatch(t, one, market, 0)
	kai := h.addHelper(t, code)
	scope := journal.BatchScope(market)
	hub := &networkPhone{testPhone: &testPhone{Author: journal.Author{Device: h.ID}}}
	sam := h.newUnpairedPhone()
	for i, text := range []factText{
		h.forgeFact(kai, lastStamp[:12]+"0000", scope, market, journal.KindBatchChanged, `{"note":"poison","name":"taken"}`, int64(h.now)),
		h.forgeFact(hub, lastStamp, scope, sam.Device, kindHelperJoined, `{"name":"sam"}`, int64(h.now)),
		h.forgeFact(one, lastStamp, scope, market, journal.KindBatchChanged, `{"note":"written under poison"}`, int64(h.now)),
	} {
		var f journal.Fact
		if err := json.Unmarshal(text, &f); err != nil {
			t.Fatal(i, err)
		}
		h.memoryJournal.facts = append(h.memoryJournal.facts, f)
	}
	h.meta[stampKey] = []byte(lastStamp)
	delete(h.meta, clockKey)
	h.cache = map[string][]byte{}
	h.open(t)
	h.mustSyncPhone(t, one)
	if one.LatestStamp.IsAhead(h.now) {
		t.Errorf("the owner's phone has seen %s", one.LatestStamp)
	}
	h.checkClock(t, "opened again")
	s, err := readState(memoryTx{h.memoryJournal, false}, market, h.now)
	if err != nil || s.FactCount != len(h.factsOf(scope)) {
		t.Errorf("of %d facts the state has %d, %v", len(h.factsOf(scope)), s.FactCount, err)
	}
	h.recordFact(t, one, scope, market, journal.KindBatchChanged, map[string]string{"note": "now", "name": "market"})
	h.recordFact(t, one, scope, market, journal.KindShareClosed, struct{}{})
	if s, err = readState(memoryTx{h.memoryJournal, false}, market, h.now); err != nil || s.Note != "now" || s.Name != "market" || len(s.Helpers) != 0 || h.roleOf(kai) != "out" {
		t.Errorf("%+v %v, kai is %s", s, err, h.roleOf(kai))
	}
	if _, err := h.pair(h.newUnpairedPhone(), code); !fault.Is(err, fault.Refused) {
		t.Errorf("the code of a closed sharing: %v", err)
	}
	var far journal.Stamp
	if err := far.UnmarshalText([]byte(lastStamp)); err != nil || !s.IsCurrentAt(h.now) || s.IsCurrentAt(far.Milliseconds) {
		t.Errorf("the state is good until %d, %v", s.ValidUntil, err)
	}
}

// The computer's clock is set back, or it starts with an old one: what it wrote before is
// not ahead, and what phones write goes on after it.
func TestOldClockAtStart(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	h.now = h.now.Add(-400 * zone.Day)
	h.open(t)
	a := h.mustSyncPhone(t, one)
	if a.Now != h.now || a.LatestHubTime != noon {
		t.Errorf("now %d, latest %d", a.Now, a.LatestHubTime)
	}
	one.Now = h.now
	f := h.recordFact(t, one, journal.BatchScope(market), market, journal.KindBatchChanged, map[string]string{"note": "on"})
	if !h.hasFact(f) || f.Stamp.Milliseconds < noon {
		t.Errorf("%s", f.Text())
	}
	n := len(h.facts)
	if _, err := h.RegisterPhone(ctx, h.LocalAsker(), api.JoinRequest{Device: h.newID()}); err != nil || h.facts[n].Stamp.Less(f.Stamp) {
		t.Errorf("%v: %s is not after %s", err, h.facts[n].Stamp, f.Stamp)
	}
}

func (h *testHub) factsOf(s journal.Scope) []journal.Fact {
	facts, err := memoryTx{h.memoryJournal, false}.Scope(s)
	if err != nil {
		panic(fmt.Sprint(err))
	}
	return facts
}
