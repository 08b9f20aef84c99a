package hub

import (
	"slices"
	"testing"

	"coldbatch/internal/api"
	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

func TestUnknownAsker(t *testing.T) {
	h := newTestHub(t)
	h.addOwner(t)
	for _, token := range []string{"", "x", hashOf(""), h.copyAccess().Phones[0].TokenHash} {
		if who, err := h.AskerByToken(ctx, token); err != nil || who.Role != rights.Stranger || who.Device != "" || who.Revoked {
			t.Errorf("%q is %+v %v", token, who, err)
		}
	}
	if who := h.LocalAsker(); who.Role != rights.Owner || who.Device != "" {
		t.Errorf("the computer itself is %+v", who)
	}
}

// An owner removes a phone, also by a fact written while the hub was out of reach, and
// gives it access again by withdrawing that fact.
func TestRemovePhone(t *testing.T) {
	h := newTestHub(t)
	one, two := h.addOwner(t), h.addOwner(t)
	code := h.shareBatch(t, one, h.startBatch(t, one, "market"), 0)
	kai := h.addHelper(t, code)
	for _, g := range []*networkPhone{two, kai} {
		was := h.roleOf(g)
		seq, stop := h.Subscribe()
		out := h.recordFact(t, one, journal.HouseScope, g.Device, kindRevoked, struct{}{})
		<-seq // whoever is told that something changed finds it out at once
		stop()
		if h.roleOf(g) != "out" || h.askerOf(g).Device != g.Device {
			t.Fatalf("%s is %s", was, h.roleOf(g))
		}
		for _, act := range []func() error{
			func() error { _, err := h.syncPhone(g); return err },
			func() error {
				_, err := h.RegisterPhone(ctx, h.askerOf(g), api.JoinRequest{Device: g.Device})
				return err
			},
			func() error { _, err := h.Invite(ctx, h.askerOf(g)); return err },
			func() error { _, err := h.Phones(ctx, h.askerOf(g)); return err },
			func() error { _, err := h.Quarantined(ctx, h.askerOf(g), g.Device); return err },
			func() error { _, err := h.Accept(ctx, h.askerOf(g), g.Device, 0); return err },
			func() error { _, err := h.Reject(ctx, h.askerOf(g), g.Device); return err },
			func() error { _, err := h.Requeue(ctx, h.askerOf(g), g.Device); return err },
			func() error { _, err := h.pair(&networkPhone{testPhone: g.testPhone}, code); return err }, // the code still goes round
		} {
			wantFault(t, act(), fault.Refused)
		}
		h.open(t) // and after a new start
		if h.roleOf(g) != "out" {
			t.Errorf("after a new start %s is %s", was, h.roleOf(g))
		}
		h.recordFact(t, one, journal.HouseScope, g.Device, journal.KindFactWithdrawn, journal.FactTarget{Target: out.ID})
		if h.roleOf(g) != was {
			t.Errorf("let in again, %s is %s", was, h.roleOf(g))
		}
		h.mustSyncPhone(t, g)
		h.recordFact(t, one, journal.HouseScope, g.Device, kindRevoked, struct{}{})
		if h.mustPair(t, g, h.mustInvite(t).Digits); h.roleOf(g) != "owner" { // by a code of the owner too
			t.Errorf("paired anew, %s is %s", was, h.roleOf(g))
		}
	}
}

// Only the person at the computer has access to the example.
func TestExampleRefusesPhones(t *testing.T) {
	h := newTestHub(t)
	one, i := h.addOwner(t), h.mustInvite(t)
	h.Hub.Example = true
	if h.roleOf(one) != "stranger" || h.LocalAsker().Role != rights.Owner {
		t.Errorf("it is %s", h.roleOf(one))
	}
	_, err := h.pair(h.newUnpairedPhone(), i.Code)
	wantFault(t, err, fault.Conflict)
	_, err = h.Invite(ctx, h.LocalAsker())
	wantFault(t, err, fault.Conflict)
	wantFault(t, h.RecordReading(ctx, "K7M2-Q9X4-TTRW-9ABC", 18), fault.Conflict)
	_, _, err = h.Import(ctx, nil)
	wantFault(t, err, fault.Conflict)
	_, err = h.Accept(ctx, h.LocalAsker(), one.Device, 0)
	wantFault(t, err, fault.Conflict)
}

func TestCloseAndReopenShare(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market, gifts := h.startBatch(t, one, "market"), h.startBatch(t, one, "gifts")
	first := h.shareBatch(t, one, market, 0)
	kai, ana := h.addHelper(t, first), h.addHelper(t, h.shareBatch(t, one, gifts, 0))
	h.mustPair(t, ana, first)
	scope := journal.BatchScope(market)
	closed := h.recordFact(t, one, scope, market, journal.KindShareClosed, struct{}{})
	if h.roleOf(kai) != "out" || h.roleOf(ana) != "helper 1" {
		t.Errorf("closed: %s, %s", h.roleOf(kai), h.roleOf(ana))
	}
	_, err := h.pair(h.newUnpairedPhone(), first)
	wantFault(t, err, fault.Refused)
	h.recordFact(t, one, scope, market, journal.KindFactWithdrawn, journal.FactTarget{Target: closed.ID})
	if h.roleOf(kai) != "helper 1" || h.roleOf(ana) != "helper 2" {
		t.Errorf("the closing taken back: %s, %s", h.roleOf(kai), h.roleOf(ana))
	}
	h.recordFact(t, one, scope, market, journal.KindFactRestored, journal.FactTarget{Target: closed.ID})
	second := h.shareBatch(t, one, market, 0)
	if h.roleOf(kai) != "out" {
		t.Errorf("a new code lets in who had the old one: %s", h.roleOf(kai))
	}
	_, err = h.pair(kai, first)
	wantFault(t, err, fault.Refused)
	if h.mustPair(t, kai, second); h.roleOf(kai) != "helper 1" {
		t.Errorf("by the new code: %s", h.roleOf(kai))
	}
	h.open(t)
	if h.roleOf(kai) != "helper 1" || h.roleOf(ana) != "helper 1" {
		t.Errorf("after a new start: %s, %s", h.roleOf(kai), h.roleOf(ana))
	}
}

// A hub that was restored from a copy older than its phones knows none of them. Nothing
// that they recorded is lost: they are paired again and send it.
func TestRestoredHubAcceptsPhonesAgain(t *testing.T) {
	h := newTestHub(t)
	first := h.addOwner(t)
	old := copyJournal(h)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	code := h.shareBatch(t, one, market, 0)
	kai := h.addHelper(t, code)
	h.mustSyncPhone(t, kai)
	h.mustSyncPhone(t, kai, market)
	lease := h.facts[len(h.facts)-1]
	note := h.recordFact(t, kai, journal.BatchScope(market), market, journal.KindBatchChanged, map[string]string{"note": "for the fair"})
	for _, g := range []*networkPhone{kai, one, first} {
		h.mustSyncPhone(t, g)
	}
	all := slices.Clone(h.facts)

	h.restore(t, old)
	if h.roleOf(first) != "owner" || h.roleOf(one) != "stranger" || h.roleOf(kai) != "stranger" {
		t.Fatalf("%s, %s, %s", h.roleOf(first), h.roleOf(one), h.roleOf(kai))
	}
	late := kai.write(t, h.newReadingDraft("18"))[0] // a helper writes no reading: refused, whatever the hub knows
	if _, err := h.syncPhone(kai); !fault.Is(err, fault.Refused) || len(kai.unsentFacts) != 1 || h.hasFact(note) {
		t.Errorf("a stranger was told %v", err)
	}
	h.mustPair(t, one, h.mustInvite(t).Code)
	h.mustSyncPhone(t, one)
	for _, f := range all {
		if !h.hasFact(f) {
			t.Errorf("lost %s", f.Text())
		}
	}
	if h.mustPair(t, kai, code); h.roleOf(kai) != "helper 1" { // its joining was among what came
		t.Errorf("it is %s", h.roleOf(kai))
	}
	a, err := h.Exchange(ctx, h.askerOf(kai), exchange.Request{Device: kai.Device, Cursor: kai.cursor, Facts: factTexts(all)})
	if err != nil || len(a.Refused) != 0 || len(a.Acks) != len(all) {
		t.Errorf("what is here again was refused: %+v %v", a, err)
	}
	a, err = h.Exchange(ctx, h.askerOf(kai), exchange.Request{Device: kai.Device, Cursor: kai.cursor, Facts: factTexts([]journal.Fact{late})})
	if err != nil || len(a.Refused) != 1 || h.hasFact(late) {
		t.Errorf("%+v %v", a, err)
	}

	// Where the helper comes first it brings what it wrote itself, and nothing of others:
	// nobody could tell it from what it made up in their name.
	h.restore(t, old)
	i := h.mustInvite(t)
	h.mustPair(t, one, i.Code)
	for _, f := range all { // the owner's phone had only come as far as the sharing
		if _, err := h.Exchange(ctx, h.askerOf(one), exchange.Request{Device: one.Device, Facts: factTexts([]journal.Fact{f})}); err != nil {
			t.Fatal(err)
		}
		if f.Kind == journal.KindShareOpened {
			break
		}
	}
	h.mustPair(t, kai, code)
	kai.unsentFacts = nil
	h.mustSyncPhone(t, kai)
	if !h.hasFact(note) || h.hasFact(lease) || lease.Kind != journal.KindNumbersLeased {
		t.Errorf("note %v, lease %v", h.hasFact(note), h.hasFact(lease))
	}
}

func factTexts(facts []journal.Fact) (out []factText) {
	for _, f := range facts {
		out = append(out, f.Text())
	}
	return out
}

func TestPhones(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	browser := h.newUnpairedPhone()
	if _, err := h.RegisterPhone(ctx, h.LocalAsker(), api.JoinRequest{Device: browser.Device, Name: "computer"}); err != nil {
		t.Fatal(err)
	}
	h.now = h.now.Add(zone.Minute)
	h.mustSyncPhone(t, kai)
	h.mustSyncPhone(t, one)
	h.recordFact(t, one, journal.HouseScope, kai.Device, journal.KindDeviceNamed, journal.DeviceNamed{Name: "Kai"})
	list := func() []api.PhoneInfo {
		l, err := h.Phones(ctx, h.askerOf(one))
		if err != nil || len(l) != 3 {
			t.Fatalf("%+v %v", l, err)
		}
		return l
	}
	l := list()
	if p := l[0]; p.Device != one.Device || !p.IsAsker || p.Role != rights.Owner || p.Letter != "A" || p.JoinedAt != noon || !p.IsPaired || p.IsRevoked || p.LastExchange != h.now {
		t.Errorf("the owner's: %+v", p)
	}
	if p := l[1]; p.Name != "Kai" || p.IsAsker || p.Role != rights.Helper || p.Letter != "" || !slices.Equal(p.Batches, []api.BatchName{{ID: market, Name: "market"}}) || p.LastExchange != h.now || p.QuarantinedCount != 0 {
		t.Errorf("the helper's: %+v", p)
	}
	if p := l[2]; p.Name != "computer" || p.IsPaired || p.Role != "" || p.LastExchange != 0 {
		t.Errorf("the computer's: %+v", p)
	}
	h.recordFact(t, one, journal.HouseScope, kai.Device, kindRevoked, struct{}{})
	note := kai.write(t, journal.Draft{Scope: journal.BatchScope(market), Subject: market, Kind: journal.KindBatchChanged, Body: factText(`{"note":"late"}`)})[0]
	if _, err := h.syncPhone(kai); !fault.Is(err, fault.Refused) {
		t.Fatal(err)
	}
	if p := list()[1]; !p.IsRevoked || p.QuarantinedCount != 1 {
		t.Errorf("let out: %+v", p)
	}
	// What came by another way waits no more.
	if _, _, err := h.Import(ctx, []journal.Fact{note}); err != nil || list()[1].QuarantinedCount != 0 {
		t.Errorf("%v, %+v", err, list()[1])
	}
	_, err := h.Phones(ctx, rights.Asker{Role: rights.Helper})
	wantFault(t, err, fault.Refused)
}

// The time when a phone was last seen is stored to the hour, without a sync at each exchange.
func TestLastSeenIsStored(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	h.now = h.now.Add(zone.Second)
	h.mustSyncPhone(t, one)
	updates := h.updates
	for range 11 {
		h.now = h.now.Add(5 * zone.Minute)
		h.mustSyncPhone(t, one)
	}
	if h.updates != updates {
		t.Errorf("%d transactions within the hour", h.updates-updates)
	}
	h.now = h.now.Add(2 * zone.Hour)
	then := h.now
	h.mustSyncPhone(t, one)
	h.now = h.now.Add(20 * zone.Minute)
	h.mustSyncPhone(t, one)
	h.open(t)
	if l, err := h.Phones(ctx, h.LocalAsker()); err != nil || l[0].LastExchange != then {
		t.Errorf("%+v %v, want %d", l, err, then)
	}
}

// Every phone of a batch knows the others' ids. A phone that has its token cannot be paired anew by
// someone who claims its answer was lost, not even after a restart.
func TestNobodyTakesTheIDOfAPhoneAfterARestart(t *testing.T) {
	h := newTestHub(t)
	house := h.addOwner(t)
	code := h.shareBatch(t, house, h.startBatch(t, house, "market"), 0)
	helper := h.addHelper(t, code)
	h.mustSyncPhone(t, helper) // at the instant at which it was paired
	h.now = h.now.Add(zone.Second)
	h.mustSyncPhone(t, helper)
	h.open(t)
	_, err := h.pair(&networkPhone{testPhone: helper.testPhone}, code)
	wantFault(t, err, fault.Refused)
	if who := h.askerOf(helper); who.Role != rights.Helper {
		t.Errorf("the phone itself is %+v now", who)
	}
}

func TestDamagedAccess(t *testing.T) {
	h := newTestHub(t)
	h.addOwner(t)
	h.meta[accessKey] = []byte(`{"phones":7}`)
	_, err := Open(h.memoryJournal, api.Identity{}, h.system)
	wantFault(t, err, fault.Damaged)
}
