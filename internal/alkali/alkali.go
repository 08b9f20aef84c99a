// Package alkali is soda ash in water: which powder it is, what dissolves at
// what temperature, and the pH that a good meter would read. Start with PH for
// a bath, Form for a powder and Solubility for what cold water takes. It knows
// no bucket and no cloth (package soak), no caustic soda, and no bath that has
// stood open for days and taken up carbon dioxide from the air.
package alkali

import (
	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// Form is the powder that soda ash is bought as.
type Form string

// The forms: dry ash, its first hydrate, and washing-soda crystals.
const (
	Anhydrous   Form = "anhydrous"
	Monohydrate Form = "monohydrate"
	Decahydrate Form = "decahydrate"
)

// iupac is the source of the molar masses.
var iupac = fault.Source{Kind: fault.Published, Text: "molar masses from IUPAC, Standard atomic weights of the elements 2021, Pure Appl. Chem. 94 (2022) 573–600"}

// The molar masses, g/mol.
var (
	molarAnhydrous   = fault.Value{Name: "molar mass of Na2CO3", Value: 105.988, Unit: "g/mol", Source: iupac}
	molarMonohydrate = fault.Value{Name: "molar mass of Na2CO3·H2O", Value: 124.004, Unit: "g/mol", Source: iupac}
	molarDecahydrate = fault.Value{Name: "molar mass of Na2CO3·10H2O", Value: 286.141, Unit: "g/mol", Source: iupac}
)

// Forms lists the forms with words for people.
func Forms() []Form { return []Form{Anhydrous, Monohydrate, Decahydrate} }

// Words names f for people.
func (f Form) Words() string {
	switch f {
	case Monohydrate:
		return "soda ash monohydrate"
	case Decahydrate:
		return "washing-soda crystals (decahydrate)"
	}
	return "soda ash (anhydrous)"
}

// PerAnhydrous is the mass of f that holds one gram of anhydrous soda ash:
// 1, 1.170 or 2.700. A form that is not listed counts as anhydrous.
func (f Form) PerAnhydrous() fault.Value {
	m := molarAnhydrous
	switch f {
	case Monohydrate:
		m = molarMonohydrate
	case Decahydrate:
		m = molarDecahydrate
	}
	return fault.Value{Name: "grams of " + f.Words() + " for one of anhydrous", Value: m.Value / molarAnhydrous.Value, Unit: "1", Source: iupac}
}

// Weighed gives the mass of f that holds m of anhydrous soda ash.
func (f Form) Weighed(m unit.Mass) unit.Mass {
	return unit.Mass(float64(m) * f.PerAnhydrous().Value)
}

// Pure gives the anhydrous soda ash in the mass m of f.
func (f Form) Pure(m unit.Mass) unit.Mass {
	return unit.Mass(float64(m) / f.PerAnhydrous().Value)
}

// Grade is how heavy a spoonful of anhydrous ash is.
type Grade string

// The grades. AnyGrade is a powder of which nobody knows.
const (
	Light    Grade = "light"
	Dense    Grade = "dense"
	AnyGrade Grade = ""
)

// producers is the source of the bulk densities: what producers' sheets agree
// on, which is no published standard.
var producers = fault.Source{Kind: fault.Memory, Text: "data sheets of producers of soda ash: bulk density of light and dense ash; no single sheet is followed"}

// Bulk is the bulk density of anhydrous ash in g/mL. A cup of light ash is
// 135–154 g and of dense ash 237–248 g; of a grade unknown it may be either.
func (g Grade) Bulk() fault.Value {
	switch g {
	case Light:
		return fault.Value{Name: "bulk density of light ash", Value: 0.61, Unit: "g/mL", Low: 0.57, High: 0.65, Source: producers}
	case Dense:
		return fault.Value{Name: "bulk density of dense ash", Value: 1.025, Unit: "g/mL", Low: 1.00, High: 1.05, Source: producers}
	}
	return fault.Value{Name: "bulk density of soda ash, light or dense", Value: 0.81, Unit: "g/mL", Low: 0.57, High: 1.05, Source: producers}
}

// Spooned gives the mass of anhydrous ash in a spoon, cup or jug of volume v:
// always a range, since ash packs.
func (g Grade) Spooned(v unit.Volume) (middle, low, high unit.Mass) {
	b := g.Bulk()
	return unit.Mass(b.Value * float64(v)), unit.Mass(b.Low * float64(v)), unit.Mass(b.High * float64(v))
}

// Spoons gives the volume of anhydrous ash of mass m: the range of Spooned, the
// other way round.
func (g Grade) Spoons(m unit.Mass) (middle, low, high unit.Volume) {
	b := g.Bulk()
	return unit.Volume(float64(m) / b.Value), unit.Volume(float64(m) / b.High), unit.Volume(float64(m) / b.Low)
}

// within moves x into low–high; a NaN becomes low.
func within(x, low, high float64) float64 {
	if !(x >= low) {
		return low
	}
	return min(x, high)
}
