package calc

import (
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/price"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// costInputs are the keys of the inputs that list costs, materials first.
var costInputs = []string{"powders", "soda", "other", "labour"}

var _ = register(Entry{
	Name: "cost", Order: 90,
	Title:   "Cost and price",
	Purpose: "What a batch and a piece cost, and what to ask for them, in whatever currency the prices are in.",
	Formula: "Each thing costs its price × amount used ÷ amount the price is for. The price with the margin is cost ÷ (1 − margin), so the margin is the share of the price that you keep. Only the answer is rounded.",
	Inputs: []Input{
		{Key: "powders", ShowInForm: true, Label: "Dye powders", Help: "name, price per amount, amount used; with semicolons between", Type: TypeText, Example: "rust 12 per 50 g used 14.4 g; blue-green 15 per 50 g used 9 g"},
		{Key: "soda", Label: "Soda ash", Type: TypeText, Example: "4 per 2 kg used 500 g"},
		{Key: "other", Label: "Other things", Help: "the same, or a number at a price, or a name and a sum", Type: TypeText, Example: "12 tees at 3.50; bags 3 per 50 used 12; parking 5"},
		{Key: "labour", ShowInForm: true, Label: "Labour", Help: "hours and the price per hour, or a total", Type: TypeText, Example: "4 h 30 min at 15"},
		{Key: "pieces", Label: "Pieces", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindCount}, Required: true, Example: "12", Min: 1, Max: 1e5},
		{Key: "margin", Label: "Margin", Help: "the share of the price that you keep", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindShare},
			Default: "0 %", Max: 0.95, Presets: []string{"0 %", "30 %", "50 %"}, Source: provenance.StartValueSource},
		{Key: "currency", Label: "Currency", Help: "its code, for the number of decimals; without it as many as you type, at least two", Type: TypeText, Example: "EUR", Presets: []string{"EUR", "JPY", "KWD"}},
	},
	Outputs: []Output{
		{Key: "per_piece", Label: "Cost of a piece", Kind: unit.KindNumber, Source: additionSource},
		{Key: "per_batch", Label: "Cost of the batch", Kind: unit.KindNumber, Source: additionSource},
		{Key: "price_piece", Label: "Price of a piece", Help: "with the margin", Kind: unit.KindNumber, Source: additionSource},
		{Key: "price_batch", Label: "Price of the batch", Help: "with the margin", Kind: unit.KindNumber, Source: additionSource},
	},
	Cautions:      []provenance.Caution{price.SellingCaution},
	Sources:       []provenance.Source{price.ISO4217Source},
	ExampleInputs: "labour='4 h 30 min at 15' margin='30 %'",
	Calculate:     calculateCost,
})

// additionSource is the source of outputs that are added up.
var additionSource = provenance.Source{Reliability: provenance.Practice, Text: "common practice of bookkeeping: sums of what is typed; the margin is a share of the price"}

func calculateCost(g *InputValues) (*Answer, error) {
	b := price.PricedBatch{Pieces: Get[unit.Count](g, "pieces"), Margin: Get[unit.Share](g, "margin")}
	var currency price.Currency
	if g.Has("currency") {
		var err error
		if currency, err = price.ParseCurrency(g.Text("currency")); err != nil {
			return nil, fault.AsFault(err).At("currency", g.Text("currency"))
		}
	}
	for _, key := range costInputs {
		items, err := price.Parse(g.Text(key))
		if err != nil {
			return nil, fault.AsFault(err).At(key, fault.AsFault(err).Typed)
		}
		for n := range items {
			if items[n].Name == "" {
				items[n].Name = key
			}
		}
		b.Items = append(b.Items, items...)
	}
	if len(b.Items) == 0 {
		return nil, g.Missing("powders", "no costs are given: powders, soda, other or labour")
	}
	sums, err := b.Sums()
	if err != nil {
		return nil, fault.AsFault(err).At("powders", g.Text("powders"))
	}
	a, decimals := &Answer{}, b.Decimals(currency)
	for _, out := range []struct {
		key    string
		amount price.Amount
	}{{"per_piece", sums.CostEach}, {"per_batch", sums.Cost}, {"price_piece", sums.PriceEach}, {"price_batch", sums.Price}} {
		written, ok := out.amount.Round(decimals)
		if !ok {
			return nil, g.Refuse("powders", "these amounts have too many digits").WithHint("shorter numbers")
		}
		if err := a.PutFormattedNumber(out.key, written, g.Style); err != nil {
			return nil, err
		}
	}
	var parts []string
	for _, i := range b.Items {
		cost, _ := i.Cost()
		if written, ok := cost.Round(decimals); ok {
			parts = append(parts, i.Name+" "+localizeDecimal(written, g.Style))
		}
	}
	a.AddNote("%s", strings.Join(parts, ", "))
	return a, nil
}
