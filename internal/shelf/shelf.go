// Package shelf works out what is in the house: powders, soda ash, bottles, bags and scales,
// how much of each is there, and what a gram of it cost. Call Build for the state of the
// shelf, Count for the amounts once what the batches used is taken off, and Settle before a
// batch is removed for good. The answers do not depend on the order of the facts. It plans no
// batch: package plan says what one needs.
package shelf

import (
	"encoding/json"
	"slices"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// State is the shelf as its facts give it, before what the batches used is taken off.
type State struct {
	Version    int          `json:"version"`
	Items      []Item       `json:"items"` // in the order in which they came
	Sums       Sums         `json:"sums"`
	Kit        Kit          `json:"kit"`
	FactCount  int          `json:"facts"`
	LastFact   journal.ID   `json:"last"`
	ValidUntil zone.Instant `json:"until,omitempty"` // as in batch.State
}

// Sums holds the house's figures for costs and water; zero means not given.
type Sums struct {
	Currency    string  `json:"currency,omitempty"`
	Hourly      float64 `json:"hourly,omitempty"`
	Margin      float64 `json:"margin,omitempty"`
	Hardness    float64 `json:"hardness,omitempty"` // mg/L as calcium carbonate
	HasHardness bool    `json:"water,omitempty"`    // the hardness was given, even if it is 0
	// What the dyer's own results put in the place of usual figures; 0 is the usual one.
	PickUp journal.OwnFigure `json:"pick_up,omitzero"`
	Cure   journal.OwnFigure `json:"cure,omitzero"`
}

// Item is a thing on the shelf with what happened to it.
type Item struct {
	ID         journal.ID   `json:"id"`
	KnownSince zone.Instant `json:"known"`
	FactID     journal.ID   `json:"fact"` // of the fact that added it; withdrawing that fact removes the item
	journal.StockDescribed
	IsGone bool   `json:"gone,omitempty"`
	Moves  []Move `json:"moves"` // in order of time
}

// What moves an amount.
const (
	Bought  = "bought"
	Used    = "used"
	Thrown  = "thrown"
	Counted = "counted"
)

// Move is an amount that came, went, or was found there.
type Move struct {
	FactID    journal.ID   `json:"fact"`
	Kind      string       `json:"what"` // bought, used, thrown or counted
	Amount    float64      `json:"amount"`
	At        zone.Instant `json:"at"`
	Batch     journal.ID   `json:"batch,omitempty"` // that used it
	CauseID   journal.ID   `json:"of,omitempty"`    // the fact of that batch that used it, or the id of what was planned
	PlannedID journal.ID   `json:"meets,omitempty"` // the id of what was planned and is now done
	Price     float64      `json:"price,omitempty"` // of all of it
	Currency  string       `json:"currency,omitempty"`
	Note      string       `json:"note,omitempty"`
}

// moveOf names the move of each kind of fact.
var moveOf = map[string]string{journal.KindStockBought: Bought, journal.KindStockUsed: Used,
	journal.KindStockThrown: Thrown, journal.KindStockCounted: Counted}

// moveRank orders moves of one instant: what is counted then has been bought and used before.
var moveRank = map[string]int{Bought: 0, Used: 1, Thrown: 2, Counted: 3}

// Build works out the shelf from its facts, in any order. Only phones of the house write
// them, so that every withdrawal holds. It ignores facts of other scopes.
func Build(facts []journal.Fact) State {
	s := State{Version: batch.CacheVersion, Items: []Item{}}
	all := journal.SortedByStamp(facts)
	effective := journal.Effective(all, nil)
	clocks := batch.ReadClocks(effective)
	for _, f := range all {
		if f.Scope == journal.ShelfScope {
			s.LastFact = f.ID
			s.FactCount++
		}
	}
	props := map[journal.ID]map[string]json.RawMessage{}
	moves := map[journal.ID][]Move{}
	sums := map[string]json.RawMessage{}
	for _, f := range effective {
		if f.Scope != journal.ShelfScope || f.NeededVersion > batch.StateVersion || f.CheckBody() != nil {
			continue
		}
		at, _ := clocks.CorrectedTime(f)
		switch f.Kind {
		case journal.KindStockKnown:
			if props[f.Subject] == nil {
				props[f.Subject] = map[string]json.RawMessage{}
				s.Items = append(s.Items, Item{ID: f.Subject, KnownSince: at, FactID: f.ID})
			}
			batch.MergeProps(props[f.Subject], f)
		case journal.KindSumsSet:
			batch.MergeProps(sums, f)
		}
		if b, ok := journal.DecodeBody[journal.StockMoved](f); ok && moveOf[f.Kind] != "" {
			moves[f.Subject] = append(moves[f.Subject], Move{f.ID, moveOf[f.Kind], b.Amount, at, b.Batch, b.CauseID, b.PlannedID, b.Price, b.Currency, b.Note})
		}
	}
	for _, f := range effective { // a change may be stamped before the fact that it changes
		if f.Kind == journal.KindStockChanged && props[f.Subject] != nil && f.NeededVersion <= batch.StateVersion && f.CheckBody() == nil {
			batch.MergeProps(props[f.Subject], f)
		}
	}
	for i := range s.Items {
		it := &s.Items[i]
		it.StockDescribed = batch.DecodeProps[journal.StockDescribed](props[it.ID])
		it.IsGone = batch.DecodeProps[struct{ Gone bool }](props[it.ID]).Gone
		it.Moves = sortMoves(moves[it.ID])
	}
	s.Sums = batch.DecodeProps[Sums](sums)
	s.Sums.HasHardness = sums["hardness"] != nil
	s.Kit = s.findKit()
	return s
}

// sortMoves sorts moves by time, in an order that is the same on every phone.
func sortMoves(moves []Move) []Move {
	if moves == nil {
		return []Move{}
	}
	slices.SortStableFunc(moves, compareMoves)
	return moves
}

// Item returns the thing of that id.
func (s State) Item(id journal.ID) (Item, bool) {
	i := slices.IndexFunc(s.Items, func(it Item) bool { return it.ID == id })
	if i < 0 {
		return Item{}, false
	}
	return s.Items[i], true
}

// IsCounted says whether a sort of stock is counted in pieces, not weighed in grams.
func IsCounted(sort string) bool { return sort == "bottle" || sort == "bag" || sort == "scale" }
