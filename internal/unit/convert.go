package unit

import (
	"strings"

	"coldbatch/internal/fault"
)

// ConvertTo converts v from k's base unit to the unit written as to: "fl oz", "°F",
// "g per 8 fl oz". Parse turns the result, with that unit, back into v. A unit that is
// not of kind k, or more than one unit, is a *fault.Fault of code Input.
func ConvertTo(k Kind, v float64, to string) (float64, error) {
	one, wrong := parseNumber(k, "1", to)
	none, _ := parseNumber(k, "0", to) // 0 °F is not 0 in the base unit
	if wrong != nil || one == none || !isShowable(v) {
		f := fault.New(fault.Input, "%q is not a unit of %s", shortenTyped(to), kindInfos[k].words)
		return 0, f.WithHint("such as %s", kindInfos[k].base)
	}
	return (v - none) / (one - none), nil
}

// parseNumber parses number followed by the unit to. The unit may hold a number only after
// "per" or "/".
func parseNumber(k Kind, number, to string) (float64, *parseProblem) {
	if len(to) > maxLength {
		return 0, &parseProblem{reason: "it is too long"}
	}
	tokens, wrong := tokenize(normalize(to))
	for _, t := range tokens {
		if t.number {
			return 0, &parseProblem{reason: "a unit has no number", position: t.at}
		}
		if t.text == "/" || strings.EqualFold(t.text, "per") {
			break
		}
	}
	if wrong != nil || len(tokens) == 0 {
		return 0, &parseProblem{reason: "there is no unit in it"}
	}
	return parse(k, number+" "+to)
}

// ShowExact prints v with all its digits, for a value that no instrument rounds. After a
// decimal comma it never prints exactly three digits, since Parse refuses those.
func ShowExact(v float64, s Style) string {
	if !isShowable(v) {
		return noValue
	}
	out := formatNumber(v)
	if whole, part, ok := strings.Cut(out, "."); ok && s.Comma {
		if len(part) == 3 {
			part += "0"
		}
		out = whole + "," + part
	}
	return out
}
