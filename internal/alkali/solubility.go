package alkali

import (
	"fmt"
	"math"

	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// solubilitySource is the source of the solubilities. Two reproductions of handbook
// tables were read; with a third from memory they differ by up to 6 %.
var solubilitySource = provenance.Source{Reliability: provenance.Memory, Text: "CRC Handbook of Chemistry and Physics, aqueous solubility of inorganic compounds; the figures are those of an encyclopaedia's copy of a handbook table, which differ by up to 6 %"}

// peakSolubilitySource is the source of the row at 35.4 °C, which is in none of the handbook tables that
// we read.
var peakSolubilitySource = provenance.Source{Reliability: provenance.Memory, Text: "data sheets of producers of soda ash: the peak of its solubility; no single sheet is followed"}

// peakCelsius is the temperature at which most soda ash dissolves.
const peakCelsius = 35.4

// solubilityError says how far the tables differ, as a share.
const solubilityError = 0.06

// solubilityTable is in g anhydrous per 100 g water; below 32.0 °C over the
// decahydrate, above 35.4 °C (where it peaks) over the monohydrate.
var solubilityTable = []struct {
	celsius, grams float64
	source         *provenance.Source
}{
	{0, 7.0, &solubilitySource}, {10, 12.2, &solubilitySource}, {20, 21.8, &solubilitySource}, {25, 29.4, &solubilitySource}, {30, 39.7, &solubilitySource}, {peakCelsius, 49.7, &peakSolubilitySource},
	{40, 48.8, &solubilitySource}, {50, 47.3, &solubilitySource}, {60, 46.4, &solubilitySource}, {80, 45.1, &solubilitySource}, {100, 44.7, &solubilitySource},
}

// solubilityValues lists the rows and their error.
func solubilityValues() []provenance.Value {
	v := []provenance.Value{{Name: "error of the solubility, as a share", Value: solubilityError, Unit: "1", Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement: how far the handbook tables differ"}}}
	for _, r := range solubilityTable {
		v = append(v, provenance.Value{Name: fmt.Sprintf("solubility of soda ash at %g °C", r.celsius), Value: r.grams, Unit: "g/100 g water", Source: *r.source})
	}
	return v
}

// Solubility returns the most anhydrous soda ash that dissolves in 100 g of water at t,
// within 6 %. Between the rows of the table it interpolates by equal ratios; t is
// limited to 0–100 °C.
func Solubility(t unit.Temperature) provenance.Value {
	c := clamp(float64(t), 0, 100)
	g, source := solubilityTable[len(solubilityTable)-1].grams, &solubilitySource
	for n := 1; n < len(solubilityTable); n++ {
		if lo, hi := solubilityTable[n-1], solubilityTable[n]; c <= hi.celsius {
			g = lo.grams * math.Pow(hi.grams/lo.grams, (c-lo.celsius)/(hi.celsius-lo.celsius))
			if source = lo.source; hi.source == &peakSolubilitySource {
				source = &peakSolubilitySource
			}
			break
		}
	}
	return provenance.Value{Name: fmt.Sprintf("solubility of soda ash at %.0f °C", c), Value: g, Unit: "g/100 g water", Low: g * (1 - solubilityError), High: g * (1 + solubilityError), Source: *source}
}

// SolubilityLimit returns the strength of a saturated solution at t, in g/L of anhydrous soda ash,
// within the error of Solubility.
func SolubilityLimit(t unit.Temperature) unit.Concentration {
	return saturatedStrength(Solubility(t).Value, t)
}

// SolubilityLimitRange returns the ends of the range of SolubilityLimit.
func SolubilityLimitRange(t unit.Temperature) (low, high unit.Concentration) {
	s := Solubility(t)
	return saturatedStrength(s.Low, t), saturatedStrength(s.High, t)
}

// IsMoreSolubleWarmer reports whether warmer water than t dissolves more soda ash: below the
// peak of its solubility.
func IsMoreSolubleWarmer(t unit.Temperature) bool { return float64(t) < peakCelsius }

// saturatedStrength returns the strength, in g/L, of a solution of grams in 100 g of water.
func saturatedStrength(grams float64, t unit.Temperature) unit.Concentration {
	share := grams / (100 + grams)
	c := unit.Concentration(1000 * share)
	for range 30 { // the density depends on the concentration
		c = unit.Concentration(1000 * share * Density(c, t))
	}
	return c
}
