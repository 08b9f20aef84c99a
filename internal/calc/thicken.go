package calc

import (
	"coldbatch/internal/dye"
	"coldbatch/internal/liquor"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "thicken", Order: 26,
	Title:   "Thickener for dye",
	Purpose: "How much sodium alginate keeps dye from running.",
	Formula: "A share of the weight of the liquor, by its use; a millilitre counts as a gram.",
	Inputs: []Input{
		{Key: "volume", Label: "Dye liquor", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindVolume}, Required: true, Example: "250 mL", Min: 1, Max: 1e6},
		{Key: "use", Label: "Use", Type: TypeChoice, Words: thickenerUseWords(), Required: true, Example: string(liquor.PaintUse)},
	},
	Outputs:   []Output{{Key: "alginate", Label: "Sodium alginate", Kind: unit.KindMass, Source: liquor.ThinUse.AlginateStrength().Source}},
	Cautions:  []provenance.Caution{dye.NotFoodCaution},
	Values:    alginateValues(),
	Calculate: calculateThicken,
})

func thickenerUseWords() (words []Word) {
	for _, u := range liquor.ThickenerUses() {
		words = append(words, Word{string(u), u.Words()})
	}
	return words
}

func alginateValues() (v []provenance.Value) {
	for _, u := range liquor.ThickenerUses() {
		v = append(v, u.AlginateStrength())
	}
	return v
}

func calculateThicken(g *InputValues) (*Answer, error) {
	a := &Answer{}
	middle, low, high := liquor.AlginateMass(Get[unit.Volume](g, "volume"), liquor.ThickenerUse(g.Word("use")))
	PutRange(a, "alginate", middle, low, high)
	a.AddNote("sprinkle it onto water while you stir, never pour water onto it, and leave it overnight; then stir in the dye. In hard water it turns lumpy: soften the water first")
	return a, nil
}
