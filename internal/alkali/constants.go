package alkali

import (
	"math"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// kelvin is the absolute temperature of t, held to 0–100 °C where the
// equations below stay sane.
func kelvin(t unit.Temperature) float64 { return within(float64(t), 0, 100) + 273.15 }

// plummer is the source of the constants of carbonic acid and water.
var plummer = fault.Source{Kind: fault.Published, Text: "L. N. Plummer and E. Busenberg, Geochim. Cosmochim. Acta 46 (1982) 1011–1040: constants of carbonic acid by temperature, as in the database phreeqc.dat of USGS PHREEQC 3"}

// The dissociation constants at zero ionic strength as log10, after Plummer
// and Busenberg 1982. K2 and Kw are as read in phreeqc.dat; the coefficients
// of K1 are from memory of the paper and agree with the sum that the database
// holds. At 25 °C pK1 is 6.352, pK2 10.329 and pKw 13.995. Only K1 is from
// memory, and above pH 9 it does not matter.

func logK1(t unit.Temperature) float64 {
	k := kelvin(t)
	return -356.3094 - 0.06091964*k + 21834.37/k + 126.8339*math.Log10(k) - 1684915/(k*k)
}

func logK2(t unit.Temperature) float64 {
	k := kelvin(t)
	return -107.8871 - 0.03252849*k + 5151.79/k + 38.92561*math.Log10(k) - 563713.9/(k*k)
}

func logKw(t unit.Temperature) float64 {
	k := kelvin(t)
	return 293.29227 + 0.1360833*k - 10576.913/k - 123.73158*math.Log10(k) - 6.996455e-5*k*k
}

// OHActivity gives the activity of hydroxide (mol/kg) at a pH and a
// temperature: what drives fixation and hydrolysis alike. It is 10 to the power
// of pH − pKw; t is held to 0–100 °C and pH to 0–15.
func OHActivity(ph unit.PH, t unit.Temperature) float64 {
	return math.Pow(10, within(float64(ph), 0, 15)+logKw(t))
}
