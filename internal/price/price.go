// Package price adds up what a batch costs, in whatever currency the prices are in, and
// rounds only the result. Start with Parse for a list of what was used and with PricedBatch for
// the sum. The package has no list of prices or stock.
package price

import (
	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// PricedItem is something that was used at a price, or a fixed sum.
type PricedItem struct {
	Name       string // may be empty
	Price      Amount
	Decimals   int       // decimals of the price as typed
	Kind       unit.Kind // of PackAmount and UsedAmount; empty for a sum
	PackAmount Amount    // the amount that the price is for, in the base unit of Kind; above 0
	UsedAmount Amount
}

// Cost returns the cost of the item, and false where its numbers have too many digits for
// an exact sum.
func (i PricedItem) Cost() (Amount, bool) {
	if i.Kind == "" {
		return i.Price, true
	}
	share, ok := i.UsedAmount.Div(i.PackAmount)
	if !ok {
		return Amount{}, false
	}
	return i.Price.Mul(share)
}

// PricedBatch is what a batch used.
type PricedBatch struct {
	Items  []PricedItem
	Pieces unit.Count // 1 and more
	Margin unit.Share // of the price, below 1
}

// PriceSums are the cost of a batch and the price to ask for it.
type PriceSums struct {
	Cost, CostEach   Amount
	Price, PriceEach Amount // cost ÷ (1 − margin), so that the margin is a share of the price
}

// Sums adds up the batch. The error is an Input fault: too many digits.
func (b PricedBatch) Sums() (s PriceSums, err error) {
	tooMany := fault.New(fault.Input, "these amounts have too many digits to be exact").WithHint("shorter numbers, or fewer things at once")
	for _, i := range b.Items {
		cost, ok := i.Cost()
		if ok {
			s.Cost, ok = s.Cost.Add(cost)
		}
		if !ok {
			return PriceSums{}, tooMany
		}
	}
	margin, ok := AmountOf(float64(b.Margin))
	if !ok {
		return PriceSums{}, tooMany
	}
	kept, pieces := NewAmount(margin.denominator()-margin.num, margin.denominator()), NewAmount(uint64(b.Pieces), 1)
	if s.divide(kept, pieces) {
		return s, nil
	}
	if s.Cost, ok = s.Cost.roundFinely(); !ok || !s.divide(kept, pieces) {
		return PriceSums{}, tooMany
	}
	return s, nil
}

// divide sets the other sums by Cost, of which the share kept of the price is what it
// costs. It returns false where one of them does not fit.
func (s *PriceSums) divide(kept, pieces Amount) (ok bool) {
	if s.Price, ok = s.Cost.Div(kept); !ok {
		return false
	}
	if s.CostEach, ok = s.Cost.Div(pieces); !ok {
		return false
	}
	s.PriceEach, ok = s.Price.Div(pieces)
	return ok
}

// Decimals returns the number of decimals of the sums: that of the currency or, without
// one, the most decimals typed in a price, and at least two.
func (b PricedBatch) Decimals(c Currency) int {
	if c != "" {
		return c.Decimals()
	}
	most := 2
	for _, i := range b.Items {
		most = max(most, i.Decimals)
	}
	return most
}

// SellingCaution is the caution for people who sell their work.
var SellingCaution = provenance.Caution{Code: "selling",
	Text:   "if you sell, follow your local rules for fibre and care labels, above all for children's wear; say that it must be washed separately at first",
	Source: "common practice"}
