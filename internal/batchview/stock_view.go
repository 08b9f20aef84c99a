package batchview

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/plan"
	"coldbatch/internal/price"
	"coldbatch/internal/provenance"
	"coldbatch/internal/shelf"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// ShelfView is what is in the house, and what must be bought.
type ShelfView struct {
	Groups        []StockGroup   `json:"groups"`
	ToBuy         []ShoppingLine `json:"buy"`   // what the open batches lack, and what runs low
	AmountUnknown []ShoppingLine `json:"check"` // what they need and nobody knows the amount of
	ShareText     string         `json:"list"`  // both as a text to share, "" where there is nothing
	Currency      string         `json:"currency"`
	Hourly        float64        `json:"hourly"`
	Margin        float64        `json:"margin"`
	Water         string         `json:"water"`    // "180 mg/L, hard", "" where it is not known
	Hardness      float64        `json:"hardness"` // mg/L
	SumsText      string         `json:"sumsText"` // the settings in one line
}

// StockGroup is a group of things that belong together.
type StockGroup struct {
	Key   string      `json:"key"`
	Title string      `json:"title"`
	Items []StockView `json:"items"`
}

// StockView shows one thing on the shelf.
type StockView struct {
	ID          journal.ID   `json:"id"`
	StockType   string       `json:"sort"`
	Name        string       `json:"name"`
	RGB         string       `json:"rgb,omitempty"`
	Amount      string       `json:"amount"` // "86.4 g", "" where nobody said
	Grams       float64      `json:"grams"`  // or pieces
	IsLow       bool         `json:"low"`
	DetailsText string       `json:"facts"` // class, lot, strength, when it was opened
	Price       string       `json:"price,omitempty"`
	Notes       []string     `json:"notes"`
	Class       string       `json:"class,omitempty"`
	Lot         string       `json:"lot,omitempty"`
	Strength    string       `json:"strength,omitempty"` // "40 g/L"
	GPerL       float64      `json:"gPerL,omitempty"`
	Holds       string       `json:"holds,omitempty"`
	Step        string       `json:"step,omitempty"` // of a scale
	MinStock    float64      `json:"keep,omitempty"`
	Opened      zone.Instant `json:"opened,omitempty"`
	MoveLines   []StockMove  `json:"moves"` // the newest first
}

// StockMove is one line of what happened to a thing.
type StockMove struct {
	FactID   journal.ID `json:"fact"`
	Text     string     `json:"text"` // "used 8.1 g"
	TimeText string     `json:"when"`
	BatchID  journal.ID `json:"batch,omitempty"` // that used it
}

// ShoppingLine is one thing to buy or to look for.
type ShoppingLine struct {
	Name string `json:"name"`
	Text string `json:"text"` // "6 g more: 14.4 g needed, 8.4 g there"
}

// Keeping says how long an opened jar is taken to be as good as new.
var Keeping = provenance.Value{Name: "how long an opened jar of powder keeps", Value: 365, Unit: "days", Low: 180, High: 730,
	Source: provenance.Source{Reliability: provenance.Practice, Text: "common practice, no source: closed, dry and dark, a year or two"}}

// stockGroups are the groups on the shelf, each with its sorts.
var stockGroups = []struct {
	key, title string
	sorts      []string
}{
	{"dye", "Powders", []string{"dye"}},
	{"alkali", "Soda ash and more", []string{"alkali", "softener", "urea", "thickener"}},
	{"tools", "Bottles, bags, scales", []string{"bottle", "bag", "scale"}},
	{"other", "Other things", []string{"other"}},
}

// ViewShelf shows the shelf with what batches used taken off it, and what the open batches, of
// which open are the states, still lack.
func ViewShelf(s shelf.State, uses []shelf.BatchUses, open []batch.State, e ViewEnv) ShelfView {
	levels := shelf.Count(s, uses)
	v := ShelfView{Groups: []StockGroup{}, ToBuy: []ShoppingLine{}, AmountUnknown: []ShoppingLine{}, Currency: s.Sums.Currency,
		Hourly: s.Sums.Hourly, Margin: s.Sums.Margin, Hardness: s.Sums.Hardness}
	for _, g := range stockGroups {
		group := StockGroup{Key: g.key, Title: g.title}
		for _, l := range levels {
			if slices.Contains(g.sorts, l.StockType) && !l.IsGone {
				group.Items = append(group.Items, e.viewStock(l))
			}
		}
		if len(group.Items) > 0 {
			slices.SortStableFunc(group.Items, func(a, b StockView) int { return cmp.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)) })
			v.Groups = append(v.Groups, group)
		}
	}
	v.setShopping(s, levels, open, e)
	v.setSums(s.Sums, e)
	return v
}

// ViewStock shows one thing on the shelf.
func ViewStock(s shelf.State, uses []shelf.BatchUses, id journal.ID, e ViewEnv) (StockView, error) {
	for _, l := range shelf.Count(s, uses) {
		if l.ID == id {
			return e.viewStock(l), nil
		}
	}
	return StockView{}, fault.New(fault.NotFound, "this is not on the shelf").WithHint("it may have been undone")
}

// amountText writes an amount of a sort of thing.
func (e ViewEnv) amountText(sort string, amount float64) string {
	if shelf.IsCounted(sort) {
		return unit.Show(unit.KindCount, math.Round(amount), e.Style)
	}
	return unit.Show(unit.KindMass, unit.Round(unit.KindMass, math.Round(amount*100)/100), e.Style)
}

func (e ViewEnv) viewStock(l shelf.Level) StockView {
	v := StockView{ID: l.ID, StockType: l.StockType, Name: l.Name, RGB: l.RGB, Grams: l.Amount, Class: l.Class, Lot: l.Lot, Notes: []string{}, MoveLines: []StockMove{}, Opened: l.Opened}
	if l.IsKnown {
		v.Amount = e.amountText(l.StockType, max(0, l.Amount))
	}
	var facts []string
	if l.Class != "" {
		facts = append(facts, dye.Class(l.Class).Info().Words)
	}
	if l.Strength != nil {
		v.GPerL, v.Strength = *l.Strength, e.formatStrength(*l.Strength)
		facts = append(facts, v.Strength)
	}
	if l.CapacityML != nil {
		v.Holds = e.formatVolume(*l.CapacityML)
		facts = append(facts, "of "+v.Holds)
	}
	if l.ScaleStep != nil {
		v.Step = e.formatMass(*l.ScaleStep)
		facts = append(facts, "shows "+v.Step)
	}
	if l.Lot != "" {
		facts = append(facts, "lot "+l.Lot)
	}
	if l.Opened != 0 {
		facts = append(facts, "opened "+agoWords(l.JarAge(e.Now)))
		if l.StockType == "dye" && l.JarAge(e.Now) > zone.Span(Keeping.Value)*zone.Day {
			v.Notes = append(v.Notes, "opened over a year ago: try it on a scrap first")
		}
	}
	v.DetailsText = strings.Join(facts, " · ")
	if l.MinStock != nil {
		v.MinStock = *l.MinStock
	}
	v.IsLow = l.IsKnown && l.MinStock != nil && l.Amount < *l.MinStock
	if l.IsKnown && l.Amount < 0 {
		v.Notes = append(v.Notes, "more was used than came in: weigh or count what is there")
	}
	if price, currency, ok := l.UnitPrice(); ok {
		v.Price = unitPriceText(l.StockType, price, currency)
	}
	for i := len(l.Moves) - 1; i >= 0; i-- {
		m := l.Moves[i]
		text := map[string]string{shelf.Bought: "bought ", shelf.Used: "used ", shelf.Thrown: "thrown away ", shelf.Counted: "counted "}[m.Kind] + e.amountText(l.StockType, m.Amount)
		if m.Price > 0 {
			text += " for " + priceText(m.Price, m.Currency)
		}
		if m.Note != "" {
			text += ", " + m.Note
		}
		v.MoveLines = append(v.MoveLines, StockMove{m.FactID, text, e.formatTime(m.At), m.Batch})
	}
	return v
}

// agoWords says roughly how long ago something was.
func agoWords(d zone.Span) string {
	days := int(d / zone.Day)
	switch {
	case days < 1:
		return "today"
	case days < 14:
		return countWords(days, "day", "days") + " ago"
	case days < 60:
		return countWords(days/7, "week", "weeks") + " ago"
	case days < 730:
		return countWords(days/30, "month", "months") + " ago"
	}
	return countWords(days/365, "year", "years") + " ago"
}

// priceText writes a sum of money.
func priceText(v float64, currency string) string {
	c := price.Currency(currency)
	a, _ := price.AmountOf(v)
	text, _ := a.Round(c.Decimals())
	return strings.TrimSpace(text + " " + currency)
}

// unitPriceText writes the price of one, or of 100 g.
func unitPriceText(sort string, price float64, currency string) string {
	if shelf.IsCounted(sort) {
		return priceText(price, currency) + " each"
	}
	return priceText(price*100, currency) + " for 100 g"
}

// setShopping lists what the open batches and the smallest amounts to keep ask for.
func (v *ShelfView) setShopping(s shelf.State, levels []shelf.Level, open []batch.State, e ViewEnv) {
	var all []plan.Need
	for _, b := range open {
		if !b.IsOpen() || b.NeedsNewerApp {
			continue
		}
		needs, _ := plan.Needs(b, s.Kit, levels, plannedSoda(b, e))
		all = append(all, needs...)
	}
	needed := map[journal.ID]float64{}
	byName := map[string]int{}
	var loose []plan.Need // of things that are not on the shelf
	for _, n := range all {
		if n.Stock != "" {
			needed[n.Stock] += n.Amount
			continue
		}
		if i, had := byName[n.StockType+n.Name]; had {
			loose[i].Amount += n.Amount
			continue
		}
		byName[n.StockType+n.Name] = len(loose)
		loose = append(loose, n)
	}
	listed := map[journal.ID]bool{}
	for _, n := range all {
		if n.Stock == "" || listed[n.Stock] {
			continue
		}
		listed[n.Stock] = true
		n.Amount = needed[n.Stock]
		if n.IsCounted && n.Lacking() <= 0 {
			listed[n.Stock] = false // it may still be below what is kept
			continue
		}
		v.addNeed(n, e)
	}
	for _, l := range levels {
		if !l.IsGone && l.MinStock != nil && l.IsKnown && l.Amount-needed[l.ID] < *l.MinStock && !listed[l.ID] {
			v.ToBuy = append(v.ToBuy, ShoppingLine{l.Name, "runs low: " + e.amountText(l.StockType, max(0, l.Amount)) + " there, you keep " + e.amountText(l.StockType, *l.MinStock)})
		}
	}
	for _, n := range loose {
		v.addNeed(n, e)
	}
	v.ShareText = v.shoppingText()
}

// addNeed adds what a batch needs to the list of what to buy or of what to look for.
func (v *ShelfView) addNeed(n plan.Need, e ViewEnv) {
	if !n.IsCounted {
		v.AmountUnknown = append(v.AmountUnknown, ShoppingLine{n.Name, e.amountText(n.StockType, n.Amount) + " needed"})
		return
	}
	v.ToBuy = append(v.ToBuy, ShoppingLine{n.Name, e.lackingText(n)})
}

// lackingText says how much is lacking: "6 g more: 14.4 g needed, 8.4 g there".
func (e ViewEnv) lackingText(n plan.Need) string {
	return e.amountText(n.StockType, n.Lacking()) + " more: " + e.amountText(n.StockType, n.Amount) + " needed, " + e.amountText(n.StockType, max(0, n.OnShelf)) + " there"
}

// shoppingText is the list as a message.
func (v *ShelfView) shoppingText() string {
	var b strings.Builder
	write := func(title string, lines []ShoppingLine) {
		if len(lines) == 0 {
			return
		}
		if b.Len() > 0 {
			b.WriteString("\n")
		}
		b.WriteString(title + "\n")
		for _, l := range lines {
			b.WriteString("– " + l.Name + ": " + l.Text + "\n")
		}
	}
	write("To buy for dyeing", v.ToBuy)
	write("Check if there is enough", v.AmountUnknown)
	return b.String()
}

func (v *ShelfView) setSums(s shelf.Sums, e ViewEnv) {
	var parts []string
	if s.Currency != "" {
		parts = append(parts, s.Currency)
	}
	if s.Hourly > 0 {
		parts = append(parts, "an hour at "+priceText(s.Hourly, s.Currency))
	}
	if s.Margin > 0 {
		parts = append(parts, formatPercent(s.Margin)+" margin")
	}
	if s.HasHardness {
		v.Water = unit.Show(unit.KindHardness, s.Hardness, e.Style) + ", " + waterWords(s.Hardness)
		parts = append(parts, "water "+v.Water)
	}
	v.SumsText = strings.Join(parts, " · ")
}
