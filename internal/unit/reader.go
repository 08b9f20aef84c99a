package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// reader reads a quantity from tokens.
type reader struct {
	tokens []token
	end    int     // the position after the last character
	sign   float64 // of the numbers read now
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

// at gives the position that is reached.
func (r *reader) at() int {
	if r.more() {
		return r.tokens[0].at
	}
	return r.end
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
	r.sign = 1
	if r.is("-") {
		r.sign = -1
	}
	if r.is("-", "+") {
		r.next()
	}
	if k == KindPH && r.is("ph") {
		r.next()
	}
	read := r.sum
	if about.over != [2]Kind{} && !r.whole(k) {
		read = r.quotient
	}
	v, wrong := read(k)
	if wrong != nil {
		return 0, wrong
	}
	if !r.more() {
		return v, nil
	}
	t := r.next()
	if t.text == "-" {
		return 0, &problem{why: "give one value, not a range", at: t.at}
	}
	return 0, &problem{why: strconv.Quote(t.text) + " has no place after the unit", at: t.at}
}

// quotient reads "5 g per 200 mL" or "25 g/L": a sum over a sum, of which the
// number below may be left out.
func (r *reader) quotient(k Kind) (float64, *problem) {
	about := kinds[k]
	if k == KindHardness && len(r.tokens) > 1 && strings.EqualFold(r.tokens[1].text, "mmol") { // of CaCO3
		r.tokens[0].value *= chalk
		r.tokens[1].text = "mg"
	}
	above, wrong := r.sum(about.over[0])
	if wrong != nil {
		return 0, wrong
	}
	if !r.is("/", "per") {
		return 0, &problem{why: fmt.Sprintf("write %s per %s", kinds[about.over[0]].words, strings.TrimPrefix(strings.TrimPrefix(kinds[about.over[1]].words, "a "), "an ")), at: r.at(), misfits: true}
	}
	at := r.next().at
	if r.more() && !r.tokens[0].number {
		r.tokens = append([]token{{number: true, value: 1, text: "1", at: at}}, r.tokens...)
	}
	r.sign = 1
	below, wrong := r.sum(about.over[1])
	if wrong != nil {
		return 0, wrong
	}
	if below == 0 {
		return 0, &problem{why: "what it is divided by is zero", at: at}
	}
	return above / below * about.scale, nil
}

// whole says whether the quotient k is written with a unit of its own (gsm).
func (r *reader) whole(k Kind) bool {
	if len(r.tokens) < 2 || len(r.tokens) > 3 {
		return false
	}
	name := r.tokens[1].text
	if len(r.tokens) == 3 { // "8 ° dH", "10 French degrees"
		name = strings.Replace(name+" "+r.tokens[2].text, "° ", "°", 1)
	}
	for _, m := range named(name) {
		if m.kind == k {
			return true
		}
	}
	return false
}

// sum reads "1 lb 4 oz": numbers with units of kind k that get smaller.
func (r *reader) sum(k Kind) (float64, *problem) {
	var total, last float64
	for {
		if !r.more() || !r.tokens[0].number {
			why := "a number is missing"
			if r.more() {
				why += " before " + strconv.Quote(r.tokens[0].text)
			}
			return 0, &problem{why: why, at: r.at()}
		}
		number := r.next()
		m, wrong := r.unit(k, number)
		if wrong != nil {
			return 0, wrong
		}
		if last > 0 && m.size >= last {
			return 0, &problem{why: "units that are added up get smaller, as in 1 lb 4 oz", at: number.at}
		}
		if k == KindTemperature {
			return celsius(r.sign*number.value, m), nil
		}
		total, last = total+r.sign*number.value*m.size, m.size
		if r.is("and", "+") {
			r.next()
		} else if !r.more() || !r.tokens[0].number {
			return total, nil
		}
	}
}

// celsius gives t of the unit m as °C: °F is 5/9 of a degree, from 32 (NIST
// SP 811:2008, appendix B.8).
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

// percentFrom is the number from which on a share without a sign is refused: who
// writes 15 means 15 %. Below it the number is a ratio: a depth of 2 is 200 %.
const percentFrom = 5

// bare gives the unit of a number that has none, where one is natural.
func bare(k Kind, number token) (measure, *problem) {
	at := number.at
	switch {
	case k == KindCount || k == KindPH || k == KindNumber:
		return measure{kind: k, size: 1}, nil
	case k == KindShare && number.value < percentFrom:
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
func written(v float64) string {
	return strings.Replace(strconv.FormatFloat(v, 'f', -1, 64), "-", "−", 1)
}
