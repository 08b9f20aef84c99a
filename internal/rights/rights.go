// Package rights is one pure table: who may see and do what. Call IsAllowed. It knows
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
	Revoked bool         `json:"out,omitempty"`     // the phone was let in once, and is no more: then it is a stranger
}

// Action is what is asked for.
type Action string

// The acts. Those on a batch or a place mean one that the asker joined.
const (
	SeeApp      Action = "see-app"     // the app's own files, and the sums
	SeeBag      Action = "see-bag"     // one bag as it stands, read only
	SeeBatch    Action = "see-batch"   // all facts of a batch
	AddToBatch  Action = "add-batch"   // write facts of a batch
	SeePlace    Action = "see-place"   // temperatures where the batch's bags stand
	AddToPlace  Action = "add-place"   // write a temperature
	TakeNumber  Action = "take-number" // have bag numbers leased
	StartBatch  Action = "start-batch" // begin a batch
	UseShelf    Action = "use-shelf"   // see and change the stock
	ManageHouse Action = "run-house"   // name, invite and revoke phones; end sharing
)

var allowed = map[Role]map[Action]bool{
	Stranger: actionSet(SeeApp),
	Label:    actionSet(SeeApp, SeeBag),
	Helper:   actionSet(SeeApp, SeeBag, SeeBatch, AddToBatch, SeePlace, TakeNumber),
	Owner: actionSet(SeeApp, SeeBag, SeeBatch, AddToBatch, SeePlace, AddToPlace, TakeNumber,
		StartBatch, UseShelf, ManageHouse),
}

func actionSet(list ...Action) map[Action]bool {
	m := make(map[Action]bool, len(list))
	for _, a := range list {
		m[a] = true
	}
	return m
}

// IsAllowed says whether role may act. An unknown role or act may not.
func IsAllowed(role Role, act Action) bool { return allowed[role][act] }

// hubOnly are kinds of fact that the hub alone writes, ownerOnly those that a
// helper neither writes nor passes on though it may write there, and ownOnly those
// that a helper writes and does not pass on: who took something back cannot be
// told by whoever brings the news.
var (
	hubOnly   = kindSet(journal.KindNumbersLeased, journal.KindDeviceJoined, journal.KindShareJoined)
	ownerOnly = kindSet(journal.KindShareOpened, journal.KindShareJoined, journal.KindShareClosed)
	ownOnly   = kindSet(journal.KindFactWithdrawn, journal.KindFactRestored)
)

func kindSet(list ...string) map[string]bool {
	m := make(map[string]bool, len(list))
	for _, k := range list {
		m[k] = true
	}
	return m
}

// scopeActions names what seeing and writing a fact of each sort of scope is.
var scopeActions = map[string]struct{ see, write Action }{
	"batch": {SeeBatch, AddToBatch},
	"place": {SeePlace, AddToPlace},
	"shelf": {UseShelf, UseShelf},
	"house": {ManageHouse, ManageHouse},
}

// CheckWrite returns a fault when role, as a phone, may not write f. joined says
// whether the phone joined a batch or may use a place; for an owner it is not
// asked. Whose entries a helper may take back is for who knows them to say.
func CheckWrite(role Role, f journal.Fact, joined func(journal.Scope) bool) error {
	if hubOnly[f.Kind] {
		return fault.New(fault.Refused, "%s is written by the hub alone", f.Kind)
	}
	return checkScope(role, f, joined)
}

// CheckRelay returns a fault when role, as a phone, may not pass on f, which another
// wrote: a hub that was put back from an old copy gets from phones what it lost.
func CheckRelay(role Role, f journal.Fact, joined func(journal.Scope) bool) error {
	if role != Owner && ownOnly[f.Kind] {
		return fault.New(fault.Refused, "what another took back, this phone cannot pass on").
			WithHint("the phone that took it back brings it itself")
	}
	return checkScope(role, f, joined)
}

func checkScope(role Role, f journal.Fact, joined func(journal.Scope) bool) error {
	sort, _ := f.Scope.Split()
	if !IsAllowed(role, scopeActions[sort].write) || role != Owner && (!joined(f.Scope) || ownerOnly[f.Kind]) {
		return fault.New(fault.Refused, "this phone may not write %s there", f.Kind).
			WithHint("ask the owner to let it in")
	}
	return nil
}

// CanSee says whether role, as a phone, may have f. joined is as for Write.
func CanSee(role Role, f journal.Fact, joined func(journal.Scope) bool) bool {
	sort, _ := f.Scope.Split()
	return IsAllowed(role, scopeActions[sort].see) && (role == Owner || joined(f.Scope))
}
