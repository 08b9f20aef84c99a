// Package rights is the one table of who may see and do what. The edges find out who is
// asking, as an Asker, and then ask here: IsAllowed for an action, CheckWrite and
// CheckRelay for a fact that a phone sends, ComputeVisibleScopes for what it may read,
// CanQuarantine for what a former phone sends. The package knows no tokens and no
// network.
package rights

import (
	"slices"

	"coldbatch/internal/journal"
)

// Role is what an asker is to the house.
type Role string

// The roles, from the least rights to the most.
const (
	Stranger       Role = "stranger" // anyone on the network
	LabelHolder    Role = "label"    // holds a bag's label
	CalendarHolder Role = "calendar" // holds the address of a calendar, with its token
	Helper         Role = "helper"   // joined some batches
	Owner          Role = "owner"    // keeps the house
)

// Asker is who asks, as the edge found out. The zero Asker may do nothing; a stranger
// is Asker{Role: Stranger}.
type Asker struct {
	Role    Role         `json:"role"`
	Device  journal.ID   `json:"device,omitempty"`  // the phone; empty for the computer itself
	Batches []journal.ID `json:"batches,omitempty"` // that a helper joined
	Revoked bool         `json:"out,omitempty"`     // the phone was removed: it is a stranger now
}

// Action is what is asked for.
type Action string

// The actions. Those on a batch or a place mean one that the asker joined.
const (
	SeeApp      Action = "see-app"      // read the app's own files, and use the calculators
	SeeBag      Action = "see-bag"      // read one bag as it is now
	SeeCalendar Action = "see-calendar" // read when bags are ready, and nothing else of them
	SeeBatch    Action = "see-batch"    // read all facts of a batch
	AddToBatch  Action = "add-batch"    // write facts of a batch
	SeePlace    Action = "see-place"    // read temperatures where the batch's bags stand
	AddToPlace  Action = "add-place"    // write a temperature
	TakeNumbers Action = "take-number"  // lease bag numbers of a batch
	UseShelf    Action = "use-shelf"    // read and write the stock
	ManageHouse Action = "run-house"    // name, invite and remove phones; end sharing
)

// allowedActions says which actions each role may do. TestTable spells it out again.
var allowedActions = map[Role][]Action{
	Stranger:       {SeeApp},
	LabelHolder:    {SeeApp, SeeBag},
	CalendarHolder: {SeeApp, SeeCalendar},
	Helper:         {SeeApp, SeeBag, SeeBatch, AddToBatch, SeePlace, TakeNumbers},
	Owner:          {SeeApp, SeeBag, SeeCalendar, SeeBatch, AddToBatch, SeePlace, AddToPlace, TakeNumbers, UseShelf, ManageHouse},
}

// IsAllowed says whether role allows the action. An unknown role or action does not.
func IsAllowed(role Role, action Action) bool { return slices.Contains(allowedActions[role], action) }

// HasBatch says whether the asker belongs to a batch: an owner to every one, a helper to
// those it joined.
func (a Asker) HasBatch(id journal.ID) bool {
	return id != "" && (a.Role == Owner || a.Role == Helper && slices.Contains(a.Batches, id))
}

// CanLease says whether the hub may lease the asker bag numbers of a batch.
func (a Asker) CanLease(batch journal.ID) bool {
	return IsAllowed(a.Role, TakeNumbers) && a.HasBatch(batch)
}

// ScopeSet is what an asker may read.
type ScopeSet struct {
	Everything bool
	Scopes     map[journal.Scope]bool // where not everything
}

// HasScope says whether facts of a scope are visible.
func (v ScopeSet) HasScope(scope journal.Scope) bool { return v.Everything || v.Scopes[scope] }

// ComputeVisibleScopes returns what the asker may read now: an owner everything, a helper its
// batches and the places where their bags stand or stood, which placesOf names.
func (a Asker) ComputeVisibleScopes(placesOf func(batch journal.ID) ([]journal.ID, error)) (ScopeSet, error) {
	if a.Role == Owner {
		return ScopeSet{Everything: true}, nil
	}
	v := ScopeSet{Scopes: map[journal.Scope]bool{}}
	if !IsAllowed(a.Role, SeeBatch) {
		return v, nil
	}
	for _, id := range a.Batches {
		v.Scopes[journal.BatchScope(id)] = true
		if !IsAllowed(a.Role, SeePlace) {
			continue
		}
		places, err := placesOf(id)
		if err != nil {
			return v, err
		}
		for _, place := range places {
			v.Scopes[journal.PlaceScope(place)] = true
		}
	}
	return v, nil
}
