package alkali

import (
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// WaterClass is a class of water by its hardness.
type WaterClass string

// The classes of water.
const (
	SoftWater     WaterClass = "soft"
	ModerateWater WaterClass = "moderately-hard"
	HardWater     WaterClass = "hard"
	VeryHardWater WaterClass = "very-hard"
)

// WaterClasses lists the classes from soft to very hard.
func WaterClasses() []WaterClass {
	return []WaterClass{SoftWater, ModerateWater, HardWater, VeryHardWater}
}

var (
	hardnessClassSource = provenance.Source{Reliability: provenance.Published, Text: "U.S. Geological Survey, hardness of water, the same bands credited to WHO 2011 in Prog. Earth Planet. Sci. (2017), doi 10.1186/s40645-017-0142-9, table 3"}

	// The upper ends of the classes: soft to 60, moderately hard to 120, hard to 180.
	SoftMaxHardness     = provenance.Value{Name: "soft up to", Value: 60, Unit: "mg/L", Source: hardnessClassSource}
	ModerateMaxHardness = provenance.Value{Name: "moderately hard up to", Value: 120, Unit: "mg/L", Source: hardnessClassSource}
	HardMaxHardness     = provenance.Value{Name: "hard up to", Value: 180, Unit: "mg/L", Source: hardnessClassSource}

	// SodaPerHardness is the soda ash that a gram of hardness uses up, mole for mole, as
	// chalk settles out: Na2CO3 105.988 for CaCO3 100.087 g/mol.
	SodaPerHardness = provenance.Value{Name: "soda ash lost a gram of hardness", Value: 105.988 / 100.087, Unit: "1", Source: molarMassSource}

	// MinSoftenerPerHardness is the least sodium hexametaphosphate for a gram of hardness:
	// NaPO3 101.961 g/mol, two for each calcium.
	MinSoftenerPerHardness = provenance.Value{Name: "hexametaphosphate a gram of hardness, least", Value: 2 * 101.961 / 100.087, Unit: "1",
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: one calcium to two phosphate groups"}}
	// SoftenerExcessFactor is the multiple of MinSoftenerPerHardness that is used in practice.
	SoftenerExcessFactor = provenance.Value{Name: "times the least that is used", Value: 2.5, Unit: "1", Low: 2, High: 3,
		Source: provenance.Source{Reliability: provenance.Practice, Text: "common practice and memory, 1–2 g/L in very hard water, no source"}}
)

// ClassifyWater returns the class of water of hardness h. The published bands are in
// whole mg/L, so h is rounded to these.
func ClassifyWater(h unit.Hardness) WaterClass {
	for i, end := range []provenance.Value{SoftMaxHardness, ModerateMaxHardness, HardMaxHardness} {
		if float64(h) < end.Value+0.5 {
			return WaterClasses()[i]
		}
	}
	return VeryHardWater
}

// hardnessMass is the hardness in v of water, in grams of CaCO3.
func hardnessMass(h unit.Hardness, v unit.Volume) float64 { return float64(h) * float64(v) / 1e6 }

// SoftenerMass is the sodium hexametaphosphate for v of dye water of hardness h:
// none in soft water.
func SoftenerMass(h unit.Hardness, v unit.Volume) (middle, low, high unit.Mass) {
	if ClassifyWater(h) == SoftWater {
		return 0, 0, 0
	}
	least := hardnessMass(h, v) * MinSoftenerPerHardness.Value
	return unit.Mass(least * SoftenerExcessFactor.Value), unit.Mass(least * SoftenerExcessFactor.Low), unit.Mass(least * SoftenerExcessFactor.High)
}

// SodaLost is the soda ash that v of water of hardness h uses up in a soak.
func SodaLost(h unit.Hardness, v unit.Volume) unit.Mass {
	return unit.Mass(hardnessMass(h, v) * SodaPerHardness.Value)
}
