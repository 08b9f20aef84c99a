package price

import (
	"strings"
	"unicode"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// The most items that a list may have.
const maxItems = 100

var maxCost = NewAmount(1e9, 1)

// amountKinds are the kinds of quantity that something may be sold by.
var amountKinds = []unit.Kind{unit.KindMass, unit.KindVolume, unit.KindDuration, unit.KindCount}

// acceptedForms is the hint with the forms that Parse reads.
const acceptedForms = "such as rust 12 per 50 g used 14.4 g, 12 tees at 3.50, 4 h at 15, or parking 5"

// Parse parses a list separated by semicolons. Each item is one of
//
//	rust 12 per 50 g used 14.4 g   a price for an amount, and the amount used
//	14.4 g rust at 12 per 50 g     the same, the amount first
//	4 h 30 min at 15               a price for an hour
//	12 tees at 3.50                a price for one
//	parking 5                      a sum
//
// The name may be left out. A price has no currency. Both amounts are masses, volumes,
// lengths of time or numbers. Anything else is a *fault.Fault of code Input whose Typed is
// the item.
func Parse(list string) ([]PricedItem, error) {
	written := unit.SplitList(list)
	if len(written) > maxItems {
		return nil, fault.New(fault.Input, "%d items are too many", len(written)).WithHint("at most %d", maxItems)
	}
	var items []PricedItem
	for _, w := range written {
		i, err := parse(strings.Join(strings.Fields(w), " "))
		if err == nil {
			if cost, ok := i.Cost(); !ok {
				err = fault.New(fault.Input, "%q has too many digits for an exact sum", w).WithHint("shorter numbers")
			} else if !cost.Less(maxCost) {
				err = fault.New(fault.Input, "%q costs more than this calculator accepts", w)
			}
		}
		if err != nil {
			return nil, fault.AsFault(err).At("", w)
		}
		items = append(items, i)
	}
	return items, nil
}

// parse parses one item.
func parse(w string) (PricedItem, error) {
	before, used, isUsed := cutLast(w, " used ")
	before, per, isPer := cutLast(before, " per ")
	if amount, price, isAt := cutLast(before, " at "); isAt && !isUsed && isPrice(price) {
		return parseAt(w, amount, price, per, isPer)
	}
	if isUsed != isPer {
		return PricedItem{}, fault.New(fault.Input, "%q needs both what the price is for and what was used", w).WithHint(acceptedForms)
	}
	name, price, ok := cutLast(before, " ")
	if !ok {
		name, price = "", before
	}
	i := PricedItem{Name: strings.TrimSpace(name)}
	if _, last, _ := cutLast(" "+i.Name, " "); last != "" && isPrice(last) { // 1 1/2, or 1 200
		return i, fault.New(fault.Input, "%q has two numbers where the price should be", w).WithHint("a price is one number, such as 12.50")
	}
	if first, rest, _ := strings.Cut(i.Name, " "); isPrice(first) { // 12 tees 3.50
		return i, fault.New(fault.Input, "%q could be the price of one or of all", w).
			WithHint("%s %s at %s, or %s %s for all of it", first, rest, price, rest, price)
	}
	if err := i.setPrice(price); err != nil || !isPer {
		return i, err
	}
	return i, i.setAmounts(w, per, used)
}

// parseAt parses the form "14.4 g rust at 12 per 50 g". Without "per" the price is for an
// hour or for one piece.
func parseAt(w, amount, price, per string, isPer bool) (i PricedItem, err error) {
	used, name := splitAmount(amount)
	if used == "" {
		return i, fault.New(fault.Input, "%q does not say how much was used", w).WithHint(acceptedForms)
	}
	i.Name = name
	if err := i.setPrice(price); err != nil {
		return i, err
	}
	if !isPer {
		switch kind, _, _ := unit.ParseAny(amountKinds, used); kind {
		case unit.KindDuration:
			per = "1 h"
		case unit.KindCount:
			per = "1"
		default:
			return i, fault.New(fault.Input, "%q does not say what the price is for", w).WithHint("such as 14.4 g at 12 per 50 g")
		}
	}
	return i, i.setAmounts(w, per, used)
}

// splitAmount separates an amount from the name before or after it: "4 h 30 min",
// "12 tees", "rust 14.4 g". The amount is empty where there is none.
func splitAmount(s string) (amount, name string) {
	is := func(s string) bool {
		_, _, err := unit.ParseAny(amountKinds, s)
		return err == nil
	}
	if is(s) {
		return s, ""
	}
	words := strings.Split(s, " ")
	for n := len(words) - 1; n > 0; n-- {
		if first := strings.Join(words[:n], " "); is(first) {
			return first, strings.Join(words[n:], " ")
		}
	}
	for n := 1; n < len(words); n++ {
		if last := strings.Join(words[n:], " "); is(last) {
			return last, strings.Join(words[:n], " ")
		}
	}
	return "", s
}

// isPrice reports whether s is a price.
func isPrice(s string) bool {
	_, err := unit.Parse(unit.KindNumber, s)
	return err == nil
}

// setPrice parses s into the item's price.
func (i *PricedItem) setPrice(s string) error {
	v, err := unit.Parse(unit.KindNumber, s)
	if err != nil {
		return err
	}
	if _, after, ok := strings.Cut(strings.Replace(s, ",", ".", 1), "."); ok {
		i.Decimals = min(len(after), 4)
	}
	return i.setAmount(&i.Price, s, v)
}

// setAmounts parses the amount that the price is for and the amount used.
func (i *PricedItem) setAmounts(w, per, used string) error {
	if unicode.IsLetter([]rune(per + " ")[0]) { // "per kg"
		per = "1 " + per
	}
	kind, v, err := unit.ParseAny(amountKinds, per)
	if err != nil {
		return err
	}
	if v <= 0 {
		return fault.New(fault.Input, "%q is a price for an amount of nothing", w)
	}
	i.Kind = kind
	if err := i.setAmount(&i.PackAmount, per, v); err != nil {
		return err
	}
	if i.PackAmount.IsZero() {
		return fault.New(fault.Input, "%q is a price for too small an amount", w)
	}
	if v, err = unit.Parse(kind, used); err != nil {
		return err
	}
	return i.setAmount(&i.UsedAmount, used, v)
}

// setAmount stores v, typed as typed, in to.
func (i *PricedItem) setAmount(to *Amount, typed string, v float64) error {
	a, ok := AmountOf(v)
	if !ok {
		return fault.New(fault.Input, "%q is not an amount that can be counted", typed).WithHint(acceptedForms)
	}
	*to = a
	return nil
}

// cutLast cuts s at the last sep, and trims both parts.
func cutLast(s, sep string) (before, after string, found bool) {
	n := strings.LastIndex(s, sep)
	if n < 0 {
		return s, "", false
	}
	return strings.TrimSpace(s[:n]), strings.TrimSpace(s[n+len(sep):]), true
}
