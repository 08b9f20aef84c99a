package calc

import (
	"fmt"

	"coldbatch/internal/dilution"
	"coldbatch/internal/dye"
	"coldbatch/internal/liquor"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// maxSteps is the most jugs of a gradation (judgement: the eye cannot tell more apart).
const maxSteps = 12

var _ = register(Entry{
	Name: "steps", Order: 23,
	Title:   "Gradation",
	Purpose: "One colour in several strengths, by halves or any other ratio: each jug made from the one before, with the error that adds up.",
	Formula: "Each jug is as strong as the one before times the ratio. A jug holds what you want of it and what the next one takes. Errors add up: the scale, one step; each reading of a volume, half a step.",
	Inputs: []Input{
		{Key: "strength", Label: "Strongest", Help: "g/L, or % on the weight of the dry cloth", Type: TypeQuantity, Kinds: strengthKinds, Required: true, Example: "40 g/L", Min: 0.01, Max: 500,
			Presets: []string{"25 g/L", "40 g/L", "75 g/L"}},
		{Key: "count", Label: "Strengths", Help: "how many, counting the strongest", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindCount}, Required: true, Example: "4", Min: 2, Max: maxSteps, Presets: []string{"3", "4", "5"}},
		{Key: "volume", Label: "Volume of each", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindVolume}, Required: true, Example: "240 mL", Min: 1, Max: 1e5, Presets: []string{"60 mL", "120 mL", "240 mL", "1 L"}},
		{Key: "ratio", ShowInForm: true, Label: "Ratio", Help: "each strength ÷ the one before", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindShare}, Default: "50 %", Min: 0.05, Max: 0.95,
			Presets: []string{"50 %", "67 %", "75 %"}, Source: provenance.CommonPracticeSource},
		{Key: "last", Label: "Weakest", Help: "instead of a ratio", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindConcentration}, Example: "5 g/L", Min: 0.001, Max: 500},
		{Key: "step", Label: "Smallest step of the jug", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindVolume}, Default: "5 mL", Min: 0.01, Max: 1000,
			Presets: []string{"1 mL", "5 mL", "10 mL"}, Source: provenance.StartValueSource},
		{Key: "scale", Label: "Smallest step of the scale", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindMass}, Default: "0.1 g", Min: 0.001, Max: 100,
			Presets: []string{"0.01 g", "0.1 g", "1 g"}, Source: provenance.StartValueSource},
		pickUpInput(),
	},
	Outputs: []Output{
		{Key: "powder", Label: "Powder for the first jug", Help: "for all of them", Kind: unit.KindMass, Source: dilution.MassBalanceSource},
		{Key: "first", Label: "Make the first jug up to", Kind: unit.KindVolume, Source: dilution.MassBalanceSource},
		{Key: "jug", Label: "Strength of a jug", Help: "one for each; with the errors so far", Kind: unit.KindConcentration, IsList: true, Source: dilution.MassBalanceSource},
		{Key: "off", Label: "The last is off by at most", Kind: unit.KindShare, ValueUnit: "%", Source: dilution.ReadingError.Source},
		{Key: "direct", Label: "The last is off by at most, if each is measured from the first jug", Help: "each from the first instead of the one before", Kind: unit.KindShare, ValueUnit: "%", Source: dilution.ReadingError.Source},
	},
	Cautions:  []provenance.Caution{dye.DustCaution, dye.NoPowderBackCaution, dye.NotFoodCaution, dye.NoVinegarCaution},
	Values:    []provenance.Value{dilution.ReadingError, dye.MaxGoodError, dye.MaxUsefulStrength, liquor.UreaAboveStrength},
	Calculate: calculateSteps,
})

func calculateSteps(g *InputValues) (*Answer, error) {
	a := &Answer{}
	s := dilution.Series{Ratio: float64(Get[unit.Share](g, "ratio")), JugCount: int(Get[unit.Count](g, "count")),
		JugVolume: Get[unit.Volume](g, "volume"), SyringeStep: Get[unit.Volume](g, "step"), ScaleStep: Get[unit.Mass](g, "scale")}
	first, err := readStrength(g, a, "strength", s.JugVolume)
	if err != nil {
		return nil, err
	}
	s.FirstStrength = first
	if g.Has("last") {
		last := Get[unit.Concentration](g, "last")
		if g.IsTyped("ratio") {
			return nil, g.Refuse("last", "ratio %q and last %q contradict each other", g.Text("ratio"), g.Text("last")).WithHint("use only one of them")
		}
		if last >= first {
			return nil, g.Refuse("last", "%q is not weaker than %q", g.Text("last"), g.Text("strength"))
		}
		s.Ratio = dilution.RatioBetween(first, last, s.JugCount)
		delete(g.values, "ratio") // the default was not used, so the result must not show it
	}
	jugs := s.Jugs()
	show := func(v unit.Volume) string { return unit.Show(unit.KindVolume, float64(v), g.Style) }
	if unit.Round(unit.KindMass, float64(s.Powder())) == 0 {
		return nil, g.Refuse("volume", "%q of %q needs less powder than can be shown", g.Text("volume"), g.Text("strength")).WithHint("a larger volume, or a stronger first jug")
	}
	last := jugs[len(jugs)-1]
	if unit.Round(unit.KindConcentration, float64(last.Strength)) == 0 || float64(last.Error) > 1 {
		return nil, g.Refuse("count", "jug %d would be too weak, or too little to measure in steps of %s", len(jugs), g.Text("step")).
			WithHint("fewer strengths, a larger volume, or a jug with finer steps")
	}
	Put(a, "powder", s.Powder())
	Put(a, "first", jugs[0].MadeUp)
	for i, j := range jugs {
		name := fmt.Sprintf("jug %d", i+1)
		c := float64(j.Strength)
		PutItem(a, "jug", name, c, c*(1-float64(j.Error)), c*(1+float64(j.Error)))
		how := "powder made up to " + show(j.MadeUp)
		if i > 0 {
			how = fmt.Sprintf("%s of jug %d made up to %s", show(j.TakenBefore), i, show(j.MadeUp))
		}
		a.SetText(name, "%s: %s", unit.Show(unit.KindConcentration, c, g.Style), how)
	}
	Put(a, "off", last.Error)
	Put(a, "direct", s.ErrorFromFirstJug())
	if e := dye.ScaleError(s.Powder(), s.ScaleStep); float64(e) > dye.MaxGoodError.Value {
		a.AddNote("the scale alone may put all of them off by %s: make more, or weigh on a finer scale", unit.ShowError(e, g.Style))
	}
	if s.ErrorFromFirstJug() < last.Error {
		a.AddNote("here it is better to measure each jug from the first one")
	}
	a.AddNote("stir each jug well before you take from it; half as much dye looks more than half as deep")
	noteStrength(a, first, g.Style)
	return a, nil
}
