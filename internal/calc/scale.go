package calc

import (
	"strings"

	"coldbatch/internal/alkali"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
	"coldbatch/internal/recipe"
	"coldbatch/internal/unit"
)

// scalableKinds are the kinds of quantity that the size of a batch may be.
var scalableKinds = []unit.Kind{unit.KindMass, unit.KindVolume, unit.KindCount}

// maxFactor says how much larger or smaller a recipe may become (judgement: beyond that a
// recipe no longer holds).
const maxFactor = 1000

var _ = register(Entry{
	Name: "scale", Order: 16,
	Title:   "Recipe for another size",
	Purpose: "A recipe for more or less cloth, larger bottles, or another number of pieces: what changes, and what stays.",
	Formula: "Weights, volumes and numbers are multiplied by the new size over the old one. Strengths, temperatures, times, per cents and pH stay as they are.",
	Inputs: []Input{
		{Key: "recipe", Label: "Recipe", Help: "each with its amount, separated by semicolons", Type: TypeText, Required: true, Example: "rust 5 g; soda ash 50 g/L; water 1 L"},
		{Key: "from", Label: "It is for", Help: "cloth, a volume, or pieces", Type: TypeQuantity, Kinds: scalableKinds, Required: true, Example: "500 g", Min: 0.1, Max: 1e7},
		{Key: "to", Label: "You want it for", Help: "in the same kind of unit", Type: TypeQuantity, Kinds: scalableKinds, Required: true, Example: "1.2 kg", Min: 0.1, Max: 1e7},
		{Key: "scale", Label: "Smallest step of the scale", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindMass}, Default: "0.1 g", Min: 0.001, Max: 100,
			Presets: []string{"0.01 g", "0.1 g", "1 g"}, Source: provenance.StartValueSource},
	},
	Outputs: []Output{
		{Key: "amount", Label: "Amount", Help: "one for each line of the recipe, by its name", Kind: unit.KindNumber, IsList: true, Source: recipe.ProportionSource},
		{Key: "factor", Label: "Times", Kind: unit.KindNumber, Source: recipe.ProportionSource},
	},
	Cautions:  []provenance.Caution{dye.DustCaution, alkali.EyesCaution, dye.NotFoodCaution},
	Values:    []provenance.Value{dye.MaxGoodError, dye.MaxAcceptableError},
	Calculate: calculateScale,
})

func calculateScale(g *InputValues) (*Answer, error) {
	a := &Answer{}
	from, to := Get[unit.Number](g, "from"), Get[unit.Number](g, "to")
	if g.Kind("from") != g.Kind("to") {
		return nil, g.Refuse("to", "%q and %q are different kinds of size", g.Text("from"), g.Text("to")).WithHint("both as weight, both as volume, or both as a number of pieces")
	}
	for _, key := range []string{"from", "to"} {
		if Get[unit.Number](g, key) <= 0 {
			return nil, g.Refuse(key, "%q is not a size", g.Text(key))
		}
	}
	factor := float64(to / from)
	if factor > maxFactor*(1+1e-9) || factor < 1/maxFactor*(1-1e-9) {
		return nil, g.Refuse("to", "from %q to %q is more than %d times as much", g.Text("from"), g.Text("to"), maxFactor).WithHint("work it out in smaller steps, with a trial at each")
	}
	items, err := recipe.Parse(g.Text("recipe"))
	if err != nil {
		return nil, fault.AsFault(err).At("recipe", g.Text("recipe"))
	}
	scale := Get[unit.Mass](g, "scale")
	var coarse, stay []string
	for _, i := range items {
		if _, taken := g.entry.output(i.Name); taken {
			return nil, g.Refuse("recipe", "%q cannot be the name of an ingredient here", i.Name).WithHint("another, such as rust")
		}
		s := i.Scaled(factor)
		shown := unit.Show(s.Kind, s.Amount, g.Style)
		if s.Amount >= 1e12 || s.IsScaled() && i.Amount > 0 && s.Kind != unit.KindCount && unit.Round(s.Kind, s.Amount) == 0 {
			return nil, g.Refuse("recipe", "%s becomes more or less than can be measured", i.Name)
		}
		PutItem(a, "amount", i.Name, s.Amount, s.Amount, s.Amount)
		a.setUnit(i.Name, unit.BaseUnit(s.Kind))
		if a.SetText(i.Name, "%s", shown); !s.IsScaled() {
			stay = append(stay, i.Name)
		}
		if s.Kind == unit.KindCount {
			a.SetText(i.Name, "%s", unit.ShowExact(roundDigits(s.Amount, 3), g.Style))
		}
		if s.Kind == unit.KindMass && s.Amount > 0 && float64(dye.ScaleError(unit.Mass(s.Amount), scale)) > dye.MaxAcceptableError.Value*(1+1e-9) {
			coarse = append(coarse, i.Name+" "+shown)
		}
	}
	Put(a, "factor", factor)
	if len(stay) > 0 {
		a.AddNote("the same at any size: %s", strings.Join(stay, ", "))
	}
	if len(coarse) > 0 {
		a.AddNote("too little for this scale: %s; weigh more for a stock solution and measure that", strings.Join(coarse, ", "))
		a.AddSource(dye.MaxAcceptableError.Source)
	}
	a.AddNote("times and temperatures never scale; a large pot takes longer to warm up and to cool")
	a.AddNote("soda ash goes by the litre of bath, not by the cloth: if the bath stays as it is, so does its soda ash")
	a.AddNote("the pot must still cover the cloth and leave room to stir")
	return a, nil
}
