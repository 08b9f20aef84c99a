package alkali

import (
	"fmt"
	"math"

	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// kelvin is the absolute temperature of t, limited to 0–100 °C, the range of the
// equations below.
func kelvin(t unit.Temperature) float64 { return clamp(float64(t), 0, 100) + zeroCelsius }

// zeroCelsius is 0 °C in kelvin: BIPM, SI Brochure, 9th edition, 2019, from memory.
const zeroCelsius = 273.15

// referenceTemperature is the temperature at which the reference page shows the value of an
// equation.
const referenceTemperature unit.Temperature = 25

// phreeqcSource is the source of the ion product of water. It is a fit by the authors of the
// database, who cite no paper for it.
var phreeqcSource = provenance.Source{Reliability: provenance.Published, Text: "D. L. Parkhurst and C. A. J. Appelo, USGS Techniques and Methods 6-A43 (2013), PHREEQC 3, database phreeqc.dat: ion product of water by temperature, a fit of its makers"}

// plummerBusenbergSource is the source of the constants of carbonic acid.
var plummerBusenbergSource = provenance.Source{Reliability: provenance.Published, Text: "L. N. Plummer and E. Busenberg, Geochim. Cosmochim. Acta 46 (1982) 1011–1040: constants of carbonic acid by temperature, read in the copy that the database phreeqc.dat of USGS PHREEQC 3 holds"}

// temperatureFit is the logarithm to 10 of a constant by the absolute temperature T, as the
// factors of 1, T, 1/T, log T, 1/T² and T².
type temperatureFit [6]float64

func (l temperatureFit) valueAt(t unit.Temperature) float64 {
	k := kelvin(t)
	return l[0] + l[1]*k + l[2]/k + l[3]*math.Log10(k) + l[4]/(k*k) + l[5]*k*k
}

// sourcedValue returns the fit as a constant, with its value at room temperature.
func (l temperatureFit) sourcedValue(name string, source provenance.Source) provenance.Value {
	name += " at 25 °C, the negative of"
	for i, term := range []string{"", " T", "/T", " log T", "/T²", " T²"} {
		if l[i] != 0 {
			name += fmt.Sprintf(" %+.8g%s", l[i], term)
		}
	}
	return provenance.Value{Name: name, Value: -l.valueAt(referenceTemperature), Unit: "1", Source: source}
}

// The dissociation constants at zero ionic strength: K1 and K2 after Plummer and
// Busenberg 1982. K2 and Kw are as read in phreeqc.dat; the factors of K1 are from memory
// of the paper and agree with the sum that the database holds. At 25 °C pK1 is
// 6.352, pK2 10.329 and pKw 13.995. Only K1 is from memory, and above pH 9 it
// does not matter.
var (
	logK1 = temperatureFit{-356.3094, -0.06091964, 21834.37, 126.8339, -1684915, 0}
	logK2 = temperatureFit{-107.8871, -0.03252849, 5151.79, 38.92561, -563713.9, 0}
	logKw = temperatureFit{293.29227, 0.1360833, -10576.913, -123.73158, 0, -6.996455e-5}
)

// IonProduct is pKw, which OHActivity uses.
var IonProduct = logKw.sourcedValue("pKw of water", phreeqcSource)

// equilibriumValues lists the constants of this file.
func equilibriumValues() []provenance.Value {
	memory := provenance.Source{Reliability: provenance.Memory, Text: "L. N. Plummer and E. Busenberg, Geochim. Cosmochim. Acta 46 (1982) 1011–1040"}
	return []provenance.Value{logK1.sourcedValue("pK1 of carbonic acid", memory), logK2.sourcedValue("pK2 of carbonic acid", plummerBusenbergSource), IonProduct,
		{Name: "0 °C in kelvin", Value: zeroCelsius, Unit: "K", Source: provenance.Source{Reliability: provenance.Memory, Text: "BIPM, SI Brochure, 9th edition, 2019"}}}
}

// OHActivity returns the activity of hydroxide (mol/kg) at a pH and a temperature;
// fixation and hydrolysis are both proportional to it. It is 10 to the power of
// pH − pKw; t is limited to 0–100 °C and pH to 0–15.
func OHActivity(ph unit.PH, t unit.Temperature) float64 {
	return math.Pow(10, clamp(float64(ph), 0, 15)+logKw.valueAt(t))
}
