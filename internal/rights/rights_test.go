package rights

import (
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

var everyAct = []Action{SeeApp, SeeBag, SeeBatch, AddToBatch, SeePlace, AddToPlace, TakeNumber, StartBatch, UseShelf, ManageHouse}

// The whole table, spelt out: a change of it must be a change here.
func TestTable(t *testing.T) {
	for role, row := range map[Role]string{
		Stranger: "x.........", Label: "xx........", Helper: "xxxxx.x...", Owner: "xxxxxxxxxx",
		"guest": "..........",
	} {
		for i, act := range everyAct {
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
	joined := func(s journal.Scope) bool { return s == mine || s == place }
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
		{"who holds a label reads the bag, not the journal", Label, mine, journal.KindBagClosed, false, false},
		{"a stranger", Stranger, mine, journal.KindBagClosed, false, false},
		{"the owner anywhere", Owner, other, journal.KindBagClosed, true, true},
		{"the owner in the house", Owner, journal.HouseScope, journal.KindDeviceNamed, true, true},
		{"numbers are the hub's to give", Owner, mine, journal.KindNumbersLeased, true, false},
		{"who helps too", Owner, mine, journal.KindShareJoined, true, false},
		{"a helper lets nobody in", Helper, mine, journal.KindShareOpened, true, false},
		{"nor out", Helper, mine, journal.KindShareClosed, true, false},
		{"letters too", Owner, journal.HouseScope, journal.KindDeviceJoined, true, false},
	} {
		f := journal.Fact{Scope: c.scope, Kind: c.kind}
		if got := CanSee(c.role, f, joined); got != c.see {
			t.Errorf("%s: sees %v", c.why, got)
		}
		err := CheckWrite(c.role, f, joined)
		if (err == nil) != c.write || err != nil && !fault.Is(err, fault.Refused) {
			t.Errorf("%s: writing gives %v", c.why, err)
		}
	}
}

// What a phone brings that another wrote: a hub put back from an old copy lost it.
func TestPassedOn(t *testing.T) {
	id := journal.NewID([16]byte{1})
	mine, other := journal.BatchScope(id), journal.BatchScope(journal.NewID([16]byte{2}))
	joined := func(s journal.Scope) bool { return s == mine }
	for _, c := range []struct {
		why   string
		role  Role
		scope journal.Scope
		kind  string
		pass  bool
	}{
		{"the owner brings back the numbers that the hub gave", Owner, mine, journal.KindNumbersLeased, true},
		{"and who helps", Owner, mine, journal.KindShareJoined, true},
		{"and the letters", Owner, journal.HouseScope, journal.KindDeviceJoined, true},
		{"and what anyone took back", Owner, mine, journal.KindFactWithdrawn, true},
		{"a helper brings what others wrote of its batch", Helper, mine, journal.KindBagClosed, true},
		{"with the numbers, so that none is printed twice", Helper, mine, journal.KindNumbersLeased, true},
		{"it lets nobody in by that way", Helper, mine, journal.KindShareJoined, false},
		{"nor opens", Helper, mine, journal.KindShareOpened, false},
		{"nor closes", Helper, mine, journal.KindShareClosed, false},
		{"nor says that another took something back", Helper, mine, journal.KindFactWithdrawn, false},
		{"or brought it back", Helper, mine, journal.KindFactRestored, false},
		{"another batch is none of its business", Helper, other, journal.KindBagClosed, false},
		{"nor the places", Helper, journal.PlaceScope(id), journal.KindPlaceRead, false},
		{"nor the house", Helper, journal.HouseScope, journal.KindDeviceRevoked, false},
		{"a stranger passes nothing on", Stranger, mine, journal.KindBagClosed, false},
	} {
		err := CheckRelay(c.role, journal.Fact{Scope: c.scope, Kind: c.kind}, joined)
		if (err == nil) != c.pass || err != nil && !fault.Is(err, fault.Refused) {
			t.Errorf("%s: %v", c.why, err)
		}
	}
	for _, kind := range []string{journal.KindFactWithdrawn, journal.KindFactRestored} { // its own: of whose entry is the hub's to know
		if err := CheckWrite(Helper, journal.Fact{Scope: mine, Kind: kind}, joined); err != nil {
			t.Error(err)
		}
	}
}
