package main

import "coldbatch/internal/unit"

// quantityCalls parse and format quantities.
var quantityCalls = callTable{
	"unit.parse":  jsonCall(parseQuantity),
	"unit.format": jsonCall(formatQuantity),
}

// amount is a quantity: Value in its kind's base unit, and Text as the device shows it.
// Number and Unit are the parts of Text for an input field; Number is empty if Text has two
// units. InOtherUnits is the quantity in the other system of units, if there is one.
type amount struct {
	Kind         unit.Kind `json:"kind"`
	Value        float64   `json:"value"`
	Text         string    `json:"text"`
	Number       string    `json:"number"`
	Unit         string    `json:"unit"`
	InOtherUnits string    `json:"other,omitempty"`
}

func newAmount(k unit.Kind, v float64, s unit.Style) amount {
	number, symbol := unit.FormatSplit(k, v, s)
	return amount{k, v, unit.Show(k, v, s), number, symbol, unit.ShowInOther(k, v, s)}
}

// parseQuantity reads what was typed as kind, or as the first of kinds whose unit fits.
func parseQuantity(q struct {
	Kind  unit.Kind   `json:"kind,omitempty"`
	Kinds []unit.Kind `json:"kinds,omitempty"`
	Typed string      `json:"typed"`
	Style unit.Style  `json:"style,omitzero"`
}) (amount, error) {
	kinds := q.Kinds
	if q.Kind != "" {
		kinds = []unit.Kind{q.Kind}
	}
	kind, value, err := unit.ParseAny(kinds, q.Typed)
	if err != nil {
		return amount{}, err
	}
	return newAmount(kind, value, q.Style), nil
}

func formatQuantity(q struct {
	Kind  unit.Kind  `json:"kind"`
	Value float64    `json:"value"`
	Style unit.Style `json:"style,omitzero"`
}) (amount, error) {
	return newAmount(q.Kind, q.Value, q.Style), nil
}
