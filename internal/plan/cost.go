package plan

import (
	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/price"
	"coldbatch/internal/shelf"
	"coldbatch/internal/unit"
)

// Cost is what a batch costs, from what it used and still needs and the prices on the shelf.
type Cost struct {
	Sums     price.PriceSums
	Items    []price.PricedItem
	Currency price.Currency
	Decimals int
	Unpriced []string // things that no price is known of
	Pieces   int
}

// CostOf adds up what the batch used and still needs: powders, soda ash, softener and bags by their
// last price, the pieces by theirs, and the work by the hour, where one is set. A price in
// another currency counts as none. ok is false where the batch has no pieces or nothing has a
// price.
func CostOf(s batch.State, st shelf.State, levels []shelf.Level, needs []Need) (Cost, bool, error) {
	c := Cost{}
	for _, l := range levels {
		if _, currency, ok := l.UnitPrice(); ok && c.Currency == "" {
			c.Currency = price.Currency(currency)
		}
	}
	if st.Sums.Currency != "" {
		c.Currency = price.Currency(st.Sums.Currency)
	}
	b := price.PricedBatch{Margin: unit.Share(st.Sums.Margin)}
	for _, l := range amountsOf(s, st, levels, needs) {
		per, currency, ok := l.UnitPrice()
		if !ok || currency != "" && price.Currency(currency) != c.Currency {
			c.Unpriced = append(c.Unpriced, l.Name)
			continue
		}
		c.add(l.Name, per*l.Amount)
	}
	for _, colour := range s.Colours {
		if colour.Stock == "" && IsMixed(s, colour.ID) {
			c.Unpriced = append(c.Unpriced, colour.Name)
		}
	}
	for _, n := range needs {
		if n.Stock == "" {
			c.Unpriced = append(c.Unpriced, n.Name)
		}
	}
	pieces := 0.0
	for _, p := range s.Pieces {
		c.Pieces += p.Count
		pieces += p.Price * float64(p.Count)
	}
	if pieces > 0 {
		c.add("pieces", pieces)
	}
	if work := WorkTime(s); st.Sums.Hourly > 0 && work > 0 {
		c.add("work", st.Sums.Hourly*float64(work)/3600)
	}
	if c.Pieces == 0 || len(c.Items) == 0 {
		return c, false, nil
	}
	b.Items, b.Pieces = c.Items, unit.Count(c.Pieces)
	sums, err := b.Sums()
	c.Sums, c.Decimals = sums, b.Decimals(c.Currency)
	return c, err == nil, err
}

func (c *Cost) add(name string, cost float64) {
	if a, ok := price.AmountOf(cost); ok {
		c.Items = append(c.Items, price.PricedItem{Name: name, Price: a})
	}
}

// amountsOf returns each thing of the shelf that the batch used or needs, with that amount.
func amountsOf(s batch.State, st shelf.State, levels []shelf.Level, needs []Need) (out []shelf.Level) {
	amount := map[journal.ID]float64{}
	for _, l := range shelf.Count(st, []shelf.BatchUses{{Batch: s.ID, Uses: s.Uses}}) {
		amount[l.ID] += l.UsedBy(s.ID)
	}
	for _, n := range needs {
		if n.Stock != "" {
			amount[n.Stock] += n.Amount
		}
	}
	for _, l := range levels {
		if l.Amount = amount[l.ID]; l.Amount > 0 {
			out = append(out, l)
		}
	}
	return out
}

// Format writes an amount of money with the currency.
func (c Cost) Format(a price.Amount) (string, error) {
	text, ok := a.Round(c.Decimals)
	if !ok {
		return "", fault.New(fault.Input, "these amounts have too many digits").WithHint("shorter numbers")
	}
	if c.Currency != "" {
		text += " " + string(c.Currency)
	}
	return text, nil
}
