package alkali

import (
	"fmt"
	"math"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// handbook is the source of the solubilities. Two reproductions of handbook
// tables were read and agree within 5 %.
var handbook = fault.Source{Kind: fault.Published, Text: "handbook table of the solubility of sodium carbonate in water, read in an encyclopaedia's reproduction; the CRC Handbook of Chemistry and Physics agrees within 5 %, from memory"}

// solubility is in g anhydrous per 100 g water; below 32.0 °C over the
// decahydrate, above 35.4 °C (where it peaks) over the monohydrate.
var solubility = []struct{ celsius, grams float64 }{
	{0, 7.0}, {10, 12.2}, {20, 21.8}, {25, 29.4}, {30, 39.7}, {35.4, 49.7},
	{40, 48.8}, {50, 47.3}, {60, 46.4}, {80, 45.1}, {100, 44.7},
}

// Solubility gives the most anhydrous soda ash that 100 g of water hold at t,
// within 5 %, between the rows of the table by equal ratios. t is held to
// 0–100 °C.
func Solubility(t unit.Temperature) fault.Value {
	c := within(float64(t), 0, 100)
	g := solubility[len(solubility)-1].grams
	for n := 1; n < len(solubility); n++ {
		if lo, hi := solubility[n-1], solubility[n]; c <= hi.celsius {
			g = lo.grams * math.Pow(hi.grams/lo.grams, (c-lo.celsius)/(hi.celsius-lo.celsius))
			break
		}
	}
	return fault.Value{Name: fmt.Sprintf("solubility of soda ash at %.0f °C", c), Value: g, Unit: "g/100 g water", Low: g * 0.95, High: g * 1.05, Source: handbook}
}

// Limit gives the strongest solution that t allows, in g/L of anhydrous soda
// ash. It can be off by 6 %: the table by 5 %, the density by 1 %.
func Limit(t unit.Temperature) unit.Concentration {
	share := Solubility(t).Value
	share /= 100 + share
	c := unit.Concentration(1000 * share)
	for range 30 { // the density depends on the concentration
		c = unit.Concentration(1000 * share * Density(c, t))
	}
	return c
}
