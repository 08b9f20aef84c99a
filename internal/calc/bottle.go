package calc

import (
	"math"

	"coldbatch/internal/dye"
	"coldbatch/internal/liquor"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// proportionSource is the source of outputs that follow from the definition of a strength.
var proportionSource = provenance.Source{Reliability: provenance.Memory, Text: "ISO 80000-9, mass concentration: mass = strength × volume"}

// weighingErrorSource is the source of the error of a weighing.
var weighingErrorSource = provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: a weighing is the difference between two readings, each good to half a step of the scale"}

var _ = register(Entry{
	Name: "bottle", Order: 20,
	Title:   "Dye for a bottle",
	Purpose: "How much dye powder goes into a squeeze bottle, how good the scale is for that, and what to do when a weighing is off.",
	Formula: "Powder is strength times volume times depth; all bottles of a colour are weighed at once and mixed in one jug. A weighing is the difference of two readings, so it is good to one step of the scale, either way. From twenty steps on that is 5 % or better. A stock is as good as its weighing and the syringe together.",
	Inputs: []Input{
		{Key: "strength", Label: "Strength", Help: "grams of powder per finished volume, or % on the weight of the dry cloth", Type: TypeQuantity,
			Kinds: strengthKinds, Required: true, Example: "25 g/L", Min: 0.01, Max: 500,
			Presets: []string{"25 g/L", "40 g/L", "75 g/L", "5 g per 200 mL"}, Source: provenance.CommonPracticeSource},
		{Key: "bottle", Label: "Volume in each bottle", Help: "the volume it is made up to, dye and all", Type: TypeQuantity,
			Kinds: []unit.Kind{unit.KindVolume}, Required: true, Example: "2 fl oz", Min: 1, Max: 100_000,
			Presets: []string{"60 mL", "120 mL", "240 mL", "2 fl oz", "4 fl oz", "8 fl oz"}},
		{Key: "holds", Label: "What a bottle holds", Help: "filled to the brim; it is filled to at most 85 %", Type: TypeQuantity,
			Kinds: []unit.Kind{unit.KindVolume}, Example: "4 fl oz", Min: 1, Max: 100_000},
		{Key: "count", Label: "Bottles of this colour", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindCount},
			Default: "1", Min: 1, Max: 1000, Source: provenance.StartValueSource},
		{Key: "depth", Label: "Depth", Help: "of the full shade: 1 is full, 50 % is half as strong, 2 is twice", Type: TypeQuantity,
			Kinds: []unit.Kind{unit.KindShare, unit.KindCount}, Default: "1", Min: 0.01, Max: 4, Presets: []string{"25 %", "50 %", "1"}, Source: provenance.StartValueSource},
		{Key: "scale", ShowInForm: true, Label: "Smallest step of the scale", Help: "the smallest difference it shows", Type: TypeQuantity,
			Kinds: []unit.Kind{unit.KindMass}, Default: "0.1 g", Min: 0.001, Max: 100, Presets: []string{"0.01 g", "0.1 g", "1 g"}, Source: provenance.StartValueSource},
		{Key: "weighed", ShowInForm: true, Label: "Already weighed", Help: "what the scale shows for all bottles together, if you have weighed already", Type: TypeQuantity,
			Kinds: []unit.Kind{unit.KindMass}, Example: "5 g", Min: 0.001, Max: 100_000},
		pickUpInput(), clothInput(),
	},
	Outputs: []Output{
		{Key: "powder", Label: "Powder for one bottle", Kind: unit.KindMass, Source: proportionSource},
		{Key: "total", Label: "Powder for the jug", Help: "for all bottles, weighed at once", Kind: unit.KindMass, Source: proportionSource},
		{Key: "scale_error", Label: "Error of the scale", Help: "of the weighing for the jug, either way", Kind: unit.KindShare, ValueUnit: "%", Source: weighingErrorSource},
		{Key: "smallest", Label: "Smallest volume for this scale", Help: "below it the scale may be off by more than 5 %", Kind: unit.KindVolume, Source: dye.MaxGoodError.Source},
		{Key: "deviation", Label: "Off by", Help: "what was weighed against what is wanted; above zero is too much", Kind: unit.KindShare, ValueUnit: "%", Source: proportionSource},
		{Key: "advice", Label: "What to do", Words: stepWords(), Source: dye.MaxAcceptableError.Source},
	},
	Cautions:  []provenance.Caution{dye.DustCaution, dye.NoPowderBackCaution, dye.NotFoodCaution, dye.NoVinegarCaution},
	Values:    []provenance.Value{dye.MaxGoodError, dye.MaxAcceptableError, dye.BottleFillShare, dye.StockStrength, dye.SyringeError, dye.MaxUsefulStrength, liquor.UreaAboveStrength},
	Calculate: calculateBottle,
})

func stepWords() (words []Word) {
	for _, s := range dye.AdviceSteps() {
		words = append(words, Word{string(s.Step), s.Words})
	}
	return words
}

func calculateBottle(g *InputValues) (*Answer, error) {
	a := &Answer{}
	m := dye.BottleMix{
		BottleVolume: Get[unit.Volume](g, "bottle"),
		BottleCount:  Get[unit.Count](g, "count"),
		Depth:        Get[unit.Share](g, "depth"),
	}
	var err error
	if m.Strength, err = readStrength(g, a, "strength", m.JugVolume()); err != nil {
		return nil, err
	}
	holds, division := Get[unit.Volume](g, "holds"), Get[unit.Mass](g, "scale")
	if g.Has("holds") && m.BottleVolume > holds {
		return nil, g.Refuse("bottle", "%q does not fit into a bottle that holds %q", g.Text("bottle"), g.Text("holds")).
			WithHint("at most 85 %% of it, %s", unit.Show(unit.KindVolume, float64(holds)*dye.BottleFillShare.Value, g.Style))
	}
	if err := checkSize(g, m); err != nil {
		return nil, err
	}
	Put(a, "powder", m.PowderPerBottle())
	Put(a, "total", m.TotalPowder())
	e := dye.ScaleError(m.TotalPowder(), division)
	Put(a, "scale_error", e)
	a.SetText("scale_error", "± %s", unit.ShowError(e, g.Style))
	Put(a, "smallest", m.SmallestVolume(division))
	if full := unit.Volume(float64(holds) * dye.BottleFillShare.Value); g.Has("holds") && m.BottleVolume > full {
		a.AddNote("leave air: filled to more than 85 %% (%s here) a bottle spits when it is squeezed; take a larger one or make less",
			unit.Show(unit.KindVolume, float64(full), g.Style))
	}
	var weighed *unit.Mass
	if g.Has("weighed") {
		w := Get[unit.Mass](g, "weighed")
		weighed = &w
	}
	advice := m.Advise(holds, division, weighed, g.Style)
	// Powder for a stock is not judged as powder for the jug.
	if weighed != nil && advice.Step != dye.StepByStock && advice.Step != dye.StepBiggerJug {
		off, low, high := m.Deviation(*weighed, division)
		PutRange(a, "deviation", off, low, high)
		a.SetText("deviation", "%s (%s to %s with the error of the scale)", signedText(off, g.Style), signedText(low, g.Style), signedText(high, g.Style))
	}
	noteStrength(a, m.MadeUpStrength(), g.Style)
	a.PutWord("advice", string(advice.Step), advice.Sentence)
	return a, nil
}

// noteStrength notes that a strong dye liquor may not dissolve or dye deeper.
func noteStrength(a *Answer, made unit.Concentration, style unit.Style) {
	show := func(v float64) string { return unit.Show(unit.KindConcentration, v, style) }
	if float64(made) > liquor.UreaAboveStrength.Value*(1+1e-9) {
		a.AddNote("above %s the dye may not all dissolve: see urea", show(liquor.UreaAboveStrength.Value))
		a.AddSource(liquor.UreaAboveStrength.Source)
	}
	if math.Round(float64(made)) > dye.MaxUsefulStrength.Value { // rounded: recipes per fluid ounce come out at 76.08
		a.AddNote("above %s more powder no longer dyes deeper in proportion: most of it washes out", show(dye.MaxUsefulStrength.Value))
		a.AddSource(dye.MaxUsefulStrength.Source)
	}
}

// The sizes above which a jug is taken for a typing error.
const (
	maxMadeStrength unit.Concentration = 500     // g/L; as of the strength itself: judgement, no source
	maxTotalPowder  unit.Mass          = 100_000 // g; as of what was weighed: judgement, no source
)

// checkSize returns a fault for a mix that is too strong, too large, or too small to weigh.
func checkSize(g *InputValues, m dye.BottleMix) error {
	made, total := float64(m.MadeUpStrength()), float64(m.TotalPowder())
	switch {
	case made > float64(maxMadeStrength)*(1+1e-9):
		most := unit.Show(unit.KindConcentration, float64(maxMadeStrength), g.Style)
		return g.Refuse("depth", "%q at depth %q is %s, more than the %s accepted here",
			g.Text("strength"), g.Text("depth"), unit.Show(unit.KindConcentration, made, g.Style), most).
			WithHint("strength × depth up to %s", most)
	case total > float64(maxTotalPowder)*(1+1e-9):
		most := unit.Show(unit.KindMass, float64(maxTotalPowder), g.Style)
		return g.Refuse("bottle", "%q in each of %q bottles needs %s of powder, more than the %s accepted here",
			g.Text("bottle"), g.Text("count"), unit.Show(unit.KindMass, total, g.Style), most).
			WithHint("strength × depth × volume × bottles up to %s", most)
	case unit.Round(unit.KindMass, total) == 0:
		least := unit.Show(unit.KindMass, 0.01, g.Style)
		return g.Refuse("bottle", "%q of %q needs less powder than can be shown, which is %s", g.Text("bottle"), g.Text("strength"), least).
			WithHint("a larger bottle, or a strength that needs %s of powder or more", least)
	}
	return nil
}

// signedText prints a share with its sign.
func signedText(v unit.Share, style unit.Style) string {
	s := unit.Show(unit.KindShare, float64(v), style)
	if v > 0 {
		s = "+" + s
	}
	return s
}
