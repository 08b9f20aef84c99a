package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"coldbatch/internal/fault"
)

// beyond is the size, in base units, from which on no quantity is read or
// shown: nobody measures it.
const beyond = 1e12

// absoluteZero in °C. BIPM, The International System of Units (SI Brochure),
// 9th edition, 2019, section 2.3.1: t/°C = T/K − 273.15.
const absoluteZero = -273.15

// Parse reads a quantity of kind k as people write it and gives it in k's base
// unit: "1 1/2 tsp", "½ gal", "2,5 kg", "6.2 g per 8 fl oz", "7.5 g/250 mL",
// "70F", "5 h 30 min", "1 lb 4 oz", "15 %", "pH 11.4".
//
// A unit is needed, but for a count, a pH and a share below 1 ("0.15"). "2:30"
// is a length of time in hours and minutes. Spoons, cups, pints, quarts and
// gallons are US customary; "oz" is a weight and "fl oz" a volume. Several units
// of one kind add up where they get smaller. A comma is a decimal comma, and
// refused before exactly three digits.
//
// Anything else is refused with a *fault.Fault of code Input that says why, and
// so are a negative where there is none of the kind, a temperature below
// absolute zero, and 10¹² base units and more. No result is NaN or infinite.
func Parse(k Kind, typed string) (float64, error) {
	_, v, err := ParseAny([]Kind{k}, typed)
	return v, err
}

// Read is Parse with a typed result: Read[Mass](KindMass, "250 g").
func Read[Q ~float64](k Kind, typed string) (Q, error) {
	v, err := Parse(k, typed)
	return Q(v), err
}

// ParseAny reads typed as the first of kinds that its unit fits, as Parse does;
// for an input that takes a mass or a volume. The error names all kinds.
func ParseAny(kinds []Kind, typed string) (Kind, float64, error) {
	var worst *problem
	for _, k := range kinds {
		v, wrong := parse(k, typed)
		if wrong == nil {
			return k, v, nil
		}
		if worst == nil || worst.misfits && !wrong.misfits {
			worst = wrong
		}
	}
	return "", 0, refusal(kinds, typed, worst)
}

// refusal tells a problem as a fault.
func refusal(ks []Kind, typed string, wrong *problem) *fault.Fault {
	var words, examples []string
	for _, k := range ks {
		words = append(words, kinds[k].words)
		examples = append(examples, kinds[k].words+" such as "+kinds[k].example)
	}
	shown := plain(typed)
	if len(shown) > longest {
		shown = append(shown[:longest:longest], '…')
	}
	f := fault.New(fault.Input, "%q is not %s", string(shown), strings.Join(words, " or "))
	if wrong != nil {
		f.Sentence += ": " + wrong.why
		if wrong.at > 1 {
			f.Sentence += fmt.Sprintf(" (at character %d)", wrong.at)
		}
	}
	f.Typed = string(shown)
	return f.WithHint("%s", strings.Join(examples, "; or "))
}

// parse reads one kind.
func parse(k Kind, typed string) (float64, *problem) {
	about, ok := kinds[k]
	if !ok {
		return 0, &problem{why: fmt.Sprintf("there is no kind of quantity %q", string(k))}
	}
	if len(typed) > 4*longest {
		return 0, &problem{why: fmt.Sprintf("it is longer than %d characters", longest)}
	}
	text := plain(typed)
	if len(text) > longest {
		return 0, &problem{why: fmt.Sprintf("it is longer than %d characters", longest)}
	}
	tokens, wrong := scan(text)
	if wrong != nil {
		return 0, wrong
	}
	r := reader{tokens: tokens, end: len(text) + 1}
	v, wrong := r.quantity(k, about)
	if wrong != nil {
		return 0, wrong
	}
	return v, bounds(k, about, v)
}

// bounds refuses what cannot be.
func bounds(k Kind, about kind, v float64) *problem {
	switch {
	case math.IsNaN(v) || math.Abs(v) >= beyond:
		return &problem{why: "that is more than anyone measures"}
	case v < 0 && !about.negative:
		return &problem{why: "it cannot be less than zero"}
	case k == KindTemperature && v < absoluteZero-1e-9: // −459.67 °F is that, but for the last bits
		return &problem{why: "nothing is colder than −273.15 °C (−459.67 °F)"}
	case k == KindPH && v > 14:
		return &problem{why: "a pH is from 0 to 14"}
	case k == KindCount && v != math.Trunc(v):
		return &problem{why: "it is not a whole number"}
	}
	return nil
}

// reader reads a quantity from tokens.
type reader struct {
	tokens []token
	end    int // the position after the last character
}

func (r *reader) more() bool { return len(r.tokens) > 0 }

// is says whether the next token is one of those.
func (r *reader) is(texts ...string) bool {
	for _, t := range texts {
		if r.more() && !r.tokens[0].number && strings.EqualFold(r.tokens[0].text, t) {
			return true
		}
	}
	return false
}

func (r *reader) next() token {
	t := r.tokens[0]
	r.tokens = r.tokens[1:]
	return t
}

// quantity reads all tokens as one quantity.
func (r *reader) quantity(k Kind, about kind) (float64, *problem) {
	if !r.more() {
		return 0, &problem{why: "there is nothing in it"}
	}
	sign := 1.0
	if r.is("-") {
		sign = -1
	}
	if r.is("-", "+") {
		r.next()
	}
	if k == KindPH && r.is("ph") {
		r.next()
	}
	v, wrong := r.above(k, about)
	if wrong != nil {
		return 0, wrong
	}
	if r.more() {
		t := r.next()
		if t.text == "-" {
			return 0, &problem{why: "give one value, not a range", at: t.at}
		}
		return 0, &problem{why: strconv.Quote(t.text) + " has no place after the unit", at: t.at}
	}
	if k == KindTemperature { // the sign goes with what was written, not with the result
		return v(sign), nil
	}
	return sign * v(1), nil
}

// above reads a sum, or a quotient of two sums. It gives the value as a function
// of the sign, since a temperature's zero moves.
func (r *reader) above(k Kind, about kind) (func(float64) float64, *problem) {
	if about.over == [2]Kind{} || r.whole(k) {
		return r.sum(k)
	}
	above, wrong := r.sum(about.over[0])
	if wrong != nil {
		return nil, wrong
	}
	if !r.is("/", "per") {
		at := r.end
		if r.more() {
			at = r.tokens[0].at
		}
		return nil, &problem{why: fmt.Sprintf("%s stands over %s, as in %s", kinds[about.over[0]].words, kinds[about.over[1]].words, about.example), at: at, misfits: true}
	}
	at := r.next().at
	if r.more() && !r.tokens[0].number {
		r.tokens = append([]token{{number: true, value: 1, text: "1", at: at}}, r.tokens...)
	}
	below, wrong := r.sum(about.over[1])
	if wrong != nil {
		return nil, wrong
	}
	if below(1) <= 0 {
		return nil, &problem{why: "the amount below the line is zero", at: at}
	}
	v := above(1) / below(1) * about.scale
	return func(float64) float64 { return v }, nil
}

// whole says whether the quotient k is written with a unit of its own (gsm).
func (r *reader) whole(k Kind) bool {
	if len(r.tokens) != 2 {
		return false
	}
	for _, m := range named(r.tokens[1].text) {
		if m.kind == k {
			return true
		}
	}
	return false
}

// sum reads "1 lb 4 oz": numbers with units of kind k that get smaller.
func (r *reader) sum(k Kind) (func(float64) float64, *problem) {
	var total, last float64
	for n := 0; ; n++ {
		if !r.more() || !r.tokens[0].number {
			at, what := r.end, "the number is missing"
			if r.more() {
				at = r.tokens[0].at
				what = "a number is missing before " + strconv.Quote(r.tokens[0].text)
			}
			return nil, &problem{why: what, at: at}
		}
		number := r.next()
		m, wrong := r.unit(k, number)
		if wrong != nil {
			return nil, wrong
		}
		if n > 0 && m.size >= last {
			return nil, &problem{why: "units that are added up get smaller, as in 1 lb 4 oz", at: number.at}
		}
		if k == KindTemperature {
			return func(sign float64) float64 { return celsius(sign*number.value, m) }, nil
		}
		total, last = total+number.value*m.size, m.size
		if r.is("and", "+") {
			r.next()
		} else if !r.more() || !r.tokens[0].number {
			return func(float64) float64 { return total }, nil
		}
	}
}

// celsius gives t of the unit m as °C: °F is 5/9 of a degree, from 32.
func celsius(t float64, m measure) float64 {
	if m.size != 1 {
		return (t - 32) * 5 / 9
	}
	return t
}

// unit reads the unit after number: the longest run of words that is the name of
// one.
func (r *reader) unit(k Kind, number token) (measure, *problem) {
	if number.clock {
		if k != KindDuration {
			return measure{}, &problem{why: "a colon stands in a length of time only", at: number.at, misfits: true}
		}
		return measure{kind: k, size: 1}, nil
	}
	var words []string
	for _, t := range r.tokens {
		if t.number || t.text == "/" || t.text == "+" || t.text == "-" || strings.EqualFold(t.text, "and") ||
			strings.EqualFold(t.text, "per") && !(len(words) == 0 && k == KindShare) {
			break
		}
		words = append(words, t.text)
	}
	if len(words) == 0 {
		if r.is("-") {
			return measure{}, &problem{why: "give one value, not a range", at: r.tokens[0].at}
		}
		return bare(k, number)
	}
	at := r.tokens[0].at
	for n := min(len(words), 3); n > 0; n-- {
		name := strings.Join(words[:n], " ")
		name = strings.Replace(name, "° ", "°", 1)
		found := named(name)
		for _, m := range found {
			if m.kind == k {
				r.tokens = r.tokens[n:]
				return m, nil
			}
		}
		if why := unclear[name]; why != "" {
			return measure{}, &problem{why: why, at: at}
		}
		if len(found) > 0 {
			return measure{}, &problem{why: misfit(name, found[0].kind, k), at: at, misfits: true}
		}
	}
	return measure{}, &problem{why: strconv.Quote(strings.Join(words, " ")) + " is not a unit that is known here", at: at, misfits: true}
}

// misfit says that a unit is of another kind.
func misfit(name string, is, want Kind) string {
	if strings.EqualFold(name, "oz") && want == KindVolume {
		return "oz is a weight here; write fl oz for a volume"
	}
	return fmt.Sprintf("%s is a unit of %s, not of %s", name, kinds[is].words, kinds[want].words)
}

// bare gives the unit of a number that has none, where one is natural.
func bare(k Kind, number token) (measure, *problem) {
	at := number.at
	switch {
	case k == KindCount || k == KindPH:
		return measure{kind: k, size: 1}, nil
	case k == KindShare && number.value < 1:
		return measure{kind: k, size: 1}, nil
	case k == KindShare:
		return measure{}, &problem{why: fmt.Sprintf("without a sign it could be %s %% or %s %%; write one of these", written(number.value), written(number.value*100)), at: at}
	case k == KindTemperature:
		v := number.value
		return measure{}, &problem{why: fmt.Sprintf("it could be %s °C (%s °F) or %s °F (%s °C); write one of these",
			written(v), written(math.Round(v*9/5+32)), written(v), written(math.Round((v-32)*5/9))), at: at}
	}
	return measure{}, &problem{why: "a unit is missing", at: at}
}

// written writes a number for an error.
func written(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// SplitList gives the items of a list that is written with semicolons, trimmed,
// without the empty ones.
func SplitList(s string) []string {
	var out []string
	for _, item := range strings.Split(s, ";") {
		if item = strings.TrimSpace(item); item != "" {
			out = append(out, item)
		}
	}
	return out
}
