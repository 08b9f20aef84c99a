package liquor

import (
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// UreaStrength says how much urea is used where it is used at all.
var UreaStrength = provenance.Value{Name: "urea where it is used", Value: 50, Unit: "g/L",
	Source: provenance.Source{Reliability: provenance.Practice, Text: "common practice, no source; what it is for (dissolving dye, slowing drying): Sheth and Musale, Indian J. Fibre Text. Res. 29 (2004) 462–469"}}

// UreaAboveStrength is the strength of dye up to which dye dissolves without urea.
var UreaAboveStrength = provenance.Value{Name: "dye that dissolves without urea, up to", Value: 40, Unit: "g/L",
	Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: stronger liquor may not dissolve"}}

// UreaMass is the urea for v of dye liquor of that strength: none where goods are
// bagged wet and the dye dissolves without it.
func UreaMass(v unit.Volume, strength unit.Concentration, dryAir bool) unit.Mass {
	if !dryAir && float64(strength) <= UreaAboveStrength.Value*(1+1e-9) {
		return 0
	}
	return unit.Concentration(UreaStrength.Value).MassIn(v)
}
