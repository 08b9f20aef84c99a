package unit

import (
	"strings"

	"coldbatch/internal/fault"
)

// In gives v, in k's base unit, in the unit that is written as to: "fl oz",
// "°F", "g per 8 fl oz". What In gives, read with that unit, is v again. A unit
// that is not of kind k, or two of them, is refused with a *fault.Fault of code
// Input.
func In(k Kind, v float64, to string) (float64, error) {
	one, wrong := of(k, "1", to)
	none, _ := of(k, "0", to) // °F begins elsewhere
	if wrong != nil || one == none || !sound(v) {
		f := fault.New(fault.Input, "%q is not a unit of %s", clipped(to), kinds[k].words)
		return 0, f.WithHint("such as %s", kinds[k].base)
	}
	return (v - none) / (one - none), nil
}

// of reads number of the unit to, which holds no number of its own but below the
// line.
func of(k Kind, number, to string) (float64, *problem) {
	if len(to) > longest {
		return 0, &problem{why: "it is too long"}
	}
	tokens, wrong := scan(plain(to))
	for _, t := range tokens {
		if t.number {
			return 0, &problem{why: "a unit has no number", at: t.at}
		}
		if t.text == "/" || strings.EqualFold(t.text, "per") {
			break
		}
	}
	if wrong != nil || len(tokens) == 0 {
		return 0, &problem{why: "there is no unit in it"}
	}
	return parse(k, number+" "+to)
}

// Written prints v with all its digits, for what no instrument rounds. After a
// decimal comma it never has exactly three, which Parse would doubt.
func Written(v float64, s Style) string {
	if !sound(v) {
		return missing
	}
	out := written(v)
	if whole, part, ok := strings.Cut(out, "."); ok && s.Comma {
		if len(part) == 3 {
			part += "0"
		}
		out = whole + "," + part
	}
	return out
}
