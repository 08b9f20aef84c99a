package liquor

import (
	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// Use is what thickened dye is for.
type Use string

// The uses, from thin to thick.
const (
	ThinUse  Use = "thin"
	PaintUse Use = "paint"
	PrintUse Use = "print"
)

// Uses lists the uses with words for people.
func Uses() []Use { return []Use{ThinUse, PaintUse, PrintUse} }

// Words tells what u does.
func (u Use) Words() string {
	switch u {
	case PaintUse:
		return "paint: stays where the brush puts it"
	case PrintUse:
		return "print: for a screen or block"
	}
	return "thin: runs less from a bottle"
}

// alginate is the source of the strengths.
var alginate = fault.Source{Kind: fault.Memory, Text: "textbook recipes for sodium alginate of low or medium viscosity, by weight of the paste; an abstract on C.I. Reactive Violet 1 and Blue 21 has 2 % for print"}

// Alginate is the share of sodium alginate by weight. A use that is not listed
// counts as thin.
func (u Use) Alginate() fault.Value {
	v := fault.Value{Name: "alginate, " + string(u), Value: 0.0035, Low: 0.002, High: 0.005, Unit: "1", Source: alginate}
	switch u {
	case PaintUse:
		v.Value, v.Low, v.High = 0.015, 0.01, 0.02
	case PrintUse:
		v.Value, v.Low, v.High = 0.025, 0.02, 0.03
	}
	return v
}

// Thicken is the sodium alginate for v of dye liquor, taken as a gram a
// millilitre.
func Thicken(v unit.Volume, u Use) (middle, low, high unit.Mass) {
	a := u.Alginate()
	return unit.Mass(float64(v) * a.Value), unit.Mass(float64(v) * a.Low), unit.Mass(float64(v) * a.High)
}
