// Package projection lists the states that a phone builds from facts and caches: one entry
// for each kind of scope that has a state. Call Build. A new state needs only an entry here
// and one in static/journal/projections.js.
package projection

import (
	"coldbatch/internal/batch"
	"coldbatch/internal/batchview"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/shelf"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// BuiltState is the state of one scope, and the keys by which the phone finds it.
type BuiltState struct {
	State  any                  `json:"state"`
	List   string               `json:"list"`            // in which list the phone keeps it
	Tokens []string             `json:"tokens"`          // of labels that lead to it, 16 hex digits each
	Uses   []batch.StockUse     `json:"uses,omitempty"`  // what a batch took off the shelf
	Line   *batchview.BatchLine `json:"line,omitempty"`  // shown in a list without loading the state
	Until  zone.Instant         `json:"until,omitempty"` // when the state must be built again: a fact stamped ahead of the clock applies from then on
}

// Projection builds the state of a kind of scope.
type Projection struct {
	Scope string // kind of scope: the word before the slash
	List  string // the list of a scope whose state was never built
	Build func(facts []journal.Fact, style unit.Style) BuiltState
}

// All lists the projections.
var All = []Projection{
	{"batch", openBatches, buildBatch},
	{"place", places, buildPlace},
	{"shelf", shelves, buildShelf},
	{"designs", designs, buildDesigns},
}

// The lists.
const (
	openBatches     = "batch-open"
	finishedBatches = "batch-closed"
	places          = "place"
	shelves         = "shelf"
	designs         = "designs"
)

// Build builds the state of a scope from its facts at now, by the hub's clock; style is for
// the text of its line. It returns a fault for a scope that has no state.
func Build(scope journal.Scope, facts []journal.Fact, style unit.Style, now zone.Instant) (BuiltState, error) {
	kind, _ := scope.Split()
	for _, p := range All {
		if p.Scope == kind {
			facts, until := journal.OrderAheadFirst(facts, now)
			b := p.Build(facts, style)
			b.Until = until
			return b, nil
		}
	}
	return BuiltState{}, fault.New(fault.Input, "scope %q has no state", string(scope)).WithHint("only a batch, a place, the shelf and the designs have one")
}

func buildBatch(facts []journal.Fact, style unit.Style) BuiltState {
	s := batch.Build(facts)
	b := BuiltState{State: s, List: openBatches, Tokens: []string{}, Uses: s.Uses}
	for _, bag := range s.Bags {
		b.Tokens = append(append(b.Tokens, bag.Token), bag.BoundBlanks...)
	}
	for _, x := range s.Blanks {
		b.Tokens = append(b.Tokens, x.Token)
	}
	if s.FinishedAt != 0 {
		b.List = finishedBatches
		b.Line = &batchview.ListBatches([]batch.State{s}, batchview.ViewEnv{Style: style})[0]
	}
	return b
}

func buildPlace(facts []journal.Fact, _ unit.Style) BuiltState {
	return BuiltState{State: batch.BuildPlace(facts), List: places, Tokens: []string{}}
}

func buildShelf(facts []journal.Fact, _ unit.Style) BuiltState {
	return BuiltState{State: shelf.Build(facts), List: shelves, Tokens: []string{}}
}

func buildDesigns(facts []journal.Fact, _ unit.Style) BuiltState {
	return BuiltState{State: batch.BuildDesigns(facts), List: designs, Tokens: []string{}}
}
