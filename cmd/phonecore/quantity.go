package main

import "coldbatch/internal/unit"

// quantityCalls read and print what people write.
var quantityCalls = table{
	"unit.parse": on(parse),
	"unit.show":  on(show),
}

// amount is a quantity in its kind's base unit, and as a device prints it: Number and
// Unit are the parts of Text for a field to type in, Number empty where Text has two
// units. Other is the same in the other system of units, where there is one.
type amount struct {
	Kind   unit.Kind `json:"kind"`
	Value  float64   `json:"value"`
	Text   string    `json:"text"`
	Number string    `json:"number"`
	Unit   string    `json:"unit"`
	Other  string    `json:"other,omitempty"`
}

func printed(k unit.Kind, v float64, s unit.Style) amount {
	number, symbol := unit.Split(k, v, s)
	return amount{k, v, unit.Show(k, v, s), number, symbol, unit.ShowInOther(k, v, s)}
}

// parse reads what was typed as kind, or as the first of kinds whose unit fits.
func parse(q struct {
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
	return printed(kind, value, q.Style), nil
}

func show(q struct {
	Kind  unit.Kind  `json:"kind"`
	Value float64    `json:"value"`
	Style unit.Style `json:"style,omitzero"`
}) (amount, error) {
	return printed(q.Kind, q.Value, q.Style), nil
}
