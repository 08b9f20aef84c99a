package calc

import (
	"fmt"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/price"
	"coldbatch/internal/unit"
)

// spent are the inputs of cost that are lists, materials first.
var spent = []string{"powders", "soda", "other", "labour"}

var _ = register(Entry{
	Name: "cost", Order: 90,
	Title:   "Cost and price",
	Purpose: "What a batch and a piece cost, and what to ask for them, in whatever currency the prices are in.",
	Formula: "Each thing costs its price times what was used over what the price is for. The price with the margin is cost over one less the margin, so that this share of it is left.",
	Inputs: []Input{
		{Key: "powders", Ask: true, Label: "Dye powders", Help: "name, price per amount, used amount; with semicolons between", Type: Phrase, Example: "rust 12 per 50 g used 14.4 g; blue-green 15 per 50 g used 9 g"},
		{Key: "soda", Label: "Soda ash", Type: Phrase, Example: "4 per 2 kg used 500 g"},
		{Key: "other", Label: "Other things", Help: "the same, or a name and a sum", Type: Phrase, Example: "tees 3.50 per 1 used 12; bags 3 per 50 used 12; parking 5"},
		{Key: "labour", Ask: true, Label: "Labour", Help: "the same with hours, or a sum", Type: Phrase, Example: "15 per h used 4 h 30 min"},
		{Key: "pieces", Label: "Pieces", Type: Quantity, Kinds: []unit.Kind{unit.KindCount}, Required: true, Example: "12", Min: 1, Max: 1e5},
		{Key: "margin", Label: "Margin", Help: "the share of the price that is to be left", Type: Quantity, Kinds: []unit.Kind{unit.KindShare},
			Default: "0 %", Max: 0.95, Presets: []string{"0 %", "30 %", "50 %"}, Source: fault.CommonPractice},
	},
	Outputs: []Output{
		{Key: "per_piece", Label: "Cost of a piece", Kind: unit.KindNumber, Source: sums},
		{Key: "per_batch", Label: "Cost of the batch", Kind: unit.KindNumber, Source: sums},
		{Key: "price_piece", Label: "Price of a piece", Help: "with the margin", Kind: unit.KindNumber, Source: sums},
		{Key: "price_batch", Label: "Price of the batch", Help: "with the margin", Kind: unit.KindNumber, Source: sums},
	},
	Cautions: []fault.Caution{price.Selling},
	Try:      "labour='15 per h used 4 h 30 min' margin='30 %'",
	Sum:      sumCost,
})

// sums is the source of what is added up.
var sums = fault.Source{Kind: fault.Practice, Text: "bookkeeping: sums of what is typed; margin as a share of the price is common practice"}

func sumCost(g *Given) (*Answer, error) {
	b := price.Batch{Pieces: Get[unit.Count](g, "pieces"), Margin: Get[unit.Share](g, "margin")}
	var told []string
	for _, key := range spent {
		items, err := price.Parse(g.Text(key))
		if err != nil {
			return nil, fault.Of(err).At(key, fault.Of(err).Typed)
		}
		for _, i := range items {
			if i.Name == "" {
				i.Name = key
			}
			told = append(told, i.Name+" "+money(i.Cost(), g.Style))
		}
		b.Items = append(b.Items, items...)
	}
	if len(b.Items) == 0 {
		return nil, g.Missing("powders", "nothing is given that costs: powders, soda, other or labour")
	}
	a := &Answer{}
	put := func(key string, n unit.Number) {
		Put(a, key, n)
		a.Say(key, "%s", money(n, g.Style))
	}
	put("per_piece", b.Each(b.Cost()))
	put("per_batch", b.Cost())
	put("price_piece", b.Each(b.Price()))
	put("price_batch", b.Price())
	a.Note("%s", strings.Join(told, ", "))
	return a, nil
}

// money prints a sum to hundredths.
func money(n unit.Number, style unit.Style) string {
	s := fmt.Sprintf("%.2f", float64(n))
	if style.Comma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s
}
