package calc

import (
	"coldbatch/internal/dilution"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/liquor"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

var _ = register(Entry{
	Name: "parts", Order: 22,
	Title:   "Mixed colour",
	Purpose: "A colour from parts of others: the powder of each for one jug.",
	Formula: "Counted by dye, each colour brings its part of the volume at its own strength. Counted by powder, each has its part of all the powder. Each weighing is good to one step of the scale, either way.",
	Inputs: []Input{
		{Key: "parts", Label: "Colours and their parts", Help: "each with its own strength, if it has one", Type: TypeText, Required: true, Example: "rust:2 at 25 g/L; black:1 at 40 g/L",
			Presets: []string{"rust:2; black:1"}},
		{Key: "volume", Label: "Volume of the jug", Help: "made up to, dye and water", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindVolume}, Required: true, Example: "240 mL", Min: 1, Max: 1e6,
			Presets: []string{"120 mL", "240 mL", "1 L"}},
		{Key: "strength", ShowInForm: true, Label: "Strength of the others", Help: "of colours without their own; by powder, of the mix", Type: TypeQuantity, Kinds: strengthKinds,
			Example: "25 g/L", Min: 0.01, Max: 500, Presets: []string{"25 g/L", "40 g/L", "75 g/L"}},
		{Key: "by", ShowInForm: true, Label: "Parts of", Type: TypeChoice, Words: []Word{{string(liquor.ByLiquor), "dye, each at its strength"}, {string(liquor.ByPowder), "powder by weight"}},
			Default: string(liquor.ByLiquor), Source: provenance.StartValueSource},
		{Key: "depth", Label: "Depth", Help: "of the full shade: 1 is full, 50 % is half as strong", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindShare, unit.KindCount},
			Default: "1", Min: 0.01, Max: 4, Presets: []string{"25 %", "50 %", "1"}, Source: provenance.StartValueSource},
		{Key: "scale", Label: "Smallest step of the scale", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindMass}, Default: "0.1 g", Min: 0.001, Max: 100,
			Presets: []string{"0.01 g", "0.1 g", "1 g"}, Source: provenance.StartValueSource},
		pickUpInput(),
	},
	Outputs: []Output{
		{Key: "powder", Label: "Powder of a colour", Help: "one for each, by its name; with the error of the scale", Kind: unit.KindMass, IsList: true, Source: proportionSource},
		{Key: "total", Label: "Total powder", Kind: unit.KindMass, Source: proportionSource},
		{Key: "made", Label: "Strength of the mix", Kind: unit.KindConcentration, Source: proportionSource},
		{Key: "off", Label: "The smallest weighing is off by", Kind: unit.KindShare, ValueUnit: "%", Source: weighingErrorSource},
		{Key: "advice", Label: "What to do", Words: []Word{{"weigh", "weigh each into one jug"}, {"stock", "measure one from a stock solution"}}, Source: dye.MaxAcceptableError.Source},
	},
	Cautions:  []provenance.Caution{dye.DustCaution, dye.NoPowderBackCaution, dye.NotFoodCaution, dye.NoVinegarCaution},
	Values:    []provenance.Value{dye.MaxGoodError, dye.MaxAcceptableError, dye.StockStrength, dye.MaxUsefulStrength, liquor.UreaAboveStrength},
	Calculate: calculateParts,
})

func calculateParts(g *InputValues) (*Answer, error) {
	a := &Answer{}
	v, by, scale := Get[unit.Volume](g, "volume"), liquor.PartsMeasure(g.Word("by")), Get[unit.Mass](g, "scale")
	parts, err := liquor.ParseParts(g.Text("parts"))
	if err != nil {
		return nil, fault.AsFault(err).At("parts", g.Text("parts"))
	}
	var whole unit.Concentration
	if g.Has("strength") {
		if whole, err = readStrength(g, a, "strength", v); err != nil {
			return nil, err
		}
	}
	if by == liquor.ByPowder && whole == 0 {
		return nil, g.Missing("strength", "parts of powder need the strength of the mix")
	}
	for i := range parts {
		p := &parts[i]
		if _, taken := g.entry.output(p.Name); taken {
			return nil, g.Refuse("parts", "%q cannot be the name of a colour here", p.Name).WithHint("another, such as rust")
		}
		switch {
		case by == liquor.ByPowder && p.Typed != "":
			return nil, g.Refuse("parts", "%q has its own strength, and parts of powder take that of the mix", p.Name).WithHint("leave out %q, or count parts of dye", "at "+p.Typed)
		case p.Depth > 0:
			if p.Strength, err = strengthFromDepth(g, "parts", p.Typed, p.Depth, v); err != nil {
				return nil, err
			}
			a.AddSource(onClothSource)
		case p.Typed == "" && whole == 0:
			return nil, g.Missing("strength", "%q has no strength: enter it after its parts, or the strength of the others", p.Name)
		case p.Typed == "":
			p.Strength = whole
		}
	}
	total, least := unit.Mass(0), 0
	powders := liquor.Powders(parts, by, whole, v, Get[unit.Share](g, "depth"))
	for i, m := range powders {
		if unit.Round(unit.KindMass, float64(m)) == 0 {
			return nil, g.Refuse("volume", "%q of %q needs less powder than can be shown", g.Text("volume"), parts[i].Name).WithHint("a larger volume")
		}
		if total += m; m < powders[least] {
			least = i
		}
		PutItem(a, "powder", parts[i].Name, m, max(m-scale, 0), m+scale)
		a.SetText(parts[i].Name, "%s, give or take %s", unit.Show(unit.KindMass, float64(m), g.Style), unit.ShowError(dye.ScaleError(m, scale), g.Style))
	}
	made := unit.GramsPerLitre(total, v)
	if made > maxMadeStrength*(1+1e-9) || total > maxTotalPowder*(1+1e-9) {
		return nil, g.Refuse("parts", "that makes %s at %s, more than is accepted here", unit.Show(unit.KindMass, float64(total), g.Style), unit.Show(unit.KindConcentration, float64(made), g.Style)).
			WithHint("up to %s and %s", unit.Show(unit.KindMass, float64(maxTotalPowder), g.Style), unit.Show(unit.KindConcentration, float64(maxMadeStrength), g.Style))
	}
	Put(a, "total", total)
	Put(a, "made", made)
	off := dye.ScaleError(powders[least], scale)
	Put(a, "off", off)
	a.PutWord("advice", "weigh", "")
	if float64(off) > dye.MaxAcceptableError.Value*(1+1e-9) {
		stock := dilution.StockSolution{Strength: unit.Concentration(dye.StockStrength.Value)}
		take := stock.StockVolume(unit.GramsPerLitre(powders[least], v), v)
		a.PutWord("advice", "stock", "")
		a.SetText("advice", "%s of %s is too little for this scale: take %s of a stock of %s instead, or make more",
			unit.Show(unit.KindMass, float64(powders[least]), g.Style), parts[least].Name,
			unit.Show(unit.KindVolume, float64(take), g.Style), unit.Show(unit.KindConcentration, dye.StockStrength.Value, g.Style))
	}
	a.AddNote("powders of different strength shift the colour: try it on a rag and write down what you weighed")
	noteStrength(a, made, g.Style)
	return a, nil
}
