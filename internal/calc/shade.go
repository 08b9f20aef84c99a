package calc

import (
	"coldbatch/internal/dye"
	"coldbatch/internal/liquor"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "shade", Order: 14,
	Title:   "Depth of a colour",
	Purpose: "Depth as per cent on the weight of the cloth, as strength of the dye, and as grams: enter one, get the others.",
	Formula: "Depth is powder per dry cloth. Strength is depth divided by what the cloth takes up, as shares of its dry weight; a litre of dye is taken as a kilogram. The range is over what wrung cloth takes up, where you did not enter that.",
	Inputs: []Input{
		{Key: "strength", ShowInForm: true, Label: "Depth or strength", Help: "per cent of the weight of the dry cloth, or grams per finished volume", Type: TypeQuantity,
			Kinds: strengthKinds, Example: "2 %", Min: 0.01, Max: 500, Presets: []string{"2 %", "4 %", "25 g/L", "40 g/L", "75 g/L"}},
		{Key: "cloth", ShowInForm: true, Label: "Cloth", Help: "dry weight", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindMass}, Example: "1 kg", Min: 1, Max: 1e6},
		{Key: "powder", ShowInForm: true, Label: "Dye powder", Help: "instead of one of the two above", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindMass}, Example: "20 g", Min: 0.01, Max: 1e5},
		{Key: "pickup", Label: "Dye the cloth takes up", Help: "of its dry weight; dry cloth takes up more than wrung cloth", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindShare},
			Default: "110 %", Min: 0.2, Max: 6, Presets: []string{"70 %", "110 %", "220 %"}, Source: liquor.PickUpShare.Source},
	},
	Outputs: []Output{
		{Key: "made", Label: "Strength of the dye", Kind: unit.KindConcentration, Source: onClothSource},
		{Key: "depth", Label: "Depth", Help: "on the weight of the dry cloth", Kind: unit.KindShare, ValueUnit: "%", Source: onClothSource},
		{Key: "dye", Label: "Dye powder", Kind: unit.KindMass, Source: onClothSource},
		{Key: "goods", Label: "Cloth it dyes", Help: "dry weight", Kind: unit.KindMass, Source: onClothSource},
		{Key: "volume", Label: "Dye the cloth takes up", Help: "add what you lose on the way", Kind: unit.KindVolume, Source: onClothSource},
		{Key: "band", Label: "Colour", Words: bandWords(), Source: liquor.PaleMaxDepth.Source},
		{Key: "washed_out", Label: "Dye that washes out", Help: "it reacts with water instead of the cloth", Kind: unit.KindMass, Source: liquor.BondedShare.Source},
	},
	Cautions:      []provenance.Caution{dye.DustCaution, dye.NotFoodCaution},
	Values:        []provenance.Value{liquor.PickUpShare, liquor.BondedShare, dye.MaxUsefulStrength, liquor.PaleMaxDepth, liquor.MediumMaxDepth, liquor.DeepMaxDepth},
	ExampleInputs: "strength='2 %' cloth='1 kg'",
	Calculate:     calculateShade,
})

func bandWords() (words []Word) {
	for _, b := range liquor.DepthBands() {
		w := Word{string(b), string(b)}
		if b == liquor.VeryDeepBand {
			w.Label = "very deep"
		}
		words = append(words, w)
	}
	return words
}

func calculateShade(g *InputValues) (*Answer, error) {
	a := &Answer{}
	pickup, low, high := Get[unit.Share](g, "pickup"), unit.Share(liquor.PickUpShare.Low), unit.Share(liquor.PickUpShare.High)
	if g.IsTyped("pickup") {
		low, high = pickup, pickup
	}
	cloth, powder := Get[unit.Mass](g, "cloth"), Get[unit.Mass](g, "powder")
	var depth, least, most unit.Share
	switch {
	case g.Has("strength") && g.Has("cloth") && g.Has("powder"):
		return nil, g.Refuse("powder", "you gave strength, cloth and powder, but any two of them determine the third").WithHint("leave one out")
	case g.Has("strength") && g.Kind("strength") == unit.KindShare:
		depth = Get[unit.Share](g, "strength")
		if err := checkDepth(g, "strength", g.Text("strength"), depth); err != nil {
			return nil, err
		}
		least, most = depth, depth
	case g.Has("strength"):
		c := Get[unit.Concentration](g, "strength")
		depth, least, most = liquor.DepthFromStrength(c, pickup), liquor.DepthFromStrength(c, low), liquor.DepthFromStrength(c, high)
	case g.Has("cloth") && g.Has("powder"):
		depth = unit.Share(float64(powder / cloth))
		least, most = depth, depth
	case g.Has("powder"):
		return nil, g.Missing("cloth", "powder alone gives no depth: cloth or strength is missing")
	default:
		return nil, g.Missing("strength", "shade needs strength, or powder with cloth")
	}
	if depth > 1 {
		return nil, g.Refuse("powder", "%s on %s of cloth is more powder than cloth", g.Text("powder"), g.Text("cloth")).WithHint("deep colours are 4 %%")
	}
	made := liquor.StrengthForDepth(depth, pickup)
	if g.Kind("strength") != unit.KindConcentration || !g.Has("strength") {
		PutRange(a, "made", made, liquor.StrengthForDepth(depth, high), liquor.StrengthForDepth(depth, low))
	}
	if g.Kind("strength") != unit.KindShare {
		PutRange(a, "depth", depth, least, most)
	}
	a.PutWord("band", string(liquor.BandOf(depth)), "")
	switch {
	case g.Has("strength") && g.Has("cloth"):
		powder = liquor.PowderForDepth(depth, cloth)
		PutRange(a, "dye", powder, liquor.PowderForDepth(least, cloth), liquor.PowderForDepth(most, cloth))
	case g.Has("strength") && g.Has("powder"):
		cloth = liquor.ClothForPowder(powder, depth)
		PutRange(a, "goods", cloth, liquor.ClothForPowder(powder, most), liquor.ClothForPowder(powder, least))
	}
	switch {
	case g.Has("powder") && g.Kind("strength") == unit.KindConcentration:
		Put(a, "volume", unit.Volume(float64(powder/unit.Mass(made))*1000))
	case cloth > 0:
		PutRange(a, "volume", unit.Volume(float64(cloth)*float64(pickup)), unit.Volume(float64(cloth)*float64(low)), unit.Volume(float64(cloth)*float64(high)))
	}
	if powder > 0 {
		out := func(bonds float64) unit.Mass { return unit.Mass(float64(powder) * (1 - bonds)) }
		PutRange(a, "washed_out", out(liquor.BondedShare.Value), out(liquor.BondedShare.High), out(liquor.BondedShare.Low))
	}
	noteStrength(a, made, g.Style)
	if !g.IsTyped("pickup") {
		a.AddNote("weigh one piece wrung and again in its bag: the gain, less the bag, is the dye it takes up")
	}
	a.AddNote("dye in a puddle at the bottom of the bag reacts with water and is wasted; so is more powder than the cloth can bind")
	return a, nil
}
