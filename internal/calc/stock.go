package calc

import (
	"fmt"
	"math"

	"coldbatch/internal/cure"
	"coldbatch/internal/dilution"
	"coldbatch/internal/dye"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

const (
	stockMeasure      = "measure"
	stockWeaker       = "weaker-stock"
	stockFinerSyringe = "finer-syringe"
)

var _ = register(Entry{
	Name: "stock", Order: 21,
	Title:   "Dye from a stock solution",
	Purpose: "How much of a stock solution to measure for a jug or bottle, how far that may be off, and how long the stock keeps.",
	Formula: "Stock is strength × volume ÷ strength of the stock, on the nearest step of the syringe. The error is that of a reading, half a step, and that of the scale that weighed the stock, one step.",
	Inputs: []Input{
		{Key: "stock", Label: "Strength of the stock", Help: "grams per finished volume; a 1 % stock is 1 g per 100 mL", Type: TypeQuantity, Kinds: strengthKinds, Required: true,
			Example: "5 g per 200 mL", Min: 0.01, Max: 500, Presets: []string{"5 g per 200 mL", "10 g/L", "50 g/L"}},
		{Key: "strength", Label: "Strength you want", Help: "g/L, or % on the weight of the dry cloth", Type: TypeQuantity, Kinds: strengthKinds, Required: true,
			Example: "2.5 g/L", Min: 0.001, Max: 500, Presets: []string{"1 g/L", "2.5 g/L", "5 g/L"}},
		{Key: "volume", Label: "Volume you want", Help: "made up to, dye and water", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindVolume}, Required: true,
			Example: "250 mL", Min: 1, Max: 1e6, Presets: []string{"60 mL", "120 mL", "250 mL", "1 L"}},
		{Key: "step", ShowInForm: true, Label: "Smallest step of the syringe", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindVolume}, Default: "1 mL", Min: 0.01, Max: 1000,
			Presets: []string{"0.1 mL", "0.5 mL", "1 mL", "5 mL"}, Source: provenance.StartValueSource},
		{Key: "stock_volume", Label: "Volume of the stock", Help: "made up to", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindVolume}, Default: "200 mL", Min: 1, Max: 1e6,
			Presets: []string{"100 mL", "200 mL", "500 mL"}, Source: provenance.StartValueSource},
		{Key: "scale", Label: "Smallest step of the scale", Help: "that weighed the stock", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindMass}, Default: "0.1 g", Min: 0.001, Max: 100,
			Presets: []string{"0.01 g", "0.1 g", "1 g"}, Source: provenance.StartValueSource},
		{Key: "kept_at", Label: "Where you keep the stock", Help: "colder keeps it longer", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindTemperature}, Default: "21 °C", Min: 2, Max: 40,
			Presets: []string{"4 °C", "15 °C", "21 °C"}, Source: provenance.StartValueSource},
		pickUpInput(), clothInput(),
	},
	Outputs: []Output{
		{Key: "take", Label: "Take of the stock", Help: "then make up to the volume with water", Kind: unit.KindVolume, Source: dilution.MassBalanceSource},
		{Key: "water", Label: "Water", Help: "about; the line on the jug decides", Kind: unit.KindVolume, Source: dilution.MassBalanceSource},
		{Key: "made", Label: "Strength that gives", Help: "with the errors of syringe and scale", Kind: unit.KindConcentration, Source: dilution.ReadingError.Source},
		{Key: "off", Label: "Off by at most", Kind: unit.KindShare, ValueUnit: "%", Source: dilution.ReadingError.Source},
		{Key: "powder", Label: "Powder in the stock", Kind: unit.KindMass, Source: proportionSource},
		{Key: "keeps", Label: "The stock keeps", Help: "without soda ash", Kind: unit.KindDuration, ValueUnit: "h", Source: cure.WithoutSodaUseWithin.Source},
		{Key: "advice", Label: "What to do", Words: []Word{
			{stockMeasure, "measure it"}, {stockWeaker, "make a weaker stock first"}, {stockFinerSyringe, "use a finer syringe, or make more"},
		}, Source: dye.MaxGoodError.Source},
	},
	Cautions:  []provenance.Caution{dye.DustCaution, dye.NoPowderBackCaution, dye.NotFoodCaution, dye.NoVinegarCaution},
	Values:    []provenance.Value{dilution.ReadingError, dye.MaxGoodError, cure.WithoutSodaGoodFor, cure.WithoutSodaUseWithin, cure.WithoutSodaDiscardAt, cure.KeepingActivationEnergy},
	Calculate: calculateStock,
})

func calculateStock(g *InputValues) (*Answer, error) {
	a := &Answer{}
	v, step := Get[unit.Volume](g, "volume"), Get[unit.Volume](g, "step")
	s := dilution.StockSolution{Strength: Get[unit.Concentration](g, "stock"), Volume: Get[unit.Volume](g, "stock_volume"), ScaleStep: Get[unit.Mass](g, "scale")}
	if g.Kind("stock") == unit.KindShare {
		if err := checkDepth(g, "stock", g.Text("stock"), Get[unit.Share](g, "stock")); err != nil {
			return nil, err
		}
		s.Strength *= 1000 // a share of a litre, in grams
		a.AddNote("a stock of %s is taken as %s", g.Text("stock"), unit.Show(unit.KindConcentration, float64(s.Strength), g.Style))
	}
	wanted, err := readStrength(g, a, "strength", v)
	if err != nil {
		return nil, err
	}
	exact := s.StockVolume(wanted, v)
	if float64(exact) > float64(v)*(1+1e-9) {
		return nil, g.Refuse("strength", "a stock of %s cannot give %s", g.Text("stock"), unit.Show(unit.KindConcentration, float64(wanted), g.Style)).
			WithHint("a stronger stock, or %s and less", unit.Show(unit.KindConcentration, float64(s.Strength), g.Style))
	}
	if float64(v) < float64(step)*(1-1e-9) {
		return nil, g.Refuse("step", "a syringe in steps of %s cannot measure into %s", g.Text("step"), g.Text("volume")).WithHint("a finer syringe")
	}
	take := min(dilution.RoundToStep(exact, step), v)
	Put(a, "take", take)
	Put(a, "water", v-take)
	made, low, high := s.ResultStrength(take, step, v)
	PutRange(a, "made", made, low, high)
	off := math.Max(float64(high/wanted)-1, 1-float64(low/wanted))
	if off > maxDeviation {
		return nil, g.Refuse("strength", "steps of %s are far too coarse for the %s of stock that this takes", g.Text("step"), unit.Show(unit.KindVolume, float64(exact), g.Style)).
			WithHint("a finer syringe, a weaker stock, or a larger volume")
	}
	Put(a, "off", unit.Share(off))
	Put(a, "powder", s.Powder())
	use, good, last := cure.KeepingTimesWithoutSoda(Get[unit.Temperature](g, "kept_at"))
	PutRange(a, "keeps", use, good, last)
	days := func(d unit.Duration) float64 { return max(1, math.Round(d.Hours()/24)) }
	a.SetText("keeps", "%g days (good for %g, discard at %g)", days(use), days(good), days(last))
	if Get[unit.Temperature](g, "kept_at") < unit.Temperature(cure.UsualTemperature.Low) {
		a.AddNote("how much longer the cold keeps it is an estimate: try it on a rag before you trust it")
		a.AddSource(cure.KeepingActivationEnergy.Source)
	}
	word, sentence := adviseStock(exact, step, v, g.Style)
	a.PutWord("advice", word, sentence)
	if e := s.StrengthError(); float64(e) > dye.MaxGoodError.Value {
		a.AddNote("the scale alone may put the stock off by %s: make more of it at once", unit.Show(unit.KindShare, float64(e), g.Style))
	}
	if take > s.Volume {
		a.AddNote("that is more than the %s of stock you planned: make more", unit.Show(unit.KindVolume, float64(s.Volume), g.Style))
	}
	a.AddNote("write the date on the stock and keep it cool, dark and without soda ash; shake it before you take from it")
	return a, nil
}

const (
	maxDeviation = 10 // times too much (judgement: the syringe no longer measures)
)

// adviseStock returns the advice on how to measure take, and its sentence; "" where the
// word's label will do.
func adviseStock(take, step, v unit.Volume, style unit.Style) (word, sentence string) {
	show := func(v unit.Volume) string { return unit.Show(unit.KindVolume, float64(v), style) }
	least := dilution.SmallestVolume(step)
	switch times, ok := dilution.StockDilution(take, step, v); {
	case times == 1:
		return stockMeasure, ""
	case ok:
		return stockWeaker, fmt.Sprintf("%s is too little for this syringe: make %s of the stock up to %s with water, and take %s of that instead",
			show(take), show(least), show(least*unit.Volume(times)), show(take*unit.Volume(times)))
	}
	return stockFinerSyringe, fmt.Sprintf("%s is too little for this syringe, which is good from %s: use a finer one, or make a larger volume", show(take), show(least))
}
