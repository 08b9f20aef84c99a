package calc

import (
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/liquor"
	"coldbatch/internal/unit"
)

// strengths are the kinds that a strength is read as: grams per volume, or per
// cent on the dry weight of the cloth.
var strengths = []unit.Kind{unit.KindConcentration, unit.KindShare}

// deepest is the most powder, as a share of the dry weight of the cloth, that is
// read as a strength (judgement: ten times a deep colour).
const deepest unit.Share = 0.5

// onCloth is the source of a strength that was given in per cent.
var onCloth = fault.Source{Kind: fault.Memory, Text: "textbook algebra of dyeing: g/L = 1000 × share of the dry weight / share that the cloth takes up; a litre of liquor is taken as a kilogram"}

// pickUpInput and clothInput let a strength in per cent be worked out.
func pickUpInput() Input {
	return Input{Key: "pickup", Label: "Dye the cloth takes up", Help: "of its dry weight; for a strength in %", Type: Quantity, Kinds: []unit.Kind{unit.KindShare},
		Example: "110 %", Min: 0.2, Max: 6, Presets: []string{"70 %", "110 %", "150 %"}}
}

func clothInput() Input {
	return Input{Key: "cloth", Label: "Dry cloth for all of it", Help: "instead of what the cloth takes up, for a strength in %", Type: Quantity,
		Kinds: []unit.Kind{unit.KindMass}, Example: "1 kg", Min: 1, Max: 1e6}
}

// strength gives the strength that was typed for key in g/L. One in per cent
// follows from what the cloth takes up, or from the dry cloth that volume is for;
// with neither, the fault says what is missing.
func strength(g *Given, a *Answer, key string, volume unit.Volume) (unit.Concentration, error) {
	if g.Kind(key) != unit.KindShare {
		return Get[unit.Concentration](g, key), nil
	}
	c, err := onWeight(g, key, g.Text(key), Get[unit.Share](g, key), volume)
	if err == nil {
		a.Cite(onCloth)
		a.Note("%s on the weight of the dry cloth is %s here", g.Text(key), unit.Show(unit.KindConcentration, float64(c), g.Style))
	}
	return c, err
}

// onWeight turns depth, read from what was typed for key, into a strength.
func onWeight(g *Given, key, typed string, depth unit.Share, volume unit.Volume) (unit.Concentration, error) {
	if err := checkDepth(g, key, typed, depth); err != nil {
		return 0, err
	}
	switch cloth, pickup := g.Has("cloth"), g.Has("pickup"); {
	case cloth && pickup:
		return 0, g.Refuse("cloth", "cloth and pickup both turn %q into a strength", typed).WithHint("give one of them")
	case cloth:
		return unit.GramsPerLitre(liquor.Powder(depth, Get[unit.Mass](g, "cloth")), volume), nil
	case pickup:
		return liquor.Strength(depth, Get[unit.Share](g, "pickup")), nil
	}
	missing := "pickup"
	if _, ok := g.entry.input("cloth"); ok {
		missing += " or cloth"
	}
	return 0, g.Missing("pickup", "%q is on the weight of the cloth: %s is missing to make it grams per litre", typed, missing)
}

// checkDepth refuses a bare number, which may be grams per litre to one and per
// cent to another, and a depth that nobody dyes.
func checkDepth(g *Given, key, typed string, depth unit.Share) error {
	switch {
	case !isPercent(typed):
		return fault.New(fault.Input, "%q has no unit", typed).At(key, typed).WithHint("such as 25 g/L, 5 g per 200 mL, or 2 %% on the weight of the dry cloth")
	case depth <= 0:
		return fault.New(fault.Input, "%q is no dye at all", typed).At(key, typed).WithHint("such as 2 %%")
	case float64(depth) > float64(deepest)*(1+1e-9):
		return fault.New(fault.Input, "%q of the weight of the cloth is more than the %s that is accepted here", typed, unit.Show(unit.KindShare, float64(deepest), g.Style)).
			At(key, typed).WithHint("deep colours are 4 %%")
	}
	return nil
}

// noStrength is the fault for what is not a strength of either kind.
func noStrength(typed string, err error) error {
	if _, _, alone := unit.ParseAny(strengths[:1], typed); alone != nil {
		err = alone
	}
	f := fault.Of(err)
	return f.WithHint("%s; or 2 %% on the weight of the dry cloth", f.Hint)
}

// isPercent says whether a share was typed in per cent.
func isPercent(typed string) bool {
	typed = strings.ToLower(typed)
	for _, sign := range []string{"%", "％", "percent", "per cent", "pct"} {
		if strings.Contains(typed, sign) {
			return true
		}
	}
	return false
}
