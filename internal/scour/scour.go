// Package scour is the pre-wash that takes wax, oil and finish out of cotton, so
// that dye goes in evenly. Start with Wash. It knows no dye.
package scour

import (
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// ClothState describes how cloth comes to the dyer.
type ClothState string

// The states, from the cleanest.
const (
	StatePrepared ClothState = "prepared" // for dyeing, by its maker
	StateBought   ClothState = "bought"   // garments and cloth from a shop
	StateRaw      ClothState = "raw"      // loom state, undyed yarn
)

// ClothStates lists the states.
func ClothStates() []ClothState { return []ClothState{StatePrepared, StateBought, StateRaw} }

// Words describes s.
func (s ClothState) Words() string {
	switch s {
	case StatePrepared:
		return "prepared for dyeing"
	case StateRaw:
		return "raw, from the loom"
	}
	return "new or worn, from a shop"
}

// Recipe describes how cloth of a state is scoured.
type Recipe struct {
	Soda, Detergent provenance.Value // of the dry weight
	Time            provenance.Value // s
	Temperature     provenance.Value // °C
}

// craftSource is the source of the recipes.
var craftSource = provenance.Source{Reliability: provenance.Practice,
	Text: "common practice, no source: craft and mill recipes span soda ash 2–5 % and a little detergent on the weight of the cloth, 60 °C to the boil, 30 min to 2 h"}

// judgementSource is the source of what the craft does not write down.
var judgementSource = provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: cloth that was prepared for dyeing needs no alkali"}

// Recipe returns the recipe of s. A state that is not listed counts as bought.
func (s ClothState) Recipe() Recipe {
	value := func(what, unit string, v, low, high float64, source provenance.Source) provenance.Value {
		return provenance.Value{Name: what + ", " + s.Words(), Unit: unit, Value: v, Low: low, High: high, Source: source}
	}
	switch s {
	case StatePrepared:
		return Recipe{value("soda ash", "1", 0, 0, 0, judgementSource), value("detergent", "1", 0.005, 0.003, 0.01, judgementSource),
			value("time", "s", 1200, 600, 1800, judgementSource), value("temperature", "°C", 40, 30, 60, judgementSource)}
	case StateRaw:
		return Recipe{value("soda ash", "1", 0.04, 0.02, 0.05, craftSource), value("detergent", "1", 0.02, 0.01, 0.02, craftSource),
			value("time", "s", 3600, 1800, 7200, craftSource), value("temperature", "°C", 95, 80, 100, craftSource)}
	}
	return Recipe{value("soda ash", "1", 0.02, 0.02, 0.04, craftSource), value("detergent", "1", 0.01, 0.005, 0.02, craftSource),
		value("time", "s", 1800, 1800, 3600, craftSource), value("temperature", "°C", 60, 60, 95, craftSource)}
}

// LiquorRatio is the water by dry weight.
var LiquorRatio = provenance.Value{Name: "water of a pre-wash", Value: 20, Unit: "L/kg", Low: 10, High: 30, Source: provenance.CommonPracticeSource}

// WettingTime says how fast clean cloth takes in a drop of water.
var WettingTime = provenance.Value{Name: "time in which clean cloth takes in a drop of water, at most", Value: 5, Unit: "seconds",
	Source: provenance.Source{Reliability: provenance.Memory, Text: "AATCC Test Method 79, absorbency of textiles: 5 s or less is generally enough"}}

// Values lists the constants of every state.
func Values() []provenance.Value {
	v := []provenance.Value{LiquorRatio, WettingTime}
	for _, s := range ClothStates() {
		r := s.Recipe()
		v = append(v, r.Soda, r.Detergent, r.Time, r.Temperature)
	}
	return v
}

// MassByShare is a share of dry cloth by weight, with its range.
func MassByShare(cloth unit.Mass, share provenance.Value) (middle, low, high unit.Mass) {
	return cloth * unit.Mass(share.Value), cloth * unit.Mass(share.Low), cloth * unit.Mass(share.High)
}

// WaterVolume is the water for dry cloth at a ratio.
func WaterVolume(cloth unit.Mass, ratio unit.SpecificVolume) unit.Volume {
	return unit.Volume(float64(cloth) * float64(ratio)) // L/kg is mL/g
}

// NotScouredCaution is the caution of fibres that scouring spoils.
var NotScouredCaution = provenance.Caution{Code: "not-silk-or-wool",
	Text:   "hot soda ash ruins silk and wool, and heat shrinks some knits: read the care label, and try one piece first",
	Source: "common practice"}
