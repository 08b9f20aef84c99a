// Package price adds up what a batch costs, in whatever currency the prices are
// in. Start with Parse for a list of what was used and with Batch for the sum.
// It keeps no stock and knows no prices.
package price

import (
	"strings"
	"unicode"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// Item is a thing that was used, or a sum.
type Item struct {
	Name  string // may be empty
	Price unit.Number
	Kind  unit.Kind // of Per and Used; empty for a sum
	Per   float64   // what the price is for, in the base unit of Kind; above 0
	Used  float64
}

// The most that is read.
const (
	mostItems = 100
	mostCost  = 1e9
)

// amounts are the kinds that a thing may be sold by.
var amounts = []unit.Kind{unit.KindMass, unit.KindVolume, unit.KindDuration, unit.KindCount}

// Parse reads a list with semicolons: "rust 12 per 50 g used 14.4 g; bags 3 per
// 50 used 12; parking 5". Each item is a name that may be left out, a price
// without a currency and, but for a sum, what that price is for and what was
// used: two masses, volumes, lengths of time or numbers. Anything else is refused
// with a *fault.Fault of code Input whose Typed is the item.
func Parse(list string) ([]Item, error) {
	written := unit.SplitList(list)
	if len(written) > mostItems {
		return nil, fault.New(fault.Input, "%d items are too many", len(written)).WithHint("at most %d", mostItems)
	}
	var items []Item
	for _, w := range written {
		i, err := parse(strings.Join(strings.Fields(w), " "))
		if err == nil && i.Cost() >= mostCost {
			err = fault.New(fault.Input, "%q costs more than anyone pays", w)
		}
		if err != nil {
			return nil, fault.Of(err).At("", w)
		}
		items = append(items, i)
	}
	return items, nil
}

// parse reads one item.
func parse(w string) (i Item, err error) {
	rest, used, isUsed := cutLast(w, " used ")
	rest, per, isPer := cutLast(rest, " per ")
	if isUsed != isPer {
		return i, fault.New(fault.Input, "%q says not both what the price is for and what was used", w).
			WithHint("such as rust 12 per 50 g used 14.4 g")
	}
	name, price, ok := cutLast(rest, " ")
	if !ok {
		name, price = "", rest
	}
	i.Name = strings.TrimSpace(name)
	if _, last, _ := cutLast(" "+i.Name, " "); last != "" {
		if _, err := unit.Parse(unit.KindNumber, last); err == nil { // 1 1/2, or 1 200
			return i, fault.New(fault.Input, "%q has two numbers where the price stands", w).WithHint("a price is one, such as 12.50")
		}
	}
	if i.Price, err = unit.Read[unit.Number](unit.KindNumber, price); err != nil || !isPer {
		return i, err
	}
	if unicode.IsLetter([]rune(per + " ")[0]) { // "per kg"
		per = "1 " + per
	}
	if i.Kind, i.Per, err = unit.ParseAny(amounts, per); err != nil {
		return i, err
	}
	if i.Per <= 0 {
		return i, fault.New(fault.Input, "%q is a price for nothing", w)
	}
	i.Used, err = unit.Parse(i.Kind, used)
	return i, err
}

// cutLast cuts s round the last sep, and trims both parts.
func cutLast(s, sep string) (before, after string, found bool) {
	n := strings.LastIndex(s, sep)
	if n < 0 {
		return s, "", false
	}
	return strings.TrimSpace(s[:n]), strings.TrimSpace(s[n+len(sep):]), true
}

// Cost is what the item costs.
func (i Item) Cost() unit.Number {
	if i.Kind == "" {
		return i.Price
	}
	return i.Price * unit.Number(i.Used/i.Per)
}

// Batch is what a batch took.
type Batch struct {
	Items  []Item
	Pieces unit.Count // 1 and more
	Margin unit.Share // of the price, below 1
}

// Cost is what the batch costs.
func (b Batch) Cost() (sum unit.Number) {
	for _, i := range b.Items {
		sum += i.Cost()
	}
	return sum
}

// Price is what it is sold for so that the margin is left of that: cost over one
// less the margin.
func (b Batch) Price() unit.Number { return b.Cost() / unit.Number(1-b.Margin) }

// Each is a piece's part of n.
func (b Batch) Each(n unit.Number) unit.Number { return n / unit.Number(b.Pieces) }

// Selling is the caution of whoever sells.
var Selling = fault.Caution{Code: "selling",
	Text:   "what is sold follows local rules, for fibre and care labels and above all for children's wear; say that it is washed apart at first",
	Source: "common practice"}
