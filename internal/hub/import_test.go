package hub

import (
	"encoding/json"
	"slices"
	"testing"

	"coldbatch/internal/api"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/unit"
)

// Somebody who knows the ids of a house, as a former helper does, hands over a journal with
// entries in the owner's name that remove the owner's phone, open a batch to a code, a calendar
// and a sensor, and take back the removal of a phone. Once the owner had read the file, the
// owner's phone was shut out and the others were in.
func TestImportDecidesNoAccess(t *testing.T) {
	h := newTestHub(t)
	one, lost := h.addOwner(t), h.addOwner(t)
	market := h.startBatch(t, one, "market")
	removal := h.recordFact(t, one, journal.HouseScope, lost.Device, kindRevoked, journal.NoteBody{})
	place, known := h.newID(), h.factsOf(journal.HouseScope)
	code, calendar := journal.NewCode([10]byte{1}), journal.NewCode([10]byte{2})
	hash := hashOf(mustParseCode(t, code))
	draft := func(scope journal.Scope, subject journal.ID, kind, body string) journal.Draft {
		return journal.Draft{Scope: scope, Subject: subject, Kind: kind, Body: []byte(body)}
	}
	forger := &networkPhone{testPhone: h.newPhone()}
	forger.Device = one.Device
	scope := journal.BatchScope(market)
	facts := forger.write(t,
		draft(journal.HouseScope, one.Device, kindRevoked, `{}`),
		draft(scope, market, journal.KindShareOpened, `{"hash":"`+hash+`"}`),
		draft(journal.HouseScope, h.newID(), journal.KindCalendarOpened, `{"name":"x","hash":"`+hashOf(mustParseCode(t, calendar))+`"}`),
		draft(journal.PlaceScope(place), place, journal.KindPlaceSensed, `{"name":"x","hash":"`+hash+`"}`),
		draft(journal.HouseScope, lost.Device, journal.KindFactWithdrawn, `{"target":"`+string(removal.ID)+`"}`),
		draft(scope, market, journal.KindBatchChanged, `{"note":"harmless"}`))
	added, refused, err := h.Import(ctx, append(facts, known...))
	if err != nil || added != 1 || len(refused) != 5 {
		t.Errorf("%d new, %d refused, %v", added, len(refused), err)
	}
	if h.roleOf(one) != string(rights.Owner) || h.roleOf(lost) != "out" {
		t.Errorf("the owner's phone is %q, the removed one %q", h.roleOf(one), h.roleOf(lost))
	}
	if _, err := h.pair(h.newUnpairedPhone(), code); err == nil {
		t.Error("a stranger joined with the code in the file")
	}
	if _, err := h.CalendarFeed(ctx, calendar, unit.Style{}); err == nil {
		t.Error("the calendar in the file is served")
	}
	// A new computer, on which no phone is paired yet, reads the same as before.
	other := newTestHub(t)
	other.random.fill(make([]byte, 64))
	if added, refused, err := other.Import(ctx, h.facts); err != nil || added != len(h.facts) || len(refused) != 0 {
		t.Errorf("on a new computer: %d of %d new, refused %v, %v", added, len(h.facts), refused, err)
	}
}

// Somebody who knows the start of a batch hands over a file with an earlier one of another secret, all bag
// numbers given away and a phone nobody knows. The file is read; printed labels lead to their bags as before,
// the owner's phone gets numbers, and the list of phones is as it was.
func TestImportRekeysNoBatch(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	bag := one.closeBag(t, h, market, 1)
	h.mustSyncPhone(t, one, market)
	before := h.buildBatch(t, market)
	scope := journal.BatchScope(market)
	hub := &networkPhone{testPhone: &testPhone{Author: journal.Author{Device: h.ID}}}
	forge := func(by *networkPhone, scope journal.Scope, subject journal.ID, kind, body string) (f journal.Fact) {
		if err := json.Unmarshal(h.forgeFact(by, "0000000000000000", scope, subject, kind, body, int64(h.now)), &f); err != nil {
			t.Fatal(err)
		}
		return f
	}
	known := h.newID()
	facts := []journal.Fact{
		forge(one, scope, market, journal.KindBatchStarted, `{"name":"market","secret":"`+string(h.newID())+`"}`),
		forge(hub, scope, market, journal.KindNumbersLeased, `{"device":"`+string(known)+`","from":1,"to":1023}`),
		forge(hub, journal.HouseScope, known, journal.KindDeviceJoined, `{"name":"imp"}`),
		forge(one, scope, market, journal.KindBatchChanged, `{"note":"harmless"}`),
	}
	added, refused, err := h.Import(ctx, facts)
	if err != nil || added != 1 || len(refused) != 3 {
		t.Errorf("%d new, %d refused, %v", added, len(refused), err)
	}
	after := h.buildBatch(t, market)
	if b, _ := after.Bag(bag); after.Secret != before.Secret || b.Token != before.Bags[0].Token || after.Note != "harmless" {
		t.Errorf("the secret is %q, was %q; the token %q, was %q", after.Secret, before.Secret, b.Token, before.Bags[0].Token)
	}
	two := h.addOwner(t)
	h.mustSyncPhone(t, two, market)
	h.mustSyncPhone(t, two, market) // a phone that has just been let in gets its numbers in its second exchange
	if n := h.buildBatch(t, market).Numbers.FreeCount(two.Device); n != journal.LeaseSize {
		t.Errorf("a second phone has %d numbers", n)
	}
	phones, err := h.Phones(ctx, h.LocalAsker())
	if err != nil || slices.ContainsFunc(phones, func(p api.PhoneInfo) bool { return p.Device == known }) {
		t.Errorf("the phone of the file is listed, %v", err)
	}
}

// An earlier version took such a start: withdrawing it makes the printed labels lead to their bags again.
func TestMadeUpStartIsUndone(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	one.closeBag(t, h, market, 1)
	h.mustSyncPhone(t, one, market)
	before := h.buildBatch(t, market)
	scope := journal.BatchScope(market)
	start := h.injectFact(t, h.forgeFact(one, "0000000000000000", scope, market, journal.KindBatchStarted, `{"name":"market","secret":"`+string(h.newID())+`"}`, int64(h.now)))
	if h.buildBatch(t, market).Secret == before.Secret {
		t.Fatal("the attack has no effect to undo")
	}
	h.recordFact(t, one, scope, market, journal.KindFactWithdrawn, journal.FactTarget{Target: start.ID})
	if s := h.buildBatch(t, market); s.Secret != before.Secret || s.Bags[0].Token != before.Bags[0].Token {
		t.Errorf("the secret is %q, was %q", s.Secret, before.Secret)
	}
}

// The same start comes by an owner's phone that read such a file, and by a removed phone whose entries the owner
// accepts: the hub takes neither.
func TestPhoneRekeysNoBatch(t *testing.T) {
	h := newTestHub(t)
	one, lost := h.addOwner(t), h.addOwner(t)
	market := h.startBatch(t, one, "market")
	before := h.buildBatch(t, market)
	start := func(by *networkPhone) factText {
		return h.forgeFact(by, "0000000000000001", journal.BatchScope(market), market, journal.KindBatchStarted, `{"name":"market","secret":"`+string(h.newID())+`"}`, int64(h.now))
	}
	if a := h.sendForged(t, one, start(one)); len(a.Refused) != 1 {
		t.Errorf("an owner's phone: %+v", a)
	}
	h.removePhone(t, one, lost)
	var f journal.Fact
	if err := json.Unmarshal(start(lost), &f); err != nil {
		t.Fatal(err)
	}
	h.refusalOf(t, lost, f)
	if n, err := h.Accept(ctx, h.LocalAsker(), lost.Device, 0); err != nil || n.Count != 0 {
		t.Errorf("%+v accepted, %v", n, err)
	}
	if s := h.buildBatch(t, market); s.Secret != before.Secret {
		t.Errorf("the secret is %q, was %q", s.Secret, before.Secret)
	}
}
