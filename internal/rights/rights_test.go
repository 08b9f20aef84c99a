package rights

import (
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

var everyAct = []Act{SeeApp, SeeBag, SeeBatch, AddToBatch, SeePlace, AddToPlace, TakeNumber, StartBatch, UseShelf, RunHouse}

// The whole table, spelt out: a change of it must be a change here.
func TestTable(t *testing.T) {
	for role, row := range map[Role]string{
		Stranger: "x.........", Label: "xx........", Helper: "xxxxx.x...", Owner: "xxxxxxxxxx",
		"guest": "..........",
	} {
		for i, act := range everyAct {
			if got, want := May(role, act), row[i] == 'x'; got != want {
				t.Errorf("%s, %s: %v, want %v", role, act, got, want)
			}
		}
		if May(role, "fly") {
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
		{"a helper in the batch it joined", Helper, mine, "bag.closed", true, true},
		{"a helper reads where its bags stand", Helper, place, "place.read", true, false},
		{"a helper in another batch", Helper, other, "bag.closed", false, false},
		{"a helper and the stock", Helper, journal.Shelf, "stock.used", false, false},
		{"a helper and the house", Helper, journal.House, "device.revoked", false, false},
		{"who holds a label reads the bag, not the journal", Label, mine, "bag.closed", false, false},
		{"a stranger", Stranger, mine, "bag.closed", false, false},
		{"the owner anywhere", Owner, other, "bag.closed", true, true},
		{"the owner in the house", Owner, journal.House, "device.named", true, true},
		{"numbers are the hub's to give", Owner, mine, journal.KindLeased, true, false},
		{"who helps too", Owner, mine, "share.joined", true, false},
		{"a helper lets nobody in", Helper, mine, "share.opened", true, false},
		{"nor out", Helper, mine, "share.closed", true, false},
		{"letters too", Owner, journal.House, "device.joined", true, false},
	} {
		f := journal.Fact{Scope: c.scope, Kind: c.kind}
		if got := See(c.role, f, joined); got != c.see {
			t.Errorf("%s: sees %v", c.why, got)
		}
		err := Write(c.role, f, joined)
		if (err == nil) != c.write || err != nil && !fault.Is(err, fault.Refused) {
			t.Errorf("%s: writing gives %v", c.why, err)
		}
	}
}
