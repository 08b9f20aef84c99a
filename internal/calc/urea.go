package calc

import (
	"coldbatch/internal/dye"
	"coldbatch/internal/liquor"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "urea", Order: 24,
	Title:   "Urea for dye",
	Purpose: "Whether a dye liquor needs urea, and how much.",
	Formula: "None where pieces are bagged wet. 50 g/L where the dye is stronger than 40 g/L and would not all dissolve, or where the air is dry and pieces lie open.",
	Inputs: []Input{
		{Key: "volume", Label: "Dye liquor", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindVolume}, Required: true, Example: "1 L", Min: 1, Max: 1e6},
		{Key: "strength", Label: "Strength of the dye", Help: "g/L, or % on the weight of the dry cloth", Type: TypeQuantity, Kinds: strengthKinds, Required: true, Example: "75 g/L", Min: 0.01, Max: 500},
		{Key: "air", ShowInForm: true, Label: "Pieces lie", Type: TypeChoice, Words: []Word{{"bagged", "bagged wet"}, {"dry", "open, in dry air"}},
			Default: "bagged", Source: provenance.CommonPracticeSource},
		pickUpInput(), clothInput(),
	},
	Outputs:   []Output{{Key: "urea", Label: "Urea", Kind: unit.KindMass, Source: liquor.UreaStrength.Source}},
	Cautions:  []provenance.Caution{dye.NoBleachCaution, dye.NotFoodCaution},
	Values:    []provenance.Value{liquor.UreaStrength, liquor.UreaAboveStrength},
	Calculate: calculateUrea,
})

func calculateUrea(g *InputValues) (*Answer, error) {
	a := &Answer{}
	c, err := readStrength(g, a, "strength", Get[unit.Volume](g, "volume"))
	if err != nil {
		return nil, err
	}
	u := liquor.UreaMass(Get[unit.Volume](g, "volume"), c, g.Word("air") == "dry")
	Put(a, "urea", u)
	if u > 0 {
		a.AddNote("urea chills the water: start with warm water, dissolve the urea, let it come to room temperature, then add the dye")
	} else {
		a.AddNote("a bag keeps pieces wet, so urea does nothing")
	}
	return a, nil
}
