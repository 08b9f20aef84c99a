package calc

import (
	"math"
	"strings"

	"coldbatch/internal/alkali"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// unitsSource is the source of the factors.
var unitsSource = provenance.Source{Reliability: provenance.Published, Text: "NIST Handbook 44, Appendix C, and NIST SP 811, Appendix B: exact factors"}

// hardnessDegreesSource is the source of the factors of the degrees of hardness.
var hardnessDegreesSource = provenance.Source{Reliability: provenance.Memory, Text: "the customs of each country: what a degree of hardness stands for; molar masses from IUPAC, Standard atomic weights of the elements 2021"}

// isInDegrees reports whether a hardness is written in degrees. Hardness by weight in water
// or in grains has exact factors.
func isInDegrees(written string) bool {
	written = strings.ToLower(written)
	for _, exact := range []string{"ppm", "mg", "g/", "gpg", "grain"} {
		if strings.Contains(written, exact) {
			return false
		}
	}
	return true
}

// convertibleKinds are the kinds that convert reads. A unit that belongs to several is read as
// the first: mg/L is a strength before it is a hardness.
var convertibleKinds = []unit.Kind{unit.KindMass, unit.KindVolume, unit.KindTemperature, unit.KindConcentration, unit.KindDuration,
	unit.KindArea, unit.KindAreaDensity, unit.KindSpecificVolume, unit.KindFlow, unit.KindHardness}

var _ = register(Entry{
	Name: "convert", Order: 95,
	Title:   "Units",
	Purpose: "A quantity in another unit; soda ash also between weight and spoons.",
	Formula: "Factors are exact; those of degrees of hardness are from memory. A powder by the spoon has the range of its bulk densities: weigh it.",
	Inputs: []Input{
		{Key: "quantity", Label: "Quantity", Type: TypeQuantity, Kinds: convertibleKinds, Required: true, Example: "5 g per 200 mL"},
		{Key: "to", Label: "Unit", Help: "as you would write it after a number", Type: TypeText, Required: true, Example: "g/L",
			Presets: []string{"g", "oz", "mL", "fl oz", "cups", "°C", "°F", "g/L"}},
		{Key: "of", ShowInForm: true, Label: "Powder", Help: "to turn spoons into weight, or weight into spoons", Type: TypeChoice, Example: "soda-ash",
			Words: []Word{{"soda-ash", "soda ash, any"}, {"light-ash", "light soda ash"}, {"dense-ash", "dense soda ash"}, {"dye", "dye powder"}}},
	},
	Outputs:   []Output{{Key: "value", Label: "That is", Kind: unit.KindNumber, Source: unitsSource}},
	Cautions:  []provenance.Caution{dye.NotFoodCaution},
	Values:    append(unit.HardnessValues(), alkali.LightGrade.BulkDensity(), alkali.DenseGrade.BulkDensity(), alkali.AnyGrade.BulkDensity()),
	Calculate: calculateConvert,
})

func calculateConvert(g *InputValues) (*Answer, error) {
	a := &Answer{}
	typed, to := g.Text("quantity"), g.Text("to")
	for _, k := range convertibleKinds {
		if v, err := unit.Parse(k, typed); err == nil {
			if x, err := unit.ConvertTo(k, v, to); err == nil {
				if math.Abs(x) >= 1e12 {
					return nil, g.Refuse("to", "%q in %s has too many digits to be shown", typed, to).WithHint("a larger unit")
				}
				a.PutIn("value", to, x, x, x)
				a.SetText("value", "%s %s", unit.ShowExact(significant(x), g.Style), to)
				if k == unit.KindHardness && (isInDegrees(typed) || isInDegrees(to)) {
					a.SetSource("value", hardnessDegreesSource)
				}
				return a, nil
			}
		}
	}
	k, other := g.Kind("quantity"), unit.KindMass
	if k == unit.KindMass {
		other = unit.KindVolume
	}
	if _, err := unit.ConvertTo(other, 1, to); err != nil || k != unit.KindMass && k != unit.KindVolume {
		_, err := unit.ConvertTo(k, 1, to)
		return nil, fault.AsFault(err).At("to", to)
	}
	return a, convertBySpoon(g, a, k, other)
}

// convertBySpoon converts a volume of powder to a mass, or a mass to a volume, by the bulk
// density of the powder. A missing or unknown powder is a fault.
func convertBySpoon(g *InputValues, a *Answer, from, other unit.Kind) error {
	to := g.Text("to")
	grade, ok := map[string]alkali.PowderGrade{"soda-ash": alkali.AnyGrade, "light-ash": alkali.LightGrade, "dense-ash": alkali.DenseGrade}[g.Word("of")]
	switch {
	case !g.Has("of"):
		return g.Missing("of", "%q in %s depends on the powder", g.Text("quantity"), to)
	case !ok:
		return g.Refuse("of", "no table says what a spoon of dye powder weighs, because each powder packs differently").
			WithHint("weigh it; or weigh ten level spoonfuls, wearing a dust mask, and divide by ten")
	}
	var v [3]float64
	if from == unit.KindVolume {
		m, low, high := grade.MassOf(Get[unit.Volume](g, "quantity"))
		v = [3]float64{float64(m), float64(low), float64(high)}
	} else {
		m, low, high := grade.VolumeOf(Get[unit.Mass](g, "quantity"))
		v = [3]float64{float64(m), float64(low), float64(high)}
	}
	for i := range v {
		x, err := unit.ConvertTo(other, v[i], to)
		if err != nil {
			return fault.AsFault(err).At("to", to)
		}
		v[i] = x
	}
	a.PutIn("value", to, v[0], v[1], v[2])
	a.SetSource("value", grade.BulkDensity().Source)
	about := func(x float64) string { return unit.ShowExact(roundDigits(x, 3), g.Style) }
	a.SetText("value", "about %s %s (%s–%s)", about(v[0]), to, about(v[1]), about(v[2]))
	a.AddNote("soda ash by the cup or spoon is a guess: weigh it")
	a.AddCaution(alkali.EyesCaution)
	return nil
}
