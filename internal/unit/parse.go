package unit

import (
	"fmt"
	"math"
	"strings"

	"coldbatch/internal/fault"
)

// maxSize is the size, in base units, from which no quantity is read or shown, as
// nobody measures that much.
const maxSize = 1e12

// absoluteZero in °C. BIPM, The International System of Units (SI Brochure),
// 9th edition, 2019, section 2.3.1: t/°C = T/K − 273.15.
const absoluteZero = -273.15

// Parse reads a quantity of kind k as people write it and returns it in k's base
// unit: "1 1/2 tsp", "½ gal", "2,5 kg", "5 g per 8 fl oz", "7.5 g/250 mL",
// "70F", "5 h 30 min", "1 lb 4 oz", "15 %", "pH 11.4".
//
// A unit is required, except for a count, a pH and a share below 5 ("0.15", or "2" for
// 200 %; from 5 on a number without a unit would more likely mean per cent). "2:30" is
// a length of time in hours and minutes. Spoons, cups, pints, quarts and gallons are US
// customary; "oz" is a weight and "fl oz" a volume. Units of one kind add up if each is
// smaller than the one before. A comma is a decimal comma; before exactly three digits
// it is refused.
//
// Anything else is a *fault.Fault of code Input that says why. So are a negative value
// where the kind has none, a temperature below absolute zero, and 10¹² base units or
// more. No result is NaN or infinite.
func Parse(k Kind, typed string) (float64, error) {
	_, v, err := ParseAny([]Kind{k}, typed)
	return v, err
}

// ParseAs is Parse with a typed result: ParseAs[Mass](KindMass, "250 g").
func ParseAs[Q ~float64](k Kind, typed string) (Q, error) {
	v, err := Parse(k, typed)
	return Q(v), err
}

// ParseAny parses typed as the first of kinds that has its unit; for an input that accepts, for example,
// a mass or a volume. The error names all kinds.
func ParseAny(kinds []Kind, typed string) (Kind, float64, error) {
	var worst *parseProblem
	for _, k := range kinds {
		v, wrong := parse(k, typed)
		if wrong == nil {
			return k, v, nil
		}
		if worst == nil || worst.wrongKind && !wrong.wrongKind {
			worst = wrong
		}
	}
	return "", 0, makeFault(kinds, typed, worst)
}

// makeFault turns a problem into a fault.
func makeFault(ks []Kind, typed string, wrong *parseProblem) *fault.Fault {
	var words, examples []string
	for _, k := range ks {
		words = append(words, kindInfos[k].words)
		examples = append(examples, kindInfos[k].words+" such as "+kindInfos[k].example)
	}
	if len(ks) > 3 { // more examples would be too long to read
		examples = examples[:2]
	}
	typed = shortenTyped(typed)
	is := strings.Join(words, " or ")
	if len(ks) > 3 {
		is = "a quantity"
	}
	f := fault.New(fault.Input, "%q is not %s", string(normalize(typed)), is)
	if wrong != nil {
		f.Sentence += ": " + wrong.reason
		if wrong.position > 1 {
			f.Sentence += fmt.Sprintf(" (at character %d)", wrong.position)
		}
	}
	f.Typed = typed
	return f.WithHint("%s", strings.Join(examples, "; or "))
}

// shortenTyped shortens typed to maxLength characters.
func shortenTyped(typed string) string {
	if r := []rune(typed); len(r) > maxLength {
		return string(r[:maxLength]) + "…"
	}
	return typed
}

// parse parses typed as kind k.
func parse(k Kind, typed string) (float64, *parseProblem) {
	about, ok := kindInfos[k]
	if !ok {
		return 0, &parseProblem{reason: fmt.Sprintf("%q is not a kind of quantity", string(k))}
	}
	if len(typed) > 4*maxLength {
		return 0, &parseProblem{reason: fmt.Sprintf("it is longer than %d characters", maxLength)}
	}
	text := normalize(typed)
	if len(text) > maxLength {
		return 0, &parseProblem{reason: fmt.Sprintf("it is longer than %d characters", maxLength)}
	}
	tokens, wrong := tokenize(text)
	if wrong != nil {
		return 0, wrong
	}
	r := quantityReader{tokens: tokens, end: len(text) + 1}
	v, wrong := r.quantity(k, about)
	if wrong != nil {
		return 0, wrong
	}
	return v, checkBounds(k, about, v)
}

// checkBounds returns a problem for a value that is impossible for its kind.
func checkBounds(k Kind, about kindInfo, v float64) *parseProblem {
	switch {
	case math.IsNaN(v) || math.Abs(v) >= maxSize:
		return &parseProblem{reason: "that is more than anyone measures"}
	case v < 0 && !about.canBeNegative:
		return &parseProblem{reason: "it cannot be less than zero"}
	case k == KindTemperature && v < absoluteZero-1e-9: // −459.67 °F is that, but for the last bits
		return &parseProblem{reason: "nothing is colder than −273.15 °C (−459.67 °F)"}
	case k == KindPH && v > 14:
		return &parseProblem{reason: "a pH is from 0 to 14"}
	case k == KindCount && v != math.Trunc(v):
		return &parseProblem{reason: "it is not a whole number"}
	}
	return nil
}

// SplitList returns the items of a list separated by semicolons, trimmed, without empty
// ones.
func SplitList(s string) []string {
	var out []string
	for _, item := range strings.Split(s, ";") {
		if item = strings.TrimSpace(item); item != "" {
			out = append(out, item)
		}
	}
	return out
}
