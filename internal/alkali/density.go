package alkali

import "coldbatch/internal/unit"

// waterDensity is that of water in g/mL. L. W. Tilton and J. K. Taylor, J.
// Res. Natl. Bur. Stand. 18 (1937) 205–214, from memory; 0.99823 at 20 °C.
func waterDensity(t unit.Temperature) float64 {
	c := kelvin(t) - 273.15
	return 1 - (c-3.9863)*(c-3.9863)*(c+288.9414)/(508929.2*(c+68.12963))
}

// Density gives the density in g/mL of a solution that holds c of anhydrous
// soda ash, within 0.3 % to 110 g/L and 1 % to saturation. The two factors are
// our own fit to the table of ../../testdata/ref/density-soda-ash.tsv.
func Density(c unit.Concentration, t unit.Temperature) float64 {
	water := waterDensity(t)
	grams := within(float64(c), 0, 500) / 1000 // in 1 mL
	share, d := 0.0, water
	for range 12 { // the share by mass and the density depend on one another
		share = grams / d
		d = water * (1 + 1.036*share + 0.15*share*share)
	}
	return d
}

// molality gives mol/kg of water for c g/L of anhydrous soda ash.
func molality(c unit.Concentration, t unit.Temperature) float64 {
	grams := within(float64(c), 0, 500) / 1000
	return grams / molarAnhydrous.Value / (Density(c, t) - grams) * 1000
}
