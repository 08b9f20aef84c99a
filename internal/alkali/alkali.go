// Package alkali computes soda ash in water: the forms of the powder, how much
// dissolves at a temperature, and the pH that a good meter reads. Start with PH for
// a bath, Form for a powder and Solubility for cold water. The package does not cover
// the bucket and the cloth (package soak), caustic soda, or a bath that has stood
// open for days and taken up carbon dioxide from the air.
package alkali

import (
	"coldbatch/internal/provenance"
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

// molarMassSource is the source of the molar masses.
var molarMassSource = provenance.Source{Reliability: provenance.Published, Text: "molar masses from IUPAC, Standard atomic weights of the elements 2021, Pure Appl. Chem. 94 (2022) 573–600"}

// The molar masses, g/mol.
var (
	molarAnhydrous   = provenance.Value{Name: "molar mass of Na2CO3", Value: 105.988, Unit: "g/mol", Source: molarMassSource}
	molarMonohydrate = provenance.Value{Name: "molar mass of Na2CO3·H2O", Value: 124.004, Unit: "g/mol", Source: molarMassSource}
	molarDecahydrate = provenance.Value{Name: "molar mass of Na2CO3·10H2O", Value: 286.141, Unit: "g/mol", Source: molarMassSource}
)

// Forms lists the forms, the usual one first.
func Forms() []Form { return []Form{Anhydrous, Monohydrate, Decahydrate} }

// Words is the name of f on a screen.
func (f Form) Words() string {
	switch f {
	case Monohydrate:
		return "soda ash monohydrate"
	case Decahydrate:
		return "washing-soda crystals (decahydrate)"
	}
	return "soda ash (anhydrous)"
}

// PerAnhydrous is the mass of f that contains one gram of anhydrous soda ash:
// 1, 1.170 or 2.700. A form that is not listed counts as anhydrous.
func (f Form) PerAnhydrous() provenance.Value {
	m := molarAnhydrous
	switch f {
	case Monohydrate:
		m = molarMonohydrate
	case Decahydrate:
		m = molarDecahydrate
	}
	return provenance.Value{Name: "grams of " + f.Words() + " for one of anhydrous", Value: m.Value / molarAnhydrous.Value, Unit: "1", Source: molarMassSource}
}

// MassFor returns the mass of f that contains m of anhydrous soda ash.
func (f Form) MassFor(m unit.Mass) unit.Mass {
	return unit.Mass(float64(m) * f.PerAnhydrous().Value)
}

// AnhydrousIn returns the anhydrous soda ash in the mass m of f.
func (f Form) AnhydrousIn(m unit.Mass) unit.Mass {
	return unit.Mass(float64(m) / f.PerAnhydrous().Value)
}

// PowderGrade says how heavy a spoonful of anhydrous ash is.
type PowderGrade string

// The grades. AnyGrade is for a powder of unknown grade.
const (
	LightGrade PowderGrade = "light"
	DenseGrade PowderGrade = "dense"
	AnyGrade   PowderGrade = ""
)

// bulkDensitySource is the source of the bulk densities. Producers' sheets agree on them,
// but they are not a published standard.
var bulkDensitySource = provenance.Source{Reliability: provenance.Memory, Text: "data sheets of producers of soda ash: bulk density of light and dense ash; no single sheet is followed"}

// BulkDensity is the bulk density of anhydrous ash in g/mL. A cup of light ash is
// 135–154 g and of dense ash 237–248 g; an unknown grade may be either.
func (g PowderGrade) BulkDensity() provenance.Value {
	switch g {
	case LightGrade:
		return provenance.Value{Name: "bulk density of light ash", Value: 0.61, Unit: "g/mL", Low: 0.57, High: 0.65, Source: bulkDensitySource}
	case DenseGrade:
		return provenance.Value{Name: "bulk density of dense ash", Value: 1.025, Unit: "g/mL", Low: 1.00, High: 1.05, Source: bulkDensitySource}
	}
	return provenance.Value{Name: "bulk density of soda ash, light or dense", Value: 0.81, Unit: "g/mL", Low: 0.57, High: 1.05, Source: bulkDensitySource}
}

// MassOf returns the mass of anhydrous ash in a spoon, cup or jug of volume v. It is
// always a range, since ash settles.
func (g PowderGrade) MassOf(v unit.Volume) (middle, low, high unit.Mass) {
	b := g.BulkDensity()
	return unit.Mass(b.Value * float64(v)), unit.Mass(b.Low * float64(v)), unit.Mass(b.High * float64(v))
}

// VolumeOf returns the volume of anhydrous ash of mass m with its range; it is the inverse
// of MassOf.
func (g PowderGrade) VolumeOf(m unit.Mass) (middle, low, high unit.Volume) {
	b := g.BulkDensity()
	return unit.Volume(float64(m) / b.Value), unit.Volume(float64(m) / b.High), unit.Volume(float64(m) / b.Low)
}

// clamp limits x to low–high; NaN becomes low.
func clamp(x, low, high float64) float64 {
	if !(x >= low) {
		return low
	}
	return min(x, high)
}
