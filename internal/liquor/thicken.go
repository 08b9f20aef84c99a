package liquor

import (
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// ThickenerUse is what thickened dye is for.
type ThickenerUse string

// The uses, from thin to thick.
const (
	ThinUse  ThickenerUse = "thin"
	PaintUse ThickenerUse = "paint"
	PrintUse ThickenerUse = "print"
)

// ThickenerUses lists the uses with words for people.
func ThickenerUses() []ThickenerUse { return []ThickenerUse{ThinUse, PaintUse, PrintUse} }

// Words tells what u does.
func (u ThickenerUse) Words() string {
	switch u {
	case PaintUse:
		return "paint: stays where the brush puts it"
	case PrintUse:
		return "print: for a screen or block"
	}
	return "thin: runs less from a bottle"
}

// alginateSource is the source of the strengths.
var alginateSource = provenance.Source{Reliability: provenance.Memory, Text: "textbook recipes for sodium alginate of low or medium viscosity, by weight of the paste; an abstract on C.I. Reactive Violet 1 and Blue 21 has 2 % for print"}

// AlginateStrength returns the share of sodium alginate by weight. An unknown use gets the strength
// of the thin paste.
func (u ThickenerUse) AlginateStrength() provenance.Value {
	v := provenance.Value{Name: "alginate, " + string(u), Value: 0.0035, Low: 0.002, High: 0.005, Unit: "1", Source: alginateSource}
	switch u {
	case PaintUse:
		v.Value, v.Low, v.High = 0.015, 0.01, 0.02
	case PrintUse:
		v.Value, v.Low, v.High = 0.025, 0.02, 0.03
	}
	return v
}

// AlginateMass is the sodium alginate for v of dye liquor, taken as a gram a
// millilitre.
func AlginateMass(v unit.Volume, u ThickenerUse) (middle, low, high unit.Mass) {
	a := u.AlginateStrength()
	return unit.Mass(float64(v) * a.Value), unit.Mass(float64(v) * a.Low), unit.Mass(float64(v) * a.High)
}
