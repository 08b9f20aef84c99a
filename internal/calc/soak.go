package calc

import (
	"coldbatch/internal/alkali"
	"coldbatch/internal/dye"
	"coldbatch/internal/goods"
	"coldbatch/internal/provenance"
	"coldbatch/internal/soak"
	"coldbatch/internal/unit"
)

// activitySource is the source of a computed pH and of outputs worked out from it.
var activitySource = provenance.Source{Reliability: provenance.Memory, Text: "Plummer and Busenberg 1982 for the constants; activity model from memory"}

// massBalanceSource is the source of outputs that assume that nothing is lost.
var massBalanceSource = provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: nothing is lost, and the goods hold the pick-up entered"}

var _ = register(Entry{
	Name: "soak", Order: 10,
	Title:   "Soda-ash soak",
	Purpose: "How much soda ash goes into the bucket, whether it dissolves, how alkaline it gets, how much cloth it serves, and how much to top it up with.",
	Formula: "Soda ash is strength times volume; crystals weigh 1.170 (monohydrate) or 2.700 (decahydrate) times as much. The pH is where the charges balance, with constants for the temperature and with activities. Dry cloth soaks up bath as it is: less is left, but it is no weaker. Wet cloth leaves water behind and thins it. The range of what it serves is over what wrung cloth holds, 100–150 %, unless you give that.",
	Inputs: []Input{
		{Key: "water", Label: "Bath", Help: "dissolve in part of the water, then make up to this", Type: TypeQuantity,
			Kinds: []unit.Kind{unit.KindVolume}, Required: true, Example: "10 L", Min: 100, Max: 1e6, Presets: []string{"5 L", "10 L", "1 gal", "5 gal"}},
		{Key: "strength", Label: "Strength", Help: "as anhydrous soda ash; this or soda", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindConcentration},
			Default: "50 g/L", Min: 1, Max: 400, Source: soak.UsualStrength.Source},
		{Key: "soda", Label: "Soda ash", Help: "instead of a strength; by the cup it is only a range: weigh it", Type: TypeQuantity,
			Kinds: []unit.Kind{unit.KindMass, unit.KindVolume}, Example: "500 g"},
		{Key: "grade", Label: "Grade of the ash", Help: "for soda by the cup or spoon: dense ash weighs up to 1.8 times as much", Type: TypeChoice,
			Words: []Word{{"light", "light ash"}, {"dense", "dense ash"}}, Example: "light"},
		{Key: "form", Label: "Powder", Type: TypeChoice, Words: formWords(), Default: string(alkali.Anhydrous), Source: provenance.CommonPracticeSource},
		{Key: "temperature", ShowInForm: true, Label: "Temperature of the bath", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindTemperature},
			Default: "25 °C", Min: 0, Max: 100, Presets: []string{"15 °C", "25 °C", "40 °C"}, Source: provenance.StartValueSource},
		{Key: "goods", ShowInForm: true, Label: "Goods", Help: "dry weight of all that is to go through", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindMass}, Example: "1.5 kg", Min: 1, Max: 1e6},
		{Key: "pickup", Label: "What the goods hold when they come out", Help: "of their dry weight", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindShare},
			Default: "110 %", Min: goods.MinHeldAfterSpinning.Value, Max: 4, Presets: []string{"60 %", "110 %", "220 %"}, Source: goods.HeldAfterWringing.Source},
		{Key: "wet_in", Label: "Water the goods bring in", Help: "of their dry weight; after a machine spin 60 %", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindShare},
			Default: "0 %", Min: 0, Max: 4, Presets: []string{"0 %", "60 %"}, Source: goods.HeldAfterSpinning.Source},
		{Key: "least", Label: "Bath that must remain", Help: "to cover the last piece: a volume, or a share of the bath", Type: TypeQuantity,
			Kinds: []unit.Kind{unit.KindVolume, unit.KindShare}, Default: "25 %", Source: soak.MinRemaining.Source},
	},
	Outputs: []Output{
		{Key: "soda_ash", Label: "Soda ash", Help: "of the powder you chose", Kind: unit.KindMass, Source: alkali.Anhydrous.PerAnhydrous().Source},
		{Key: "concentration", Label: "Strength", Help: "as anhydrous soda ash", Kind: unit.KindConcentration, Source: proportionSource},
		{Key: "ph", Label: "pH, fresh", Help: "as a good meter reads it", Kind: unit.KindPH, Source: activitySource},
		{Key: "dissolves", Label: "Dissolves", Words: []Word{{string(soak.DissolvesFully), "yes"}, {string(soak.DissolvesSlowly), "slowly: stir, and give it time"}, {string(soak.DissolvesNot), "no: more than the water can hold"}}, Source: soak.ReadilyDissolvingShare.Source},
		{Key: "limit", Label: "Most that dissolves", Help: "at that temperature", Kind: unit.KindConcentration, Source: alkali.Solubility(25).Source},
		{Key: "serves", Label: "Serves", Help: "dry weight of goods, before you top it up", Kind: unit.KindMass, Source: massBalanceSource},
		{Key: "top_up", Label: "Top up with", Help: "bath of the same strength, to serve all the goods", Kind: unit.KindVolume, Source: massBalanceSource},
		{Key: "minutes", Label: "Time in the soak", Kind: unit.KindDuration, ValueUnit: "min", Source: soak.UsualTime.Source},
	},
	Cautions:  []provenance.Caution{alkali.EyesCaution, alkali.VesselCaution, dye.NoVinegarCaution, alkali.DrainCaution},
	Values:    soakValues(),
	Sources:   alkali.Sources(),
	Calculate: calculateSoak,
})

func soakValues() (v []provenance.Value) {
	for _, f := range alkali.Forms()[1:] {
		v = append(v, f.PerAnhydrous())
	}
	v = append(v, alkali.LightGrade.BulkDensity(), alkali.DenseGrade.BulkDensity(),
		soak.UsualStrength, soak.MinRemaining, soak.MinStrengthShare, soak.ReadilyDissolvingShare, soak.UsualTime, soak.UsualTimeTied, goods.HeldAfterWringing, goods.HeldAfterSpinning, goods.MinHeldAfterSpinning)
	return append(v, alkali.Values()...)
}

func formWords() (words []Word) {
	for _, f := range alkali.Forms() {
		words = append(words, Word{string(f), f.Words()})
	}
	return words
}

func calculateSoak(g *InputValues) (*Answer, error) {
	a := &Answer{}
	b, err := makeBath(g, a)
	if err != nil {
		return nil, err
	}
	putChemistry(g, a, b)
	if err := putServing(g, a, b.middle); err != nil {
		return nil, err
	}
	Put(a, "minutes", unit.Duration(soak.UsualTime.Value))
	a.AddNote("goods that are already tied need longer in the soak: %s", unit.ShowRange(unit.KindDuration, soak.UsualTimeTied.Low, soak.UsualTimeTied.High, g.Style))
	return a, nil
}

// bathRange is the bath with the middle, low and high amount of soda ash.
type bathRange struct{ middle, low, high soak.Bath }

// makeBath works out the bath from its strength or from the soda ash that goes in.
func makeBath(g *InputValues, a *Answer) (bathRange, error) {
	water, form := Get[unit.Volume](g, "water"), alkali.Form(g.Word("form"))
	made := func(pure unit.Mass) soak.Bath {
		return soak.Bath{Volume: water, Strength: unit.GramsPerLitre(pure, water)}
	}
	if !g.Has("soda") {
		b := soak.Bath{Volume: water, Strength: Get[unit.Concentration](g, "strength")}
		Put(a, "soda_ash", form.MassFor(b.Soda()))
		Put(a, "concentration", b.Strength)
		if form == alkali.Decahydrate {
			a.AddNote("the water in the crystals counts: dissolve them in less water and make up to the mark")
		}
		return bathRange{b, b, b}, nil
	}
	if g.IsTyped("strength") {
		return bathRange{}, g.Refuse("strength", "strength %q and soda %q contradict each other", g.Text("strength"), g.Text("soda")).WithHint("use only one of them")
	}
	var b bathRange
	if g.Kind("soda") == unit.KindMass {
		soda := Get[unit.Mass](g, "soda")
		m := made(form.AnhydrousIn(soda))
		b = bathRange{m, m, m}
		Put(a, "soda_ash", soda)
		Put(a, "concentration", m.Strength)
	} else {
		if form != alkali.Anhydrous {
			return bathRange{}, g.Refuse("soda", "%q by volume is not known for %s", g.Text("soda"), form.Words()).WithHint("weigh it, such as soda='500 g'")
		}
		soda := Get[unit.Volume](g, "soda")
		grade := alkali.PowderGrade(g.Word("grade"))
		middle, low, high := grade.MassOf(soda)
		b = bathRange{made(middle), made(low), made(high)}
		PutRange(a, "soda_ash", middle, low, high)
		a.SetSource("soda_ash", grade.BulkDensity().Source)
		PutRange(a, "concentration", b.middle.Strength, b.low.Strength, b.high.Strength)
		a.AddNote("soda ash by the cup or spoon is a guess: weigh it")
	}
	if b.high.Strength <= 0 || b.high.Strength > maxStrength {
		return bathRange{}, g.Refuse("soda", "%q makes the bath %s", g.Text("soda"), unit.Show(unit.KindConcentration, float64(b.high.Strength), g.Style)).
			WithHint("more than nothing and at most %s", unit.Show(unit.KindConcentration, float64(maxStrength), g.Style))
	}
	return b, nil
}

// maxStrength is the most that the inputs accept, in g/L: no more dissolves at any
// temperature.
const maxStrength unit.Concentration = 400

// putChemistry adds whether the soda ash dissolves and the pH of the bath.
func putChemistry(g *InputValues, a *Answer, b bathRange) {
	t := Get[unit.Temperature](g, "temperature")
	how, limit := soak.CheckSolubility(b.high.Strength, t)
	a.PutWord("dissolves", string(how), "")
	low, high := alkali.SolubilityLimitRange(t)
	PutRange(a, "limit", limit, low, high)
	ph := func(c unit.Concentration) (unit.PH, unit.PH, bool) {
		c = min(c, limit) // what has not dissolved does nothing
		v, beyond := alkali.PH(c, t, 0)
		return v, alkali.PHSpread(c, t), beyond
	}
	middle, _, beyond := ph(b.middle.Strength)
	lowest, below, _ := ph(b.low.Strength)
	highest, above, _ := ph(b.high.Strength)
	PutRange(a, "ph", middle, lowest-below, highest+above)
	switch {
	case how == soak.DissolvesNot && alkali.IsMoreSolubleWarmer(t):
		a.AddNote("the rest stays at the bottom as crystals and does nothing: use warmer water or less soda ash")
	case how == soak.DissolvesNot:
		a.AddNote("the rest stays at the bottom as crystals and does nothing: use less soda ash or more water; hotter water holds no more")
	case how == soak.DissolvesSlowly:
		a.AddNote("sprinkle it into warm water while stirring, never water onto the powder, which cakes; make up with cold")
	}
	if beyond {
		a.AddNote("the pH is extrapolated: it is checked at 5–100 g/L and 5–45 °C")
	}
	if t >= 50 {
		a.AddCaution(alkali.HotWaterCaution)
	}
}

// putServing adds how much cloth the bath serves and how much to top it up with.
func putServing(g *InputValues, a *Answer, b soak.Bath) error {
	pieces := soak.Goods{DryMass: Get[unit.Mass](g, "goods"), Pickup: Get[unit.Share](g, "pickup"), WetShareIn: Get[unit.Share](g, "wet_in")}
	least := Get[unit.Volume](g, "least")
	if g.Kind("least") == unit.KindShare {
		least = unit.Volume(float64(b.Volume) * float64(Get[unit.Share](g, "least")))
	}
	if least < 0 || least >= b.Volume {
		return g.Refuse("least", "%q that must remain in a bath of %q leaves nothing to use", g.Text("least"), g.Text("water")).WithHint("less than the bath, such as 25 %%")
	}
	// The range is over what wrung cloth holds, unless the pick-up was typed.
	driest, wettest := pieces, pieces
	if !g.IsTyped("pickup") {
		driest.Pickup, wettest.Pickup = unit.Share(goods.HeldAfterWringing.Low), unit.Share(goods.HeldAfterWringing.High)
	}
	serves := b.Serves(pieces, least)
	few, many := b.Serves(wettest, least), b.Serves(driest, least)
	PutRange(a, "serves", serves, min(few, many), max(few, many))
	if pieces.WetShareIn > 0 {
		end := b.AfterSoaking(soak.Goods{DryMass: serves, Pickup: pieces.Pickup, WetShareIn: pieces.WetShareIn})
		a.AddNote("wet goods thin the bath: after %s it is down to %s", unit.Show(unit.KindMass, float64(serves), g.Style), unit.Show(unit.KindConcentration, float64(end.Strength), g.Style))
	} else {
		a.AddNote("dry cloth soaks up bath as it is: less is left, but it is no weaker")
	}
	if !g.Has("goods") {
		return nil
	}
	less, more := b.TopUp(driest, least), b.TopUp(wettest, least)
	PutRange(a, "top_up", b.TopUp(pieces, least), min(less, more), max(less, more))
	if end := b.AfterSoaking(pieces); pieces.DryMass <= serves {
		a.AddNote("it serves them all, with %s of %s left over", unit.Show(unit.KindVolume, float64(end.Volume), g.Style), unit.Show(unit.KindConcentration, float64(end.Strength), g.Style))
	}
	return nil
}
