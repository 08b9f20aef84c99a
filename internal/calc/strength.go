package calc

import (
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/liquor"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// strengthKinds are the kinds of quantity that a strength may be: grams per volume, or per cent
// on the dry weight of the cloth.
var strengthKinds = []unit.Kind{unit.KindConcentration, unit.KindShare}

// maxDepth is the greatest depth accepted, as powder per dry weight of cloth (judgement:
// ten times a deep colour).
const maxDepth unit.Share = 0.5

// onClothSource is the source of a strength that was entered in per cent.
var onClothSource = provenance.Source{Reliability: provenance.Memory, Text: "textbook algebra of dyeing: g/L = 1000 × share of the dry weight / share that the cloth takes up; a litre of liquor is taken as a kilogram"}

// pickUpInput and clothInput are the inputs that turn per cent into a strength.
func pickUpInput() Input {
	return Input{Key: "pickup", Label: "Dye the cloth takes up", Help: "of its dry weight; for a strength in %", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindShare},
		Example: "110 %", Min: 0.2, Max: 6, Presets: []string{"70 %", "110 %", "150 %"}}
}

func clothInput() Input {
	return Input{Key: "cloth", Label: "Dry cloth for all of it", Help: "instead of what the cloth takes up, for a strength in %", Type: TypeQuantity,
		Kinds: []unit.Kind{unit.KindMass}, Example: "1 kg", Min: 1, Max: 1e6}
}

// readStrength returns the strength typed for key in g/L. It converts per cent by what the
// cloth takes up, or by the dry cloth that volume is for; where neither is given, the fault
// says what is missing.
func readStrength(g *InputValues, a *Answer, key string, volume unit.Volume) (unit.Concentration, error) {
	if g.Kind(key) != unit.KindShare {
		return Get[unit.Concentration](g, key), nil
	}
	c, err := strengthFromDepth(g, key, g.Text(key), Get[unit.Share](g, key), volume)
	if err == nil {
		a.AddSource(onClothSource)
		a.AddNote("%s on the weight of the dry cloth is %s here", g.Text(key), unit.Show(unit.KindConcentration, float64(c), g.Style))
	}
	return c, err
}

// strengthFromDepth converts a depth, typed for key, into a strength.
func strengthFromDepth(g *InputValues, key, typed string, depth unit.Share, volume unit.Volume) (unit.Concentration, error) {
	if err := checkDepth(g, key, typed, depth); err != nil {
		return 0, err
	}
	switch cloth, pickup := g.Has("cloth"), g.Has("pickup"); {
	case cloth && pickup:
		return 0, g.Refuse("cloth", "cloth and pickup both determine the strength of %q", typed).WithHint("use only one of them")
	case cloth:
		return unit.GramsPerLitre(liquor.PowderForDepth(depth, Get[unit.Mass](g, "cloth")), volume), nil
	case pickup:
		return liquor.StrengthForDepth(depth, Get[unit.Share](g, "pickup")), nil
	}
	missing := "pickup"
	if _, ok := g.entry.input("cloth"); ok {
		missing += " or cloth"
	}
	return 0, g.Missing("pickup", "%q is on the weight of the cloth: %s is missing to make it grams per litre", typed, missing)
}

// checkDepth returns a fault for a number without a unit, which could mean grams per litre
// or per cent, and for a depth of nothing or above maxDepth.
func checkDepth(g *InputValues, key, typed string, depth unit.Share) error {
	switch {
	case !isPercent(typed):
		return fault.New(fault.Input, "%q has no unit", typed).At(key, typed).WithHint("such as 25 g/L, 5 g per 200 mL, or 2 %% on the weight of the dry cloth")
	case depth <= 0:
		return fault.New(fault.Input, "%q means no dye at all", typed).At(key, typed).WithHint("such as 2 %%")
	case float64(depth) > float64(maxDepth)*(1+1e-9):
		return fault.New(fault.Input, "%q of the weight of the cloth is more than the %s accepted here", typed, unit.Show(unit.KindShare, float64(maxDepth), g.Style)).
			At(key, typed).WithHint("deep colours are 4 %%")
	}
	return nil
}

// strengthFault returns the fault for a text that is neither kind of strength.
func strengthFault(typed string, err error) error {
	if _, _, alone := unit.ParseAny(strengthKinds[:1], typed); alone != nil {
		err = alone
	}
	f := fault.AsFault(err)
	return f.WithHint("%s; or 2 %% on the weight of the dry cloth", f.Hint)
}

// isPercent reports whether a share was typed in per cent.
func isPercent(typed string) bool {
	typed = strings.ToLower(typed)
	for _, sign := range []string{"%", "％", "percent", "per cent", "pct"} {
		if strings.Contains(typed, sign) {
			return true
		}
	}
	return false
}
