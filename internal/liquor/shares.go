package liquor

import (
	"math"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// ColourShare is one colour's share of all the dye; those of a list add up to 1.
type ColourShare struct {
	Name  string
	Share unit.Share
}

// The bounds of a list of shares.
const (
	maxColours    = 50
	maxNameLength = 40    // characters
	minShare      = 0.001 // of all
)

// ParseShares reads colours with their shares, "rust:2;blue-green:1": parts, which
// are numbers, or all of them per cent, which add up to 100 %. A name is given
// once and holds neither : nor ;. The error names the item that is wrong.
func ParseShares(typed string) ([]ColourShare, error) {
	var list []ColourShare
	var kind unit.Kind
	total := 0.0
	for _, item := range unit.SplitList(typed) {
		name, amount, ok := strings.Cut(item, ":")
		name = strings.TrimSpace(name)
		if !ok || name == "" || len([]rune(name)) > maxNameLength || strings.ContainsFunc(name, func(r rune) bool { return r < ' ' }) {
			return nil, shareError("%q is not a colour with its share", item)
		}
		k, v, err := unit.ParseAny([]unit.Kind{unit.KindNumber, unit.KindShare}, amount)
		switch {
		case err != nil:
			return nil, err
		case v <= 0:
			return nil, shareError("%q is not a share", item)
		case kind != "" && k != kind:
			return nil, shareError("%q: either all shares are per cent or none", item)
		}
		for _, c := range list {
			if strings.EqualFold(c.Name, name) {
				return nil, shareError("%q is listed twice", name)
			}
		}
		kind, total = k, total+v
		if list = append(list, ColourShare{name, unit.Share(v)}); len(list) > maxColours {
			return nil, shareError("there are more than %d colours", maxColours)
		}
	}
	if len(list) == 0 {
		return nil, shareError("there is no colour in %q", typed)
	}
	if kind == unit.KindShare && math.Abs(total-1) > 0.005 {
		return nil, shareError("the shares add up to %s, not 100 %%", unit.Show(unit.KindShare, total, unit.Style{}))
	}
	for i, c := range list {
		if list[i].Share = unit.Share(float64(c.Share) / total); list[i].Share < minShare {
			return nil, shareError("%q has less than a thousandth of all", c.Name)
		}
	}
	return list, nil
}

func shareError(format string, args ...any) error {
	return fault.New(fault.Input, format, args...).WithHint("such as rust:2; blue-green:1")
}
