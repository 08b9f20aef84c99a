package alkali

import (
	"fmt"

	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// waterDensityFit holds the coefficients of waterDensity: the temperature at which water
// is densest, the two temperatures that are added, and the divisor.
var waterDensityFit = [4]float64{3.9863, 288.9414, 68.12963, 508929.2}

// The factors by which soda ash makes water denser, for its share by mass and for
// the square of that: our own fit to ../../testdata/ref/density-soda-ash.tsv.
const (
	densityLinearTerm = 1.036
	densitySquareTerm = 0.15
)

// densityValues lists the constants of this file.
func densityValues() []provenance.Value {
	fit := provenance.Source{Reliability: provenance.Judgement, Text: "judgement: our own fit to handbook densities of soda ash in water"}
	t := waterDensityFit
	return []provenance.Value{
		{Name: fmt.Sprintf("density of water at 25 °C, by 1 − (t − %g)² (t + %g)/(%.7g (t + %g))", t[0], t[1], t[3], t[2]), Value: waterDensity(referenceTemperature), Unit: "g/mL",
			Source: provenance.Source{Reliability: provenance.Memory, Text: "L. W. Tilton and J. K. Taylor, J. Res. Natl. Bur. Stand. 18 (1937) 205–214"}},
		{Name: "gain of density a share of soda ash by mass", Value: densityLinearTerm, Unit: "1", Source: fit},
		{Name: "gain of density a square of that share", Value: densitySquareTerm, Unit: "1", Source: fit},
	}
}

// waterDensity is the density of water in g/mL. L. W. Tilton and J. K. Taylor, J.
// Res. Natl. Bur. Stand. 18 (1937) 205–214, from memory; 0.99823 at 20 °C.
func waterDensity(t unit.Temperature) float64 {
	c := kelvin(t) - zeroCelsius
	return 1 - (c-waterDensityFit[0])*(c-waterDensityFit[0])*(c+waterDensityFit[1])/(waterDensityFit[3]*(c+waterDensityFit[2]))
}

// Density returns the density in g/mL of a solution with c of anhydrous soda ash. Its
// error is 0.3 % up to 110 g/L and 1 % up to saturation.
func Density(c unit.Concentration, t unit.Temperature) float64 {
	water := waterDensity(t)
	grams := clamp(float64(c), 0, 500) / 1000 // in 1 mL
	share, d := 0.0, water
	for range 12 { // the share by mass and the density depend on each other
		share = grams / d
		d = water * (1 + densityLinearTerm*share + densitySquareTerm*share*share)
	}
	return d
}

// molality converts c g/L of anhydrous soda ash to mol per kg of water.
func molality(c unit.Concentration, t unit.Temperature) float64 {
	grams := clamp(float64(c), 0, 500) / 1000
	return grams / molarAnhydrous.Value / (Density(c, t) - grams) * 1000
}
