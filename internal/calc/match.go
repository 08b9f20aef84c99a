package calc

import (
	"coldbatch/internal/colour"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "match", Order: 22,
	Title:   "Recipe for a colour",
	Purpose: "The mixture of at most three dyes that comes nearest to a colour, how near, and how near without its most important dye.",
	Formula: "For every set of one to three dyes, the calculator looks for the amounts with the smallest difference in CIELAB between the mixture on white cotton and the wanted colour. Of sets that come equally near, it takes the smaller one.",
	Inputs: []Input{
		{Key: "colour", Label: "Wanted colour", Help: "a word, #rrggbb from a photo, or lab L* a* b* from a colour meter", Type: Phrase, Required: true, Example: "olive",
			Presets: []string{"rust", "olive", "blue-green", "plum"}},
		{Key: "dyes", ShowAtOnce: true, Label: "Dyes on your shelf", Help: "Colour Index names or swatches, separated by semicolons; all known ones if left out", Type: Phrase,
			Example: "yellow 86; red 2; blue 19; black 5"},
		{Key: "most", Label: "Most dyes in the mixture", Type: Quantity, Kinds: []unit.Kind{unit.KindCount}, Default: "3", Min: 1, Max: 3, Source: fault.StartValueSource},
		{Key: "cloth", ShowAtOnce: true, Label: "Cloth", Help: "dry weight", Type: Quantity, Kinds: []unit.Kind{unit.KindMass}, Example: "400 g", Min: 1, Max: 1e6},
		bondsInput(),
	},
	Outputs: []Output{
		{Key: "powder", Label: "Powder of a dye", Help: "one for each, as % of the dry cloth", Kind: unit.KindShare, ValueUnit: "%", Each: true, Source: colour.DyeData},
		{Key: "grams", Label: "Powder in all", Kind: unit.KindMass, Source: colour.DyeData},
		{Key: "look", Label: "It will look", Words: colourWords(), Source: colour.DyeData},
		{Key: "distance", Label: "Difference from the wanted colour", Help: "CIEDE2000; below 1 hardly seen, above 5 plainly", Kind: unit.KindNumber, Source: colour.Sharma},
		{Key: "without", Label: "Difference without its most important dye", Help: "CIEDE2000", Kind: unit.KindNumber, Source: colour.Sharma},
	},
	Cautions:      []fault.Caution{dye.DustCaution, dye.NotFoodCaution},
	Values:        colour.ClothValues(),
	Sources:       []fault.Source{colour.Observer, colour.KubelkaMunk, colour.DyeData, colour.SRGB},
	ExampleInputs: "colour=olive cloth='400 g'",
	Calculate:     calculateMatch,
})

func calculateMatch(g *InputValues) (*Answer, error) {
	a := &Answer{}
	wanted, err := colour.ParseWanted(g.Text("colour"))
	if err != nil {
		return nil, fault.AsFault(err).At("colour", g.Text("colour"))
	}
	dyes, err := colour.ParseDyes(g.Text("dyes"))
	if err != nil {
		return nil, fault.AsFault(err).At("dyes", g.Text("dyes"))
	}
	most := int(Get[unit.Count](g, "most"))
	best := colour.Match(dyes, wanted, most)[0]
	bonds := float64(Get[unit.Share](g, "bonds"))
	total := 0.
	for _, l := range best.Loads {
		share := l.Bonded / 100 / bonds
		total += share
		PutEach(a, "powder", l.Dye.Name, unit.Share(share), unit.Share(share), unit.Share(share))
		if g.Has("cloth") {
			grams := share * float64(Get[unit.Mass](g, "cloth"))
			a.SetText(l.Dye.Name, "%s, %s", unit.Show(unit.KindShare, share, g.Style), unit.Show(unit.KindMass, grams, g.Style))
		}
	}
	if g.Has("cloth") && total > 0 {
		Put(a, "grams", unit.Mass(total*float64(Get[unit.Mass](g, "cloth"))))
	}
	putLook(a, "look", best.Look)
	Put(a, "distance", unit.Number(best.Distance))
	switch {
	case len(best.Loads) == 0:
		a.Note("undyed cotton is as near to that colour as any of these dyes")
	case best.Distance > 5:
		a.Note("these dyes do not reach that colour")
	}
	if len(best.Loads) > 0 && len(dyes) > 1 {
		if next, d, ok := colour.FindWithout(dyes, best, wanted, most); ok {
			Put(a, "without", unit.Number(next.Distance))
			if next.Distance > best.Distance+1 {
				a.Note("%s matters most: without it the nearest is %s", d.Name, next.Look.Word)
			} else {
				a.Note("other sets of these dyes come as near")
			}
		}
	}
	a.Note("a model with indicative dye data: dye a strip of the same cloth before a whole batch")
	return a, nil
}
