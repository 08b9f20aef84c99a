package calc

import (
	"coldbatch/internal/alkali"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/soak"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "bath-check", Order: 12,
	Title:   "Check of a soak",
	Purpose: "What a measured pH says of a soak: how much of the soda ash is spent, and whether it is soda ash at all.",
	Formula: "The pH of the fresh bath is where the charges balance; spent is the acid, per soda ash, that brings it down to the pH measured, with the error of the instrument. All spent is bicarbonate, the same as baking soda.",
	Inputs: []Input{
		{Key: "measured", Label: "Measured pH", Type: Quantity, Kinds: []unit.Kind{unit.KindPH}, Required: true, Example: "11.4", Min: 0, Max: 14},
		{Key: "with", Ask: true, Label: "Measured with", Type: Choice, Words: []Word{{string(soak.Strip), "pH strip (± 0.5)"}, {string(soak.Meter), "pH meter (± 0.1)"}},
			Default: string(soak.Strip), Source: soak.Strip.Error().Source},
		{Key: "concentration", Label: "Strength", Help: "as it was made up", Type: Quantity, Kinds: []unit.Kind{unit.KindConcentration},
			Default: "50 g/L", Min: 1, Max: float64(maxStrength), Source: soak.Strength.Source},
		{Key: "temperature", Label: "Temperature of the bath", Type: Quantity, Kinds: []unit.Kind{unit.KindTemperature},
			Default: "25 °C", Min: 0, Max: 60, Source: fault.CommonPractice},
	},
	Outputs: []Output{
		{Key: "verdict", Label: "How it stands", Words: []Word{
			{string(soak.Fresh), "fresh: use it"},
			{string(soak.Weakening), "weakening: use it soon, or top it up with soda ash"},
			{string(soak.Spent), "spent: make a new one"},
			{string(soak.WrongPowder), "wrong powder: about 8.3 is baking soda; lower is no alkali"},
			{string(soak.TooAlkaline), "too alkaline for soda ash: stop, do not use it"},
			{string(soak.CannotTell), "fresh or weakening, a strip can't tell: use a meter, or a new bath"},
		}, Source: soak.FreshTo.Source},
		{Key: "expected", Label: "pH when fresh", Kind: unit.KindPH, Source: alkali.Sources()[0]},
		{Key: "spent", Label: "Soda ash spent", Kind: unit.KindShare, In: "%", Source: alkali.Sources()[0]},
	},
	Cautions: []fault.Caution{alkali.Eyes, dye.NoVinegar, alkali.Drain},
	Values: []fault.Value{soak.Meter.Error(), soak.Strip.Error(), soak.FreshTo, soak.SpentFrom, soak.BakingSoda,
		soak.Over, soak.Most},
	Sources: alkali.Sources(),
	Sum:     sumCheck,
})

func sumCheck(g *Given) (*Answer, error) {
	c, t := Get[unit.Concentration](g, "concentration"), Get[unit.Temperature](g, "temperature")
	k := soak.Check(c, t, Get[unit.PH](g, "measured"), soak.Instrument(g.Word("with")))
	a := &Answer{}
	a.PutWord("verdict", string(k.Verdict), "")
	off := alkali.PHSpread(c, t)
	PutRange(a, "expected", k.Expected, k.Expected-off, k.Expected+off)
	switch k.Verdict {
	case soak.TooAlkaline:
		a.Caution(alkali.Caustic)
	case soak.WrongPowder:
	default:
		PutRange(a, "spent", k.Spent, k.Low, k.High)
	}
	return a, nil
}
