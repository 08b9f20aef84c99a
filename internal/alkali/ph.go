package alkali

import (
	"math"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// The range in which the pH is checked against an outside computation. Beyond
// it PH still answers, and says that it extrapolates.
const (
	minChecked unit.Concentration = 5
	maxChecked unit.Concentration = 100
	minWarm    unit.Temperature   = 5
	maxWarm    unit.Temperature   = 45
)

// Sources names what the pH is made from.
func Sources() []fault.Source { return []fault.Source{plummer, truesdell} }

// PH gives the pH that a good meter reads in a closed bath of c (g/L of
// anhydrous soda ash in the solution) at t, after acid has been spent on it:
// acid is in equivalents per mole of soda ash, 0 for a fresh bath, 1 where only
// bicarbonate is left. The charges balance:
//
//	[Na+] + [H+] = [OH−] + [HCO3−] + 2 [CO3−−] + acid
//
// It holds ±0.05 at 5–50 g/L and ±0.1 to 100 g/L, 5–45 °C, acid 0–1; outside
// that extrapolated is true. c is held to 0–500 g/L, t to 0–100 °C, acid to
// 0–1.5. Water without soda gives neutral.
func PH(c unit.Concentration, t unit.Temperature, acid unit.Share) (ph unit.PH, extrapolated bool) {
	m := molality(c, t)
	ph = balance(2*m, m, within(float64(acid), 0, 1.5)*m, t)
	checked := c >= minChecked && c <= maxChecked && t >= minWarm && t <= maxWarm && acid >= 0 && acid <= 1
	return ph, !checked
}

// PHSpread is the honest error of PH either way: 0.05 to 50 g/L, 0.1 to 100
// g/L, 0.2 where it extrapolates (the last is judgement).
func PHSpread(c unit.Concentration, t unit.Temperature) unit.PH {
	switch {
	case c < minChecked || c > maxChecked || t < minWarm || t > maxWarm:
		return 0.2
	case c > 50:
		return 0.1
	}
	return 0.05
}

// balance finds the pH at which charges balance, in mol/kg: all sodium, all
// carbon, and acid as an anion that does not react. The ionic strength is
// found by repeating, the pH within each pass by halving.
func balance(sodium, carbon, acid float64, t unit.Temperature) unit.PH {
	a, b := debyeHuckel(t)
	pK1, pK2, pKw := -logK1(t), -logK2(t), -logKw(t)
	strength := (sodium + 4*carbon) / 2
	water := 1 - waterTerm*(sodium+carbon+acid)
	var ph float64
	for range 20 {
		logH, logOH := hydrogen.logGamma(a, b, strength), hydroxide.logGamma(a, b, strength)
		log3, log2 := carbonate.logGamma(a, b, strength), bicarbonate.logGamma(a, b, strength)
		var next float64
		low, high := 0.0, 15.0
		for range 44 { // to 1e-12
			ph = (low + high) / 2
			perBi := math.Pow(10, pK2-ph+log3-log2) // bicarbonate per carbonate
			perGas := math.Pow(10, pK1+pK2-2*ph+log3-neutralTerm*strength) / water
			co3 := carbon / (1 + perBi + perGas)
			oh := math.Pow(10, ph-pKw-logOH) * water
			h := math.Pow(10, -ph-logH)
			next = (sodium + h + oh + acid + co3*(perBi+4)) / 2
			if sodium+h > oh+co3*(perBi+2)+acid {
				low = ph
			} else {
				high = ph
			}
		}
		if math.Abs(next-strength) < 1e-7 {
			break
		}
		strength = next
	}
	return unit.PH(ph)
}
