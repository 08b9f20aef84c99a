package calc

import (
	"coldbatch/internal/alkali"
	"coldbatch/internal/dye"
	"coldbatch/internal/provenance"
	"coldbatch/internal/soak"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "bath-check", Order: 12,
	Title:   "Check of a soak",
	Purpose: "What a measured pH says about a soak: how much of the soda ash is spent, and whether it is soda ash at all.",
	Formula: "The pH of the fresh bath is where the charges balance. The spent share is the acid, per soda ash, that would bring it down to the measured pH; its range covers the error of the instrument and of the fresh pH. A fully spent bath is the same as baking soda. pH does not show dilution.",
	Inputs: []Input{
		{Key: "measured", Label: "Measured pH", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindPH}, Required: true, Example: "11.4", Min: 0, Max: 14},
		{Key: "with", ShowInForm: true, Label: "Measured with", Type: TypeChoice, Words: []Word{{string(soak.Strip), "pH strip (± 0.5)"}, {string(soak.Meter), "pH meter (± 0.1)"}},
			Default: string(soak.Strip), Source: soak.Strip.ReadingError().Source},
		{Key: "concentration", Label: "Strength", Help: "as you made it up", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindConcentration},
			Default: "50 g/L", Min: 1, Max: float64(maxStrength), Source: soak.UsualStrength.Source},
		{Key: "temperature", Label: "Temperature of the bath", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindTemperature},
			Default: "25 °C", Min: 0, Max: 60, Source: provenance.StartValueSource},
	},
	Outputs: []Output{
		{Key: "verdict", Label: "State of the bath", Words: []Word{
			{string(soak.VerdictFresh), "fresh: use it"},
			{string(soak.VerdictWeakening), "weakening: use it soon, or top it up with soda ash"},
			{string(soak.VerdictSpent), "spent: make a new one"},
			{string(soak.VerdictWrongPowder), "wrong powder: about 8.3 is baking soda; lower is not an alkali"},
			{string(soak.VerdictTooAlkaline), "too alkaline for soda ash: stop, do not use it"},
			{string(soak.VerdictCannotTell), "fresh or weakening, a strip can't tell: use a meter, or a new bath"},
		}, Source: soak.MaxFreshSpentShare.Source},
		{Key: "expected", Label: "pH when fresh", Kind: unit.KindPH, Source: activitySource},
		{Key: "spent", Label: "Soda ash spent", Kind: unit.KindShare, ValueUnit: "%", Source: activitySource},
	},
	Cautions: []provenance.Caution{alkali.EyesCaution, dye.NoVinegarCaution, alkali.DrainCaution},
	Values: append([]provenance.Value{soak.Meter.ReadingError(), soak.Strip.ReadingError(), soak.MaxFreshSpentShare, soak.MinSpentShare, soak.BakingSodaPH,
		soak.CausticMargin, soak.MaxPH}, alkali.Values()...),
	Sources:   alkali.Sources(),
	Calculate: calculateCheck,
})

func calculateCheck(g *InputValues) (*Answer, error) {
	c, t := Get[unit.Concentration](g, "concentration"), Get[unit.Temperature](g, "temperature")
	k := soak.Check(c, t, Get[unit.PH](g, "measured"), soak.Instrument(g.Word("with")))
	a := &Answer{}
	a.PutWord("verdict", string(k.Verdict), "")
	how, limit := soak.CheckSolubility(c, t)
	if how == soak.DissolvesNot {
		a.AddNote("at this temperature water cannot hold that much: the check assumes %s, and the rest stays at the bottom", unit.Show(unit.KindConcentration, float64(limit), g.Style))
	}
	if k.Extrapolated {
		a.AddNote("the pH when fresh is extrapolated, as it is checked only at 5–100 g/L and 5–45 °C; so this verdict is less certain")
	}
	off := alkali.PHSpread(min(c, limit), t)
	PutRange(a, "expected", k.Expected, k.Expected-off, k.Expected+off)
	switch {
	case k.Verdict == soak.VerdictTooAlkaline:
		a.AddCaution(alkali.CausticCaution)
	case k.Verdict == soak.VerdictWrongPowder:
	case k.MaybeCaustic:
		a.SetText("verdict", "can't tell: more alkaline than expected, but that is extrapolated; do not use it until you have read on the jar that it is soda ash")
	default:
		PutRange(a, "spent", k.Spent, k.Low, k.High)
	}
	if k.Verdict == soak.VerdictFresh || k.Verdict == soak.VerdictCannotTell && !k.MaybeCaustic {
		thin := min(c, limit) * 2 / 5
		still, _ := alkali.PH(thin, t, 0)
		a.AddNote("pH does not show dilution: a bath thinned to %s still reads %s", unit.Show(unit.KindConcentration, float64(thin), g.Style), unit.Show(unit.KindPH, float64(still), g.Style))
	}
	return a, nil
}
