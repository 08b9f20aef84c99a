package alkali

import (
	"fmt"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// tilton has what waterDensity is made of: the temperature of the densest water,
// the two temperatures added, and the divisor.
var tilton = [4]float64{3.9863, 288.9414, 68.12963, 508929.2}

// The factors by which soda ash makes water denser, for its share by mass and for
// the square of that: our own fit to ../../testdata/ref/density-soda-ash.tsv.
const (
	denser  = 1.036
	denser2 = 0.15
)

// densities lists the constants of this file.
func densities() []fault.Value {
	fit := fault.Source{Kind: fault.Judgement, Text: "judgement: our own fit to handbook densities of soda ash in water"}
	t := tilton
	return []fault.Value{
		{Name: fmt.Sprintf("density of water at 25 °C, by 1 − (t − %g)² (t + %g)/(%.7g (t + %g))", t[0], t[1], t[3], t[2]), Value: waterDensity(room), Unit: "g/mL",
			Source: fault.Source{Kind: fault.Memory, Text: "L. W. Tilton and J. K. Taylor, J. Res. Natl. Bur. Stand. 18 (1937) 205–214"}},
		{Name: "gain of density a share of soda ash by mass", Value: denser, Unit: "1", Source: fit},
		{Name: "gain of density a square of that share", Value: denser2, Unit: "1", Source: fit},
	}
}

// waterDensity is that of water in g/mL. L. W. Tilton and J. K. Taylor, J.
// Res. Natl. Bur. Stand. 18 (1937) 205–214, from memory; 0.99823 at 20 °C.
func waterDensity(t unit.Temperature) float64 {
	c := kelvin(t) - ice
	return 1 - (c-tilton[0])*(c-tilton[0])*(c+tilton[1])/(tilton[3]*(c+tilton[2]))
}

// Density gives the density in g/mL of a solution that holds c of anhydrous
// soda ash, within 0.3 % to 110 g/L and 1 % to saturation.
func Density(c unit.Concentration, t unit.Temperature) float64 {
	water := waterDensity(t)
	grams := within(float64(c), 0, 500) / 1000 // in 1 mL
	share, d := 0.0, water
	for range 12 { // the share by mass and the density depend on one another
		share = grams / d
		d = water * (1 + denser*share + denser2*share*share)
	}
	return d
}

// molality gives mol/kg of water for c g/L of anhydrous soda ash.
func molality(c unit.Concentration, t unit.Temperature) float64 {
	grams := within(float64(c), 0, 500) / 1000
	return grams / molarAnhydrous.Value / (Density(c, t) - grams) * 1000
}
