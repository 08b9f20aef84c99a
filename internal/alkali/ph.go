package alkali

import (
	"math"

	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// The range in which the pH is checked against another program. Outside it PH
// extrapolates and says so.
const (
	minCheckedStrength    unit.Concentration = 5
	maxCheckedStrength    unit.Concentration = 100
	minCheckedTemperature unit.Temperature   = 5
	maxCheckedTemperature unit.Temperature   = 45
)

// Sources lists the sources of the pH.
func Sources() []provenance.Source {
	return []provenance.Source{plummerBusenbergSource, truesdellSource}
}

// PH returns the pH that a good meter reads in a closed bath of c (g/L of anhydrous
// soda ash in solution) at t, after acid has used up some of it. acid is in
// equivalents per mole of soda ash: 0 for a fresh bath, 1 where only bicarbonate is
// left. The charges balance:
//
//	[Na+] + [H+] = [OH−] + [HCO3−] + 2 [CO3−−] + acid
//
// Its error is ±0.05 at 5–30 g/L and ±0.1 up to 100 g/L, for 5–45 °C and acid 0–1;
// outside that range extrapolated is true. c is limited to 0–500 g/L, t to 0–100 °C,
// acid to 0–1.5. Water without soda ash is neutral.
func PH(c unit.Concentration, t unit.Temperature, acid unit.Share) (ph unit.PH, extrapolated bool) {
	m := molality(c, t)
	ph = solvePH(2*m, m, clamp(float64(acid), 0, 1.5)*m, t)
	checked := c >= minCheckedStrength && c <= maxCheckedStrength && t >= minCheckedTemperature && t <= maxCheckedTemperature && acid >= 0 && acid <= 1
	return ph, !checked
}

// Values lists every constant of the package except the bulk densities and those of
// hardness.
func Values() []provenance.Value {
	return append(append(PHValues(), molarMonohydrate, molarDecahydrate), solubilityValues()...)
}

// PHValues lists the constants of PH, SpentShare and PHSpread.
func PHValues() []provenance.Value {
	v := append(equilibriumValues(), activityValues()...)
	return append(append(v, densityValues()...), molarAnhydrous, phErrorWeakBath, phErrorStrongBath, phErrorExtrapolated)
}

// The error of PH, either way.
var (
	comparisonSource = provenance.Source{Reliability: provenance.Judgement, Text: "judgement, by comparison with USGS PHREEQC 3 and with the carbonate buffer of the National Bureau of Standards"}

	phErrorWeakBath     = provenance.Value{Name: "error of the pH at 5 to 30 g/L and 5 to 45 °C", Value: 0.05, Unit: "1", Source: comparisonSource}
	phErrorStrongBath   = provenance.Value{Name: "error of the pH over 30 to 100 g/L at 5 to 45 °C", Value: 0.1, Unit: "1", Source: comparisonSource}
	phErrorExtrapolated = provenance.Value{Name: "error of the pH elsewhere", Value: 0.2, Unit: "1", Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source"}}
)

// PHSpread is the error of PH, either way: 0.05 up to 30 g/L, 0.1 up to 100 g/L, 0.2
// where it extrapolates.
func PHSpread(c unit.Concentration, t unit.Temperature) unit.PH {
	switch {
	case c < minCheckedStrength || c > maxCheckedStrength || t < minCheckedTemperature || t > maxCheckedTemperature:
		return unit.PH(phErrorExtrapolated.Value)
	case c > 30:
		return unit.PH(phErrorStrongBath.Value)
	}
	return unit.PH(phErrorWeakBath.Value)
}

// SpentShare is the inverse of PH: the acid, in equivalents per mole of soda ash, that
// has lowered the pH of a bath of c at t to ph. It is 0 for a pH at or above that of the
// fresh bath, and at most 1.5; c, t and ph are limited as in PH.
func SpentShare(c unit.Concentration, t unit.Temperature, ph unit.PH) unit.Share {
	m := molality(c, t)
	if m <= 0 {
		return 0
	}
	s := bathSolution{sodium: 2 * m, carbon: m, ionicStrength: 3 * m}
	s.setTemperature(t)
	acid := 0.0
	for range maxIterations {
		was := s.ionicStrength
		need, next := s.chargeBalance(clamp(float64(ph), 0, 15), acid)
		acid = clamp(need, 0, 1.5*m)
		if s.ionicStrength = next + acid/2; math.Abs(s.ionicStrength-was) < 1e-9 {
			break
		}
	}
	return unit.Share(acid / m)
}

// maxIterations are enough for the ionic strength to settle.
const maxIterations = 20

// bathSolution is soda ash in water, in mol/kg: all sodium, all carbon, and the ionic
// strength reached so far.
type bathSolution struct {
	sodium, carbon, ionicStrength float64
	a, b, pK1, pK2, pKw           float64
}

// setTemperature sets the constants that depend on the temperature.
func (s *bathSolution) setTemperature(t unit.Temperature) {
	s.a, s.b = debyeHuckel(t)
	s.pK1, s.pK2, s.pKw = -logK1.valueAt(t), -logK2.valueAt(t), -logKw.valueAt(t)
}

// chargeBalance returns the missing charge at ph: the acid, as an anion that does not
// react, that would balance them; and the ionic strength without that anion.
// acid only sets the activity of water.
func (s *bathSolution) chargeBalance(ph, acid float64) (missingCharge, ionicStrength float64) {
	water := 1 - waterActivityTerm*(s.sodium+s.carbon+acid)
	log3 := carbonate.logActivityCoefficient(s.a, s.b, s.ionicStrength)
	log2 := bicarbonate.logActivityCoefficient(s.a, s.b, s.ionicStrength)
	perBi := powerOfTen(s.pK2 - ph + log3 - log2) // bicarbonate per carbonate
	perGas := powerOfTen(s.pK1+s.pK2-2*ph+log3-co2ActivityTerm*s.ionicStrength) / water
	co3 := s.carbon / (1 + perBi + perGas)
	oh := powerOfTen(ph-s.pKw-hydroxide.logActivityCoefficient(s.a, s.b, s.ionicStrength)) * water
	h := powerOfTen(-ph - hydrogen.logActivityCoefficient(s.a, s.b, s.ionicStrength))
	return s.sodium + h - oh - co3*(perBi+2), (s.sodium + h + oh + co3*(perBi+4)) / 2
}

// powerOfTen is 10 to the power of x; math.Pow takes several times as long, and the pH
// of a bath is made of a thousand of them.
func powerOfTen(x float64) float64 { return math.Exp(x * math.Ln10) }

// solvePH finds the pH at which charges balance. The ionic strength is found by
// repeating, the pH within each pass by halving.
func solvePH(sodium, carbon, acid float64, t unit.Temperature) unit.PH {
	s := bathSolution{sodium: sodium, carbon: carbon, ionicStrength: (sodium + 4*carbon) / 2}
	s.setTemperature(t)
	var ph float64
	for range maxIterations {
		var need, next float64
		low, high := 0.0, 15.0
		for range 44 { // to 1e-12
			ph = (low + high) / 2
			if need, next = s.chargeBalance(ph, acid); need > acid {
				low = ph
			} else {
				high = ph
			}
		}
		next += acid / 2
		if math.Abs(next-s.ionicStrength) < 1e-7 {
			break
		}
		s.ionicStrength = next
	}
	return unit.PH(ph)
}
