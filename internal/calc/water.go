package calc

import (
	"strings"

	"coldbatch/internal/alkali"
	"coldbatch/internal/dye"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "water", Order: 5,
	Title:   "Hard water",
	Purpose: "How hard the water is, how much softener the dye water needs, and how much soda ash it uses up in a soak.",
	Formula: "Softener is two to three times what binds the hardness. Soda ash is lost mole for mole, as chalk.",
	Inputs: []Input{
		{Key: "hardness", Label: "Hardness", Help: "from the water report or a strip", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindHardness}, Required: true,
			Example: "200 mg/L", Max: 2000, Presets: []string{"60 mg/L", "120 mg/L", "180 mg/L", "300 mg/L"}},
		{Key: "volume", Label: "Water", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindVolume}, Required: true, Example: "1 L", Min: 1, Max: 1e6},
	},
	Outputs: []Output{
		{Key: "class", Label: "The water is", Words: hardnessWords(), Source: alkali.SoftMaxHardness.Source},
		{Key: "softener", Label: "Softener", Help: "sodium hexametaphosphate, where this is dye water", Kind: unit.KindMass, Source: alkali.SoftenerExcessFactor.Source},
		{Key: "soda_lost", Label: "Soda ash lost", Help: "where this is a soak", Kind: unit.KindMass, Source: alkali.SodaPerHardness.Source},
	},
	Cautions:  []provenance.Caution{dye.NotFoodCaution, alkali.EyesCaution},
	Values:    append(unit.HardnessValues(), alkali.SoftMaxHardness, alkali.ModerateMaxHardness, alkali.HardMaxHardness, alkali.MinSoftenerPerHardness, alkali.SoftenerExcessFactor, alkali.SodaPerHardness),
	Calculate: calculateWater,
})

func hardnessWords() (words []Word) {
	for _, w := range alkali.WaterClasses() {
		words = append(words, Word{string(w), strings.ReplaceAll(string(w), "-", " ")})
	}
	return words
}

func calculateWater(g *InputValues) (*Answer, error) {
	h, v := Get[unit.Hardness](g, "hardness"), Get[unit.Volume](g, "volume")
	a := &Answer{}
	if isInDegrees(g.Text("hardness")) {
		a.AddSource(hardnessDegreesSource)
	}
	a.PutWord("class", string(alkali.ClassifyWater(h)), "")
	middle, low, high := alkali.SoftenerMass(h, v)
	PutRange(a, "softener", middle, low, high)
	Put(a, "soda_lost", alkali.SodaLost(h, v))
	a.AddNote("softener goes into the dye water, before the dye; the soak needs none, its soda ash softens the water")
	return a, nil
}
