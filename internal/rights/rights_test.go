package rights

import (
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

var everyAction = []Action{SeeApp, SeeBag, SeeCalendar, SeeBatch, AddToBatch, SeePlace, AddToPlace, TakeNumbers, UseShelf, ManageHouse}

// The whole table, spelt out: a change of it must be a change here.
func TestTable(t *testing.T) {
	for role, row := range map[Role]string{
		Stranger: "x.........", LabelHolder: "xx........", CalendarHolder: "x.x.......", Helper: "xx.xxx.x..", Owner: "xxxxxxxxxx",
		"guest": "..........",
	} {
		for i, act := range everyAction {
			if got, want := IsAllowed(role, act), row[i] == 'x'; got != want {
				t.Errorf("%s, %s: %v, want %v", role, act, got, want)
			}
		}
		if IsAllowed(role, "fly") {
			t.Errorf("%s may do what is no act", role)
		}
	}
}

func TestFactsByScope(t *testing.T) {
	id := journal.NewID([16]byte{1})
	mine, other := journal.BatchScope(id), journal.BatchScope(journal.NewID([16]byte{2}))
	place := journal.PlaceScope(id)
	asker := func(role Role) Asker {
		return Asker{Role: role, Device: journal.NewID([16]byte{9}), Batches: []journal.ID{id}}
	}
	placesOf := func(journal.ID) ([]journal.ID, error) { return []journal.ID{id}, nil }
	for _, c := range []struct {
		why        string
		role       Role
		scope      journal.Scope
		kind       string
		see, write bool
	}{
		{"a helper in the batch it joined", Helper, mine, journal.KindBagClosed, true, true},
		{"a helper reads where its bags stand", Helper, place, journal.KindPlaceRead, true, false},
		{"a helper in another batch", Helper, other, journal.KindBagClosed, false, false},
		{"a helper and the stock", Helper, journal.ShelfScope, journal.KindStockUsed, false, false},
		{"a helper and the house", Helper, journal.HouseScope, journal.KindDeviceRevoked, false, false},
		{"who holds a label reads the bag, not the journal", LabelHolder, mine, journal.KindBagClosed, false, false},
		{"a stranger", Stranger, mine, journal.KindBagClosed, false, false},
		{"the owner anywhere", Owner, other, journal.KindBagClosed, true, true},
		{"the owner in the house", Owner, journal.HouseScope, journal.KindDeviceNamed, true, true},
		{"numbers are the hub's to give", Owner, mine, journal.KindNumbersLeased, true, false},
		{"who helps too", Owner, mine, journal.KindHelperJoined, true, false},
		{"a helper lets nobody in", Helper, mine, journal.KindShareOpened, true, false},
		{"nor out", Helper, mine, journal.KindShareClosed, true, false},
		{"only an owner starts a batch", Owner, mine, journal.KindBatchStarted, true, true},
		{"a helper does not, nor gives it another secret", Helper, mine, journal.KindBatchStarted, true, false},
		{"letters too", Owner, journal.HouseScope, journal.KindDeviceJoined, true, false},
	} {
		f := journal.Fact{Scope: c.scope, Kind: c.kind}
		visible, err := asker(c.role).ComputeVisibleScopes(placesOf)
		if got := visible.HasScope(c.scope); err != nil || got != c.see {
			t.Errorf("%s: sees %v, %v", c.why, got, err)
		}
		err = CheckWrite(asker(c.role), f)
		if (err == nil) != c.write || err != nil && !fault.Is(err, fault.Refused) {
			t.Errorf("%s: writing gives %v", c.why, err)
		}
	}
}

// What a phone brings that another wrote: a hub put back from an old copy lost it.
func TestPassedOn(t *testing.T) {
	id := journal.NewID([16]byte{1})
	mine, other := journal.BatchScope(id), journal.BatchScope(journal.NewID([16]byte{2}))
	hub := journal.NewID([16]byte{7})
	asker := func(role Role) Asker {
		return Asker{Role: role, Device: journal.NewID([16]byte{9}), Batches: []journal.ID{id}}
	}
	for _, c := range []struct {
		why   string
		role  Role
		scope journal.Scope
		kind  string
		pass  bool
	}{
		{"the owner brings back the numbers that the hub gave", Owner, mine, journal.KindNumbersLeased, true},
		{"and who helps", Owner, mine, journal.KindHelperJoined, true},
		{"and the letters", Owner, journal.HouseScope, journal.KindDeviceJoined, true},
		{"and what anyone took back", Owner, mine, journal.KindFactWithdrawn, true},
		{"a helper passes on nothing of others", Helper, mine, journal.KindBagClosed, false},
		{"nor the numbers", Helper, mine, journal.KindNumbersLeased, false},
		{"nor how far another's clock is off", Helper, mine, journal.KindClockMeasured, false},
		{"nor who helps", Helper, mine, journal.KindHelperJoined, false},
		{"nor what another took back", Helper, mine, journal.KindFactWithdrawn, false},
		{"another batch is none of its business", Helper, other, journal.KindBagClosed, false},
		{"nor the house", Helper, journal.HouseScope, journal.KindDeviceRevoked, false},
		{"a stranger passes nothing on", Stranger, mine, journal.KindBagClosed, false},
	} {
		err := CheckRelay(asker(c.role), journal.Fact{Device: hub, Scope: c.scope, Kind: c.kind})
		if (err == nil) != c.pass || err != nil && !fault.Is(err, fault.Refused) {
			t.Errorf("%s: %v", c.why, err)
		}
	}
	for _, kind := range []string{journal.KindFactWithdrawn, journal.KindFactRestored} { // its own: of whose entry is the hub's to know
		if err := CheckWrite(asker(Helper), journal.Fact{Scope: mine, Kind: kind}); err != nil {
			t.Error(err)
		}
	}
}

// Numbers that another than the hub leased are not the hub's: only an owner may bring
// such a fact back.
func TestLeasesAreTheHubs(t *testing.T) {
	id, other := journal.NewID([16]byte{1}), journal.NewID([16]byte{8})
	lease := journal.Fact{Device: other, Scope: journal.BatchScope(id), Kind: journal.KindNumbersLeased}
	if err := CheckRelay(Asker{Role: Helper, Batches: []journal.ID{id}}, lease); !fault.Is(err, fault.Refused) {
		t.Errorf("a helper relays a lease of another: %v", err)
	}
	if err := CheckRelay(Asker{Role: Owner}, lease); err != nil {
		t.Errorf("an owner does not: %v", err)
	}
	for _, c := range []struct {
		asker Asker
		want  bool
	}{
		{Asker{Role: Owner}, true}, {Asker{Role: Helper, Batches: []journal.ID{id}}, true}, {Asker{Role: Helper, Batches: []journal.ID{other}}, false},
		{Asker{Role: LabelHolder, Batches: []journal.ID{id}}, false}, {Asker{Role: Stranger}, false}, {Asker{}, false},
	} {
		if got := c.asker.CanLease(id); got != c.want {
			t.Errorf("%+v leases numbers: %v", c.asker, got)
		}
	}
}

// A helper undoes what it wrote; an owner what anyone wrote.
func TestWithdrawal(t *testing.T) {
	me, other := journal.NewID([16]byte{1}), journal.NewID([16]byte{2})
	for _, c := range []struct {
		asker  Asker
		writer journal.ID
		ok     bool
	}{
		{Asker{Role: Helper, Device: me}, me, true}, {Asker{Role: Helper, Device: me}, other, false},
		{Asker{Role: Owner, Device: me}, other, true}, {Asker{Role: Owner}, other, true},
	} {
		if err := CheckWithdrawal(c.asker, c.writer); (err == nil) != c.ok || err != nil && !fault.Is(err, fault.Refused) {
			t.Errorf("%+v undoes what %s wrote: %v", c.asker, c.writer, err)
		}
	}
}

// A phone that was removed may leave what it wrote while it belonged here to the owner
// to decide on; of the house and of sharing it may say nothing.
func TestQuarantine(t *testing.T) {
	id, me, other := journal.NewID([16]byte{1}), journal.NewID([16]byte{2}), journal.NewID([16]byte{3})
	mine := journal.BatchScope(id)
	helper := Asker{Role: Helper, Device: me, Batches: []journal.ID{id}}
	for _, c := range []struct {
		why    string
		former Asker
		fact   journal.Fact
		want   bool
	}{
		{"a bag it closed", helper, journal.Fact{Device: me, Scope: mine, Kind: journal.KindBagClosed}, true},
		{"what another wrote", helper, journal.Fact{Device: other, Scope: mine, Kind: journal.KindBagClosed}, false},
		{"another batch", helper, journal.Fact{Device: me, Scope: journal.BatchScope(other), Kind: journal.KindBagClosed}, false},
		{"a place, which helpers do not write", helper, journal.Fact{Device: me, Scope: journal.PlaceScope(id), Kind: journal.KindPlaceRead}, false},
		{"who helps", Asker{Role: Owner, Device: me}, journal.Fact{Device: me, Scope: mine, Kind: journal.KindShareOpened}, false},
		{"who belongs to the house", Asker{Role: Owner, Device: me}, journal.Fact{Device: me, Scope: journal.HouseScope, Kind: journal.KindDeviceRevoked}, false},
		{"numbers, which the hub leases", Asker{Role: Owner, Device: me}, journal.Fact{Device: me, Scope: mine, Kind: journal.KindNumbersLeased}, false},
		{"a sensor, whose token then writes for good", Asker{Role: Owner, Device: me}, journal.Fact{Device: me, Scope: journal.PlaceScope(id), Kind: journal.KindPlaceSensed}, false},
		{"an owner's reading", Asker{Role: Owner, Device: me}, journal.Fact{Device: me, Scope: journal.PlaceScope(id), Kind: journal.KindPlaceRead}, true},
		{"a phone that never was here", Asker{}, journal.Fact{Scope: mine, Kind: journal.KindBagClosed}, false},
	} {
		if got := CanQuarantine(c.former, c.fact); got != c.want {
			t.Errorf("%s: %v", c.why, got)
		}
	}
}

// A fact that needs a newer program makes this one show nothing of its subject: a helper
// may ask for no more than kinds need.
func TestHelperCannotRaiseNeed(t *testing.T) {
	id := journal.NewID([16]byte{1})
	for _, c := range []struct {
		role Role
		need int
		ok   bool
	}{
		{Helper, 1, true}, {Helper, journal.MaxNeededVersion, true}, {Helper, journal.MaxNeededVersion + 1, false}, {Helper, 1 << 15, false}, {Owner, journal.MaxNeededVersion + 1, true},
	} {
		f := journal.Fact{Scope: journal.BatchScope(id), Kind: "bag.sniffed", NeededVersion: c.need}
		if err := CheckWrite(Asker{Role: c.role, Batches: []journal.ID{id}}, f); (err == nil) != c.ok || err != nil && !fault.Is(err, fault.Refused) {
			t.Errorf("%s needs %d: %v", c.role, c.need, err)
		}
	}
}
