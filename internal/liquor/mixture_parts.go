package liquor

import (
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// MixturePart is one colour of a mixed colour. Strength is its own full strength as it
// was typed after "at": grams per volume, or a share of the dry weight of the
// cloth (Depth); both are 0 where none was typed.
type MixturePart struct {
	Name     string
	Share    unit.Share // of all parts
	Strength unit.Concentration
	Depth    unit.Share
	Typed    string // the strength as it was typed
}

// ParseParts reads the colours that a colour is mixed from, each with its parts
// and, after "at", its own full strength: "rust:2 at 25 g/L; black:1 at 40 g/L".
// The parts are read as in ParseShares. The error names the item that is wrong.
func ParseParts(typed string) ([]MixturePart, error) {
	var list []string
	var parts []MixturePart
	for _, item := range unit.SplitList(typed) {
		share, at, has := cutAtStrength(item)
		var p MixturePart
		if has {
			k, v, err := unit.ParseAny([]unit.Kind{unit.KindConcentration, unit.KindShare}, at)
			if err != nil {
				return nil, err
			}
			if v <= 0 {
				return nil, partError("%q has no strength", item)
			}
			if p.Typed = at; k == unit.KindConcentration {
				p.Strength = unit.Concentration(v)
			} else {
				p.Depth = unit.Share(v)
			}
		}
		list, parts = append(list, share), append(parts, p)
	}
	colours, err := ParseShares(strings.Join(list, ";"))
	if err != nil {
		return nil, err
	}
	if len(colours) < 2 {
		return nil, partError("%q is one colour: a mixed colour has two or more", typed)
	}
	for i, c := range colours {
		parts[i].Name, parts[i].Share = c.Name, c.Share
	}
	return parts, nil
}

// cutAtStrength cuts an item before the last " at ", or "@", which its name cannot hold
// after the colon.
func cutAtStrength(item string) (share, at string, has bool) {
	name, rest, ok := strings.Cut(item, ":")
	if !ok {
		return item, "", false
	}
	for _, sign := range []string{" at ", "@"} {
		if amount, strength, ok := strings.Cut(rest, sign); ok {
			return name + ":" + amount, strings.TrimSpace(strength), true
		}
	}
	return item, "", false
}

func partError(format string, args ...any) error {
	return fault.New(fault.Input, format, args...).WithHint("such as rust:2 at 25 g/L; black:1 at 40 g/L")
}

// PartsMeasure says what the parts of a mixed colour are parts of.
type PartsMeasure string

// The ways to count parts: of each colour's dye at its full strength, or of
// powder by weight.
const (
	ByLiquor PartsMeasure = "liquor"
	ByPowder PartsMeasure = "powder"
)

// Powders returns the powder of each part for v of the mixed colour at a depth of the
// full shade. Counted by liquor, each part brings powder at its own strength;
// counted by powder, whole is the strength of the mix and each part has its share
// of that.
func Powders(parts []MixturePart, by PartsMeasure, whole unit.Concentration, v unit.Volume, depth unit.Share) []unit.Mass {
	powders := make([]unit.Mass, len(parts))
	for i, p := range parts {
		c := p.Strength
		if by == ByPowder {
			c = whole
		}
		powders[i] = unit.Mass(float64(c.MassIn(v)) * float64(p.Share) * float64(depth))
	}
	return powders
}
