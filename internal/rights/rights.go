// Package rights is one pure table: who may see and do what. Call May. It knows
// no tokens and no network; the edge finds out who is asking.
package rights

import (
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// Role is who is asking.
type Role string

// The roles, from the least to the most.
const (
	Stranger Role = "stranger" // anyone on the network
	Label    Role = "label"    // holds a bag's label
	Helper   Role = "helper"   // joined one batch
	Owner    Role = "owner"    // keeps the house
)

// Asker is who asks, as the edge found out. The zero Asker may do nothing; a
// stranger is Asker{Role: Stranger}.
type Asker struct {
	Role    Role         `json:"role"`
	Device  journal.ID   `json:"device,omitempty"`  // the phone whose token it is; empty for the computer itself
	Batches []journal.ID `json:"batches,omitempty"` // that a helper joined
	Out     bool         `json:"out,omitempty"`     // the phone was let in once, and is no more: then it is a stranger
}

// Act is what is asked for.
type Act string

// The acts. Those on a batch or a place mean one that the asker joined.
const (
	SeeApp     Act = "see-app"     // the app's own files, and the sums
	SeeBag     Act = "see-bag"     // one bag as it stands, read only
	SeeBatch   Act = "see-batch"   // all facts of a batch
	AddToBatch Act = "add-batch"   // write facts of a batch
	SeePlace   Act = "see-place"   // temperatures where the batch's bags stand
	AddToPlace Act = "add-place"   // write a temperature
	TakeNumber Act = "take-number" // have bag numbers leased
	StartBatch Act = "start-batch" // begin a batch
	UseShelf   Act = "use-shelf"   // see and change the stock
	RunHouse   Act = "run-house"   // name, invite and revoke phones; end sharing
)

var may = map[Role]map[Act]bool{
	Stranger: acts(SeeApp),
	Label:    acts(SeeApp, SeeBag),
	Helper:   acts(SeeApp, SeeBag, SeeBatch, AddToBatch, SeePlace, TakeNumber),
	Owner: acts(SeeApp, SeeBag, SeeBatch, AddToBatch, SeePlace, AddToPlace, TakeNumber,
		StartBatch, UseShelf, RunHouse),
}

func acts(list ...Act) map[Act]bool {
	m := make(map[Act]bool, len(list))
	for _, a := range list {
		m[a] = true
	}
	return m
}

// May says whether role may act. An unknown role or act may not.
func May(role Role, act Act) bool { return may[role][act] }

// hubOnly are kinds of fact that the hub alone writes, ownerOnly those that a
// helper neither writes nor passes on though it may write there, and ownOnly those
// that a helper writes and does not pass on: who took something back cannot be
// told by whoever brings the news.
var (
	hubOnly   = kinds(journal.KindLeased, "device.joined", "share.joined")
	ownerOnly = kinds("share.opened", "share.joined", "share.closed")
	ownOnly   = kinds(journal.KindWithdrawn, journal.KindRestored)
)

func kinds(list ...string) map[string]bool {
	m := make(map[string]bool, len(list))
	for _, k := range list {
		m[k] = true
	}
	return m
}

// onScope names what seeing and writing a fact of each sort of scope is.
var onScope = map[string]struct{ see, write Act }{
	"batch": {SeeBatch, AddToBatch},
	"place": {SeePlace, AddToPlace},
	"shelf": {UseShelf, UseShelf},
	"house": {RunHouse, RunHouse},
}

// Write returns a fault when role, as a phone, may not write f. joined says
// whether the phone joined a batch or may use a place; for an owner it is not
// asked. Whose entries a helper may take back is for who knows them to say.
func Write(role Role, f journal.Fact, joined func(journal.Scope) bool) error {
	if hubOnly[f.Kind] {
		return fault.New(fault.Refused, "%s is written by the hub alone", f.Kind)
	}
	return write(role, f, joined)
}

// Pass returns a fault when role, as a phone, may not pass on f, which another
// wrote: a hub that was put back from an old copy gets from phones what it lost.
func Pass(role Role, f journal.Fact, joined func(journal.Scope) bool) error {
	if role != Owner && ownOnly[f.Kind] {
		return fault.New(fault.Refused, "what another took back, this phone cannot pass on").
			WithHint("the phone that took it back brings it itself")
	}
	return write(role, f, joined)
}

func write(role Role, f journal.Fact, joined func(journal.Scope) bool) error {
	sort, _ := f.Scope.Split()
	if !May(role, onScope[sort].write) || role != Owner && (!joined(f.Scope) || ownerOnly[f.Kind]) {
		return fault.New(fault.Refused, "this phone may not write %s there", f.Kind).
			WithHint("ask the owner to let it in")
	}
	return nil
}

// See says whether role, as a phone, may have f. joined is as for Write.
func See(role Role, f journal.Fact, joined func(journal.Scope) bool) bool {
	sort, _ := f.Scope.Split()
	return May(role, onScope[sort].see) && (role == Owner || joined(f.Scope))
}
