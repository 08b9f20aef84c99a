package calc

import (
	"coldbatch/internal/colour"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "match", Order: 22,
	Title:   "Recipe for a colour",
	Purpose: "The mixture of at most three dyes that comes nearest to a colour, how near, and how near without its most important dye.",
	Formula: "For every set of one to three dyes, the calculator looks for the amounts with the smallest difference in CIELAB between the mixture on white cotton and the wanted colour. Of sets that come equally near, it takes the smaller one.",
	Inputs: []Input{
		{Key: "colour", Label: "Wanted colour", Help: "a word, #rrggbb from a photo, or lab L* a* b* from a colour meter", Type: TypeText, Required: true, Example: "olive",
			Presets: []string{"rust", "olive", "blue-green", "plum"}},
		{Key: "dyes", ShowInForm: true, Label: "Dyes on your shelf", Help: "Colour Index names or swatches, separated by semicolons; all known ones if left out", Type: TypeText,
			Example: "yellow 86; red 2; blue 19; black 5"},
		{Key: "most", Label: "Most dyes in the mixture", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindCount}, Default: "3", Min: 1, Max: 3, Source: provenance.StartValueSource},
		{Key: "cloth", ShowInForm: true, Label: "Cloth", Help: "dry weight", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindMass}, Example: "400 g", Min: 1, Max: 1e6},
		bondsInput(),
	},
	Outputs: []Output{
		{Key: "powder", Label: "Powder of a dye", Help: "one for each, as % of the dry cloth", Kind: unit.KindShare, ValueUnit: "%", IsList: true, Source: colour.DyeDataSource},
		{Key: "grams", Label: "Total powder", Kind: unit.KindMass, Source: colour.DyeDataSource},
		{Key: "look", Label: "Expected colour", Words: colourWords(), Source: colour.DyeDataSource},
		{Key: "distance", Label: "Difference from the wanted colour", Help: "CIEDE2000; below 1 is hardly visible, above 5 is obvious", Kind: unit.KindNumber, Source: colour.CIEDE2000Source},
		{Key: "without", Label: "Difference without its most important dye", Help: "CIEDE2000", Kind: unit.KindNumber, Source: colour.CIEDE2000Source},
	},
	Cautions:      []provenance.Caution{dye.DustCaution, dye.NotFoodCaution},
	Values:        colour.ClothValues(),
	Sources:       []provenance.Source{colour.ObserverSource, colour.KubelkaMunkSource, colour.DyeDataSource, colour.SRGBSource},
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
	for _, l := range best.Amounts {
		share := l.BondedPercent / 100 / bonds
		total += share
		PutItem(a, "powder", l.Dye.Name, unit.Share(share), unit.Share(share), unit.Share(share))
		if g.Has("cloth") {
			grams := share * float64(Get[unit.Mass](g, "cloth"))
			a.SetText(l.Dye.Name, "%s, %s", unit.Show(unit.KindShare, share, g.Style), unit.Show(unit.KindMass, grams, g.Style))
		}
	}
	if g.Has("cloth") && total > 0 {
		Put(a, "grams", unit.Mass(total*float64(Get[unit.Mass](g, "cloth"))))
	}
	putLook(a, "look", best.Appearance)
	Put(a, "distance", unit.Number(best.Distance))
	switch {
	case len(best.Amounts) == 0:
		a.AddNote("undyed cotton is as near to that colour as any of these dyes")
	case best.Distance > 5:
		a.AddNote("these dyes do not reach that colour")
	}
	if len(best.Amounts) > 0 && len(dyes) > 1 {
		if next, d, ok := colour.MatchWithoutOneDye(dyes, best, wanted, most); ok {
			Put(a, "without", unit.Number(next.Distance))
			if next.Distance > best.Distance+1 {
				a.AddNote("%s matters most: without it the nearest is %s", d.Name, next.Appearance.Word)
			} else {
				a.AddNote("other sets of these dyes come as near")
			}
		}
	}
	a.AddNote("an estimate from approximate dye data: dye a strip of the same cloth first")
	return a, nil
}
