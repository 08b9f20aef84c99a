package unit

import (
	"strings"

	"coldbatch/internal/provenance"
)

// namedUnit is a unit as people write it.
type namedUnit struct {
	kind  Kind
	size  float64 // base units in one
	names string  // spellings in lower case, separated by commas; each may have a plural s
}

// US customary sizes: NIST Handbook 44, Appendix C (general tables of units of
// measurement), all exact: 1 gallon is 231 cubic inches, 1 pound is
// 453.59237 g, 1 yard is 0.9144 m. The cup is the US customary cup of 8 fluid
// ounces; not the 240 mL of a nutrition label (21 CFR 101.9), not a metric cup.
const (
	ounce      = 28.349523125
	pound      = 453.59237
	teaspoon   = 4.92892159375
	tablespoon = 14.78676478125
	fluidOunce = 29.5735295625
	cup        = 236.5882365
	pint       = 473.176473
	quart      = 946.352946
	gallon     = 3785.411784
	squareInch = 0.00064516
	squareFoot = 0.09290304
	squareYard = 0.83612736
)

// Degrees of hardness in mg/L as CaCO3. A grain is 64.79891 mg (NIST Handbook
// 44, Appendix C) and an imperial gallon 4.54609 L, exact. A German degree is
// 10 mg/L of CaO and a French one 10 mg/L of CaCO3 (from memory of the customs),
// with the IUPAC atomic weights: CaCO3 100.087, CaO 56.077.
const (
	grain             = 0.06479891 // g
	grainPerGallon    = grain * 1e6 / gallon
	clarkDegree       = grain * 1e6 / 4546.09
	germanDegree      = 10 * 100.087 / 56.077
	frenchDegree      = 10
	chalkPerMillimole = 100.087 // mg of CaCO3 in a millimole
)

// HardnessValues lists the degrees of water hardness, each as the mg/L of CaCO3 that one
// degree stands for.
func HardnessValues() []provenance.Value {
	custom := provenance.Source{Reliability: provenance.Memory, Text: "the customs of each country: what a degree of hardness stands for; molar masses from IUPAC, Standard atomic weights of the elements 2021"}
	return []provenance.Value{
		{Name: "a grain a US gallon", Value: grainPerGallon, Unit: "mg/L", Source: provenance.Source{Reliability: provenance.Published, Text: "NIST Handbook 44, Appendix C: grain and gallon, exact"}},
		{Name: "a degree Clark, a grain an imperial gallon", Value: clarkDegree, Unit: "mg/L", Source: custom},
		{Name: "a German degree, 10 mg/L of CaO", Value: germanDegree, Unit: "mg/L", Source: custom},
		{Name: "a French degree", Value: frenchDegree, Unit: "mg/L", Source: custom},
		{Name: "a millimole per litre of CaCO3", Value: chalkPerMillimole, Unit: "mg/L", Source: custom},
	}
}

var namedUnits = []namedUnit{
	{KindMass, 0.001, "mg,milligram,milligramme"},
	{KindMass, 1, "g,gm,gram,gramme"},
	{KindMass, 1000, "kg,kilo,kilogram,kilogramme"},
	{KindMass, grain, "grain"},
	{KindMass, ounce, "oz,ounce"},
	{KindMass, pound, "lb,pound"},

	{KindVolume, 0.001, "µl,ul,microlitre,microliter"},
	{KindVolume, 1, "ml,cc,cm3,millilitre,milliliter"},
	{KindVolume, 10, "cl,centilitre,centiliter"},
	{KindVolume, 100, "dl,decilitre,deciliter"},
	{KindVolume, 1000, "l,litre,liter,dm3"},
	{KindVolume, 1e6, "m3,cubic metre,cubic meter"},
	{KindVolume, teaspoon, "tsp,teaspoon"},
	{KindVolume, tablespoon, "tbsp,tablespoon"},
	{KindVolume, fluidOunce, "fl oz,floz,fluid ounce,fluid oz,us fl oz"},
	{KindVolume, cup, "cup,us cup"},
	{KindVolume, pint, "pt,pint,us pint"},
	{KindVolume, quart, "qt,quart,us quart"},
	{KindVolume, gallon, "gal,gallon,us gal,us gallon"},

	{KindTemperature, 1, "°c,c,deg c,degree c,degree celsius,deg celsius,celsius,°celsius"},
	{KindTemperature, 5. / 9, "°f,f,deg f,degree f,degree fahrenheit,deg fahrenheit,fahrenheit,°fahrenheit"},
	{KindTemperatureDifference, 1, "k,kelvin,°c,c,deg c,degree c,degree celsius,deg celsius,celsius,°celsius"},
	{KindTemperatureDifference, 5. / 9, "°f,f,deg f,degree f,degree fahrenheit,deg fahrenheit,fahrenheit,°fahrenheit"},

	{KindDuration, 1, "s,sec,second"},
	{KindDuration, 60, "min,m,minute"},
	{KindDuration, 3600, "h,hr,hour"},
	{KindDuration, 86400, "d,day"},
	{KindDuration, 604800, "wk,week"},

	{KindShare, 0.01, "%,percent,per cent,pct"},
	{KindCount, 1, "piece,pc"},

	{KindArea, 1e-4, "cm2,sq cm,square centimetre,square centimeter"},
	{KindArea, 1, "m2,sq m,square metre,square meter"},
	{KindArea, squareInch, "in2,sq in,square inch,square inches"},
	{KindArea, squareFoot, "ft2,sq ft,square foot,square feet"},
	{KindArea, squareYard, "yd2,sq yd,square yard"},

	{KindAreaDensity, 1, "gsm"},

	{KindHardness, 1, "ppm"},
	{KindHardness, grainPerGallon, "gpg,grain"},
	{KindHardness, germanDegree, "°dh,dh,german degree,degree german"},
	{KindHardness, frenchDegree, "°f,°fh,french degree,degree french"},
	{KindHardness, clarkDegree, "°clark,clark,english degree,degree clark"},
}

// ambiguousSpellings maps spellings with two meanings to what to write instead.
var ambiguousSpellings = map[string]string{
	"T":       "T may mean a tablespoon or a tonne; write tbsp",
	"t":       "t may mean a teaspoon or a tonne; write tsp",
	"c":       "c may mean a cup or °C; write cup",
	"gr":      "gr may mean a gram or a grain; write g",
	"ton":     "there are several tons; write kg or lb",
	"tonne":   "write kg",
	"m":       "m could be a minute or a metre",
	"imp":     "imperial measures are not read; write mL or L",
	"°":       "it could be °C or °F",
	"deg":     "it could be °C or °F",
	"degree":  "it could be °C or °F",
	"degrees": "it could be °C or °F",
}

// unitsByName maps each spelling to the units that it can mean.
var unitsByName = func() map[string][]namedUnit {
	m := make(map[string][]namedUnit)
	for _, u := range namedUnits {
		for _, name := range strings.Split(u.names, ",") {
			m[name] = append(m[name], u)
		}
	}
	return m
}()

// findMeasures returns the measures spelled name, in the singular or plural.
func findMeasures(name string) []namedUnit {
	name = strings.ToLower(name)
	if m := unitsByName[name]; m != nil {
		return m
	}
	if len(name) > 2 && strings.HasPrefix(name, "degrees ") {
		return unitsByName["degree "+strings.TrimPrefix(name, "degrees ")]
	}
	if len(name) > 2 && strings.HasSuffix(name, "s") {
		return unitsByName[strings.TrimSuffix(name, "s")]
	}
	return nil
}
