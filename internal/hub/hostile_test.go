package hub

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"coldbatch/internal/api"
	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/label"
	"coldbatch/internal/zone"
)

// forgeFact writes a fact as text and bypasses the checks of a real phone.
func (h *testHub) forgeFact(g *networkPhone, stamp string, scope journal.Scope, subject journal.ID, kind, body string, at int64) factText {
	return factText(fmt.Sprintf(`{"id":%q,"stamp":%q,"device":%q,"scope":%q,"subject":%q,"kind":%q,"v":1,"need":1,"at":%d,"tz":"UTC","body":%s}`,
		h.newID(), stamp, g.Device, scope, subject, kind, at, body))
}

func (h *testHub) sendForged(t *testing.T, g *networkPhone, facts ...factText) *exchange.Answer {
	t.Helper()
	a, err := h.Exchange(ctx, h.askerOf(g), exchange.Request{Device: g.Device, Facts: facts})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// A helper's phone that means harm brings facts with the most extreme numbers that
// read. The hub goes on: what it writes afterwards reads, and it answers in time.
func TestExtremeFacts(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	scope, now := journal.BatchScope(market), int64(h.now)
	const ends = 7258118400000 // the first instant of 2200, beyond which no stamp reads
	stamp := func(ms int64, n int) string { return fmt.Sprintf("%012x%04x", ms, n) }
	bag, piece, place := h.newID(), h.newID(), h.newID()
	hub := &networkPhone{testPhone: &testPhone{Author: journal.Author{Device: h.ID}}}
	a := h.sendForged(t, kai,
		h.forgeFact(hub, stamp(now, 0), scope, market, journal.KindNumbersLeased, fmt.Sprintf(`{"device":%q,"from":-9223372036854775808,"to":9223372036854775807}`, kai.Device), now),
		h.forgeFact(kai, stamp(now, 1), scope, piece, journal.KindPieceAdded, `{"kind":"shirt","grams":1e300,"count":9007199254740991}`, now),
		h.forgeFact(kai, stamp(now, 2), scope, bag, journal.KindBagClosed, fmt.Sprintf(`{"number":1,"place":%q,"pieces":[{"piece":%q,"count":500}],"colours":[{"colour":%q,"share":1}]}`, place, piece, h.newID()), 0),
		h.forgeFact(kai, stamp(now, 3), scope, bag, journal.KindBagMoved, fmt.Sprintf(`{"place":%q}`, place), ends),
		h.forgeFact(kai, stamp(now, 4), scope, bag, journal.KindBagRinsed, `{"baths":9007199254740991}`, ends),
		h.forgeFact(kai, stamp(ends, 1<<16-1), scope, market, journal.KindBatchChanged, `{"note":"x"}`, ends),
	)
	if len(a.Acks) != 2 || len(a.Refused) != 4 { // the lease in the hub's name and what no body may hold are refused, and the last one waits for the owner
		t.Fatalf("%+v", a)
	}
	h.recordFact(t, one, journal.PlaceScope(place), place, journal.KindPlaceUsual, journal.UsualTemperatures{Low: -40, High: 90})
	h.recordFact(t, one, journal.PlaceScope(place), place, journal.KindPlaceRead, journal.TemperatureReading{Celsius: 18})
	began := time.Now()
	h.mustSyncPhone(t, one, market)
	h.mustSyncPhone(t, one, market)
	h.startBatch(t, one, "gifts")
	h.addOwner(t) // the hub writes that it joined
	s, err := readState(memoryTx{h.memoryJournal, false}, market, h.now)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := h.ViewBag(ctx, h.LocalAsker(), label.MakeToken(s.Secret.Bytes(), bag.Bytes()).ID()); err != nil {
		t.Error(err)
	}
	if took := time.Since(began); took > 2*time.Second {
		t.Errorf("took %v", took)
	}
	for _, f := range h.facts {
		var again journal.Fact
		if err := json.Unmarshal(f.Text(), &again); err != nil {
			t.Errorf("the journal holds what does not read: %v", err)
		}
	}
}

// Each row is a code that was good when a phone was let out, or came to be out of
// its time by the clock of the hub.
func TestInvitationsEnd(t *testing.T) {
	for _, c := range []struct {
		why   string
		then  func(h *testHub, one, lost *networkPhone, i *api.Invitation)
		again bool // the phone that comes is the one that was let out
		want  fault.Code
	}{
		{"nothing came between", func(*testHub, *networkPhone, *networkPhone, *api.Invitation) {}, false, ""},
		{"the phone that made it was let out: whoever has it now must not bring in another", func(h *testHub, one, lost *networkPhone, _ *api.Invitation) { h.removePhone(t, one, lost) }, false, fault.Refused},
		{"nor itself", func(h *testHub, one, lost *networkPhone, _ *api.Invitation) { h.removePhone(t, one, lost) }, true, fault.Refused},
		{"that was taken back since: it may have been read all the same", func(h *testHub, one, lost *networkPhone, _ *api.Invitation) {
			f := h.recordFact(t, one, journal.HouseScope, lost.Device, kindRevoked, struct{}{})
			h.recordFact(t, one, journal.HouseScope, lost.Device, journal.KindFactWithdrawn, journal.FactTarget{Target: f.ID})
		}, false, fault.Refused},
		{"the phone was let out before", func(h *testHub, one, lost *networkPhone, i *api.Invitation) {
			h.removePhone(t, one, lost)
			*i = *h.mustInvite(t)
		}, true, ""},
		{"the clock of the hub was set back by a minute, as clocks are", func(h *testHub, _, _ *networkPhone, _ *api.Invitation) {
			h.now = h.now.Add(-zone.Minute)
			h.mustInvite(t)
			h.now = h.now.Add(zone.Minute)
		}, false, ""},
		{"it was set back by a day, and that day comes once more", func(h *testHub, _, _ *networkPhone, _ *api.Invitation) {
			h.now = h.now.Add(-zone.Day)
			h.mustInvite(t)
			h.now = h.now.Add(zone.Day)
		}, false, fault.Refused},
	} {
		h := newTestHub(t)
		one, lost := h.addOwner(t), h.addOwner(t)
		i, err := h.Invite(ctx, h.askerOf(lost))
		if err != nil {
			t.Fatal(err)
		}
		c.then(h, one, lost, i)
		come := h.newUnpairedPhone()
		if c.again {
			come = &networkPhone{testPhone: lost.testPhone}
		}
		_, err = h.pair(come, i.Code)
		if c.want != "" {
			if !fault.Is(err, c.want) {
				t.Errorf("%s: %v", c.why, err)
			}
		} else if err != nil {
			t.Errorf("%s: %v", c.why, err)
		}
		if in := h.roleOf(come); (in == "owner") != (c.want == "") {
			t.Errorf("%s: it is %s", c.why, in)
		}
	}
}

// A removed phone may send what it recorded, but nothing that gives anyone access: an
// owner accepts hundreds of facts at a time without reading each.
func TestQuarantinedFactGivesNoAccess(t *testing.T) {
	h := newTestHub(t)
	one, lost := h.addOwner(t), h.addOwner(t)
	market := h.startBatch(t, one, "market")
	code := h.shareBatch(t, one, market, 0)
	kai := h.addHelper(t, code)
	scope := journal.BatchScope(market)
	slip := h.recordFact(t, lost, scope, market, journal.KindBatchChanged, map[string]string{"note": "slip"})
	closed := h.recordFact(t, one, scope, market, journal.KindShareClosed, struct{}{})
	h.mustSyncPhone(t, lost)
	undo := func(f journal.Fact) journal.Draft {
		return journal.Draft{Scope: f.Scope, Subject: f.Subject, Kind: journal.KindFactWithdrawn, Body: factText(fmt.Sprintf(`{"target":%q}`, f.ID))}
	}
	sent := lost.write(t, remarkDraft(market, "late"), undo(slip), undo(closed),
		journal.Draft{Scope: scope, Subject: market, Kind: journal.KindShareOpened, Body: factText(fmt.Sprintf(`{"hash":%q}`, hashOf(strings.Repeat("0", 16))))},
		journal.Draft{Scope: journal.HouseScope, Subject: one.Device, Kind: kindRevoked, Body: factText(`{}`)})
	h.removePhone(t, one, lost)
	if told := h.refusalOf(t, lost, sent...); !strings.Contains(told, "2 entries") {
		t.Error(told)
	}
	if n, err := h.Accept(ctx, h.askerOf(one), lost.Device, 0); err != nil || n.Count != 2 || !h.hasFact(sent[0]) || !h.hasFact(sent[1]) {
		t.Errorf("%+v %v", n, err)
	}
	if h.roleOf(kai) != "out" || h.roleOf(one) != "owner" {
		t.Errorf("then the helper is %s, the owner %s", h.roleOf(kai), h.roleOf(one))
	}
	_, err := h.pair(h.newUnpairedPhone(), "0000-0000-0000-0000")
	wantFault(t, err, fault.Refused)
}

// Whoever has a token is in the list, so that it can be let out.
func TestNoPhoneIsHidden(t *testing.T) {
	h := newTestHub(t)
	one, sly := h.addOwner(t), h.addOwner(t)
	var joined journal.Fact
	for _, f := range h.facts {
		if f.Kind == journal.KindDeviceJoined && f.Subject == sly.Device {
			joined = f
		}
	}
	h.recordFact(t, sly, journal.HouseScope, sly.Device, journal.KindFactWithdrawn, journal.FactTarget{Target: joined.ID})
	l, err := h.Phones(ctx, h.askerOf(one))
	if err != nil || len(l) != 2 || l[1].Device != sly.Device || !l[1].IsPaired {
		t.Errorf("%+v %v", l, err)
	}
}

// After the hub's clock was set back, a phone is seen at the time that the clock shows.
func TestLastSeenWithClockSetBack(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	h.now = h.now.Add(400 * zone.Day)
	h.mustSyncPhone(t, one)
	h.now = noon.Add(zone.Hour)
	h.mustSyncPhone(t, one)
	for range 2 {
		if l, err := h.Phones(ctx, h.LocalAsker()); err != nil || l[0].LastExchange != h.now {
			t.Errorf("%+v %v, want %d", l, err, h.now)
		}
		h.open(t)
	}
}

// Clocks that are off by more than there is time put a bag nowhere, and hold up
// nobody who looks at it.
func TestExtremeClocks(t *testing.T) {
	for _, offset := range []int64{-1 << 63, -1<<63 + 1, -1 << 62, -1 << 45, 1 << 43, 1 << 45, 1 << 50, 1 << 62, 1<<63 - 1, 1<<63 - 1 - int64(noon)} {
		h := newTestHub(t)
		one := h.addOwner(t)
		market := h.startBatch(t, one, "market")
		kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
		scope, bag, place, now := journal.BatchScope(market), h.newID(), h.newID(), int64(h.now)
		h.sendForged(t, kai,
			h.forgeFact(kai, fmt.Sprintf("%012x%04x", now, 1), scope, bag, journal.KindBagClosed, fmt.Sprintf(`{"number":1,"place":%q,"pieces":[{"piece":%q,"count":1}],"colours":[{"colour":%q,"share":1}]}`, place, h.newID(), h.newID()), now),
			h.forgeFact(kai, fmt.Sprintf("%012x%04x", now, 2), scope, bag, journal.KindBagMoved, fmt.Sprintf(`{"place":%q}`, place), now),
			h.forgeFact(kai, fmt.Sprintf("%012x%04x", now, 3), scope, market, journal.KindClockMeasured, fmt.Sprintf(`{"offset":%d}`, offset), now),
			h.forgeFact(kai, fmt.Sprintf("%012x%04x", now, 4), scope, bag, journal.KindBagMoved, `{}`, now),
		)
		h.recordFact(t, one, journal.PlaceScope(place), place, journal.KindPlaceUsual, journal.UsualTemperatures{Low: 5, High: 30})
		h.recordFact(t, one, journal.PlaceScope(place), place, journal.KindPlaceRead, journal.TemperatureReading{Celsius: 18})
		s, err := readState(memoryTx{h.memoryJournal, false}, market, h.now)
		if err != nil {
			t.Fatal(err)
		}
		began := time.Now()
		v, err := h.ViewBag(ctx, h.LocalAsker(), label.MakeToken(s.Secret.Bytes(), bag.Bytes()).ID())
		if err != nil {
			t.Errorf("%d: %v", offset, err)
		}
		if _, err := json.Marshal(v); err != nil {
			t.Errorf("%d: %v", offset, err)
		}
		if took := time.Since(began); took > time.Second {
			t.Errorf("%d: took %v", offset, took)
		}
	}
}

// failingJournal is a journal whose commits fail at their last sync: what was written is there
// all the same.
type failingJournal struct {
	*memoryJournal
	err error
}

func (t *failingJournal) Update(do func(Tx) error) error {
	if err := t.memoryJournal.Update(do); err != nil {
		return err
	}
	return t.err
}

func TestRemovalHoldsWhenDiskFails(t *testing.T) {
	h := newTestHub(t)
	j := &failingJournal{memoryJournal: h.memoryJournal}
	h.journal = j
	one := h.addOwner(t)
	kai := h.addHelper(t, h.shareBatch(t, one, h.startBatch(t, one, "market"), 0))
	if h.roleOf(kai) != "helper 1" {
		t.Fatal(h.roleOf(kai))
	}
	out := one.write(t, journal.Draft{Scope: journal.HouseScope, Subject: kai.Device, Kind: kindRevoked, Body: factText(`{}`)})[0]
	j.err = fault.New(fault.Full, "the disk is full")
	_, err := h.syncPhone(one)
	wantFault(t, err, fault.Full)
	if j.err = nil; !h.hasFact(out) || h.roleOf(kai) != "out" {
		t.Errorf("the fact is there, and it is %s", h.roleOf(kai))
	}
}
