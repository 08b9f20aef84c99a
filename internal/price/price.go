// Package price adds up what a batch costs, in whatever currency the prices are
// in, without rounding on the way. Start with Parse for a list of what was used and
// with Batch for the sum. It keeps no stock and knows no prices.
package price

import (
	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// Item is a thing that was used, or a sum. The zero Amount costs nothing.
type Item struct {
	Name     string // may be empty
	Price    Amount
	Decimals int       // that the price was typed with
	Kind     unit.Kind // of Per and Used; empty for a sum
	Per      Amount    // what the price is for, in the base unit of Kind; more than nothing
	Used     Amount
}

// Cost gives the cost of the item. It returns false where its numbers have too many
// digits for an exact sum.
func (i Item) Cost() (Amount, bool) {
	if i.Kind == "" {
		return i.Price, true
	}
	share, ok := i.Used.Over(i.Per)
	if !ok {
		return Amount{}, false
	}
	return i.Price.Times(share)
}

// Batch is what a batch took.
type Batch struct {
	Items  []Item
	Pieces unit.Count // 1 and more
	Margin unit.Share // of the price, below 1
}

// Sums is what a batch costs and what to ask for it.
type Sums struct {
	Cost, CostEach   Amount
	Price, PriceEach Amount // so that the margin is left of it: cost over one less the margin
}

// Sums adds the batch up. The error says that the sums have too many digits.
func (b Batch) Sums() (s Sums, err error) {
	tooMany := fault.New(fault.Input, "these sums have too many digits to be exact").WithHint("shorter numbers, or fewer things at once")
	for _, i := range b.Items {
		cost, ok := i.Cost()
		if ok {
			s.Cost, ok = s.Cost.Plus(cost)
		}
		if !ok {
			return Sums{}, tooMany
		}
	}
	margin, one := amountOf(float64(b.Margin))
	var two, three, four bool
	s.Price, two = s.Cost.Over(NewAmount(margin.denominator()-margin.num, margin.denominator()))
	pieces := NewAmount(uint64(b.Pieces), 1)
	s.CostEach, three = s.Cost.Over(pieces)
	s.PriceEach, four = s.Price.Over(pieces)
	if !one || !two || !three || !four {
		return Sums{}, tooMany
	}
	return s, nil
}

// Decimals gives the decimals that the sums are written with: those of the currency,
// or without one as many as any price was typed with, and at least two.
func (b Batch) Decimals(c Currency) int {
	if c != "" {
		return c.Decimals()
	}
	most := 2
	for _, i := range b.Items {
		most = max(most, i.Decimals)
	}
	return most
}

// Selling is the caution of whoever sells.
var Selling = fault.Caution{Code: "selling",
	Text:   "if you sell, follow your local rules for fibre and care labels, above all for children's wear; say that it must be washed apart at first",
	Source: "common practice"}
