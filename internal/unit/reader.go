package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// quantityReader reads a quantity from tokens.
type quantityReader struct {
	tokens []token
	end    int     // the position after the last character
	sign   float64 // 1 or −1, of the quantity being read
}

func (r *quantityReader) hasNext() bool { return len(r.tokens) > 0 }

// nextIs reports whether the next token is one of texts, in any case; a number never is.
func (r *quantityReader) nextIs(texts ...string) bool {
	for _, t := range texts {
		if r.hasNext() && !r.tokens[0].number && strings.EqualFold(r.tokens[0].text, t) {
			return true
		}
	}
	return false
}

// position returns the position of the next token, or of the end.
func (r *quantityReader) position() int {
	if r.hasNext() {
		return r.tokens[0].at
	}
	return r.end
}

func (r *quantityReader) next() token {
	t := r.tokens[0]
	r.tokens = r.tokens[1:]
	return t
}

// quantity parses all tokens as one quantity of kind k.
func (r *quantityReader) quantity(k Kind, about kindInfo) (float64, *parseProblem) {
	if !r.hasNext() {
		return 0, &parseProblem{reason: "it is empty"}
	}
	r.sign = 1
	if r.nextIs("-") {
		r.sign = -1
	}
	if r.nextIs("-", "+") {
		r.next()
	}
	if k == KindPH && r.nextIs("ph") {
		r.next()
	}
	read := r.sum
	if about.quotientOf != [2]Kind{} && !r.hasOwnUnit(k) {
		read = r.quotient
	}
	v, wrong := read(k)
	if wrong != nil {
		return 0, wrong
	}
	if !r.hasNext() {
		return v, nil
	}
	t := r.next()
	if t.text == "-" {
		return 0, &parseProblem{reason: "give one value, not a range", position: t.at}
	}
	return 0, &parseProblem{reason: strconv.Quote(t.text) + " cannot follow the unit", position: t.at}
}

// quotient parses "5 g per 200 mL" or "25 g/L": an amount divided by an amount. The
// second amount may lack its number.
func (r *quantityReader) quotient(k Kind) (float64, *parseProblem) {
	about := kindInfos[k]
	if k == KindHardness && len(r.tokens) > 1 && strings.EqualFold(r.tokens[1].text, "mmol") { // of CaCO3
		r.tokens[0].value *= chalkPerMillimole
		r.tokens[1].text = "mg"
	}
	above, wrong := r.sum(about.quotientOf[0])
	if wrong != nil {
		return 0, wrong
	}
	if !r.nextIs("/", "per") {
		return 0, &parseProblem{reason: fmt.Sprintf("write %s per %s", kindInfos[about.quotientOf[0]].words, strings.TrimPrefix(strings.TrimPrefix(kindInfos[about.quotientOf[1]].words, "a "), "an ")), position: r.position(), wrongKind: true}
	}
	at := r.next().at
	if r.hasNext() && !r.tokens[0].number {
		r.tokens = append([]token{{number: true, value: 1, text: "1", at: at}}, r.tokens...)
	}
	r.sign = 1
	below, wrong := r.sum(about.quotientOf[1])
	if wrong != nil {
		return 0, wrong
	}
	if below == 0 {
		return 0, &parseProblem{reason: "it is divided by zero", position: at}
	}
	return above / below * about.scale, nil
}

// hasOwnUnit reports whether the quotient k is written with a unit of its own, such as
// gsm.
func (r *quantityReader) hasOwnUnit(k Kind) bool {
	if len(r.tokens) < 2 || len(r.tokens) > 3 {
		return false
	}
	name := r.tokens[1].text
	if len(r.tokens) == 3 { // "8 ° dH", "10 French degrees"
		name = strings.Replace(name+" "+r.tokens[2].text, "° ", "°", 1)
	}
	for _, m := range findMeasures(name) {
		if m.kind == k {
			return true
		}
	}
	return false
}

// sum parses "1 lb 4 oz": numbers with units of kind k, each smaller than the one before.
func (r *quantityReader) sum(k Kind) (float64, *parseProblem) {
	var total, last float64
	for {
		if !r.hasNext() || !r.tokens[0].number {
			why := "a number is missing"
			if r.hasNext() {
				why += " before " + strconv.Quote(r.tokens[0].text)
			}
			return 0, &parseProblem{reason: why, position: r.position()}
		}
		number := r.next()
		m, wrong := r.unit(k, number)
		if wrong != nil {
			return 0, wrong
		}
		if last > 0 && m.size >= last {
			return 0, &parseProblem{reason: "the larger unit comes first, as in 1 lb 4 oz", position: number.at}
		}
		if k == KindTemperature {
			return celsius(r.sign*number.value, m), nil
		}
		total, last = total+r.sign*number.value*m.size, m.size
		if r.nextIs("and", "+") {
			r.next()
		} else if !r.hasNext() || !r.tokens[0].number {
			return total, nil
		}
	}
}

// celsius converts t in the unit m to °C: a degree Fahrenheit is 5/9 of a degree, and
// 32 °F is 0 °C (NIST SP 811:2008, appendix B.8).
func celsius(t float64, m namedUnit) float64 {
	if m.size != 1 {
		return (t - 32) * 5 / 9
	}
	return t
}

// unit parses the unit after number: the longest run of words that spells one.
func (r *quantityReader) unit(k Kind, number token) (namedUnit, *parseProblem) {
	if number.clock {
		if k != KindDuration {
			return namedUnit{}, &parseProblem{reason: "only a length of time is written with a colon", position: number.at, wrongKind: true}
		}
		return namedUnit{kind: k, size: 1}, nil
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
		if r.nextIs("-") {
			return namedUnit{}, &parseProblem{reason: "give one value, not a range", position: r.tokens[0].at}
		}
		return defaultUnit(k, number)
	}
	at := r.tokens[0].at
	for n := min(len(words), 3); n > 0; n-- {
		name := strings.Join(words[:n], " ")
		name = strings.Replace(name, "° ", "°", 1)
		found := findMeasures(name)
		for _, m := range found {
			if m.kind == k {
				r.tokens = r.tokens[n:]
				return m, nil
			}
		}
		if why := ambiguousSpellings[name]; why != "" {
			return namedUnit{}, &parseProblem{reason: why, position: at}
		}
		if len(found) > 0 {
			return namedUnit{}, &parseProblem{reason: wrongKindText(name, found[0].kind, k), position: at, wrongKind: true}
		}
	}
	return namedUnit{}, &parseProblem{reason: strconv.Quote(strings.Join(words, " ")) + " is not a known unit", position: at, wrongKind: true}
}

// wrongKindText is the problem of a unit of another kind.
func wrongKindText(name string, is, want Kind) string {
	if strings.EqualFold(name, "oz") && want == KindVolume {
		return "oz is a weight here; write fl oz for a volume"
	}
	return fmt.Sprintf("%s is a unit of %s, not of %s", name, kindInfos[is].words, kindInfos[want].words)
}

// minPercent is the number from which a share without a % sign is refused, as 15 probably
// means 15 %. A smaller number is a ratio: a depth of 2 is 200 %.
const minPercent = 5

// defaultUnit returns the unit of a number written without one, where the kind allows
// that.
func defaultUnit(k Kind, number token) (namedUnit, *parseProblem) {
	at := number.at
	switch {
	case k == KindCount || k == KindPH || k == KindNumber:
		return namedUnit{kind: k, size: 1}, nil
	case k == KindShare && number.value < minPercent:
		return namedUnit{kind: k, size: 1}, nil
	case k == KindShare:
		return namedUnit{}, &parseProblem{reason: fmt.Sprintf("without a sign it could be %s %% or %s %%; write one of these", formatNumber(number.value), formatNumber(number.value*100)), position: at}
	case k == KindTemperature:
		v := number.value
		return namedUnit{}, &parseProblem{reason: fmt.Sprintf("it could be %s °C (%s °F) or %s °F (%s °C); write one of these",
			formatNumber(v), formatNumber(math.Round(v*9/5+32)), formatNumber(v), formatNumber(math.Round((v-32)*5/9))), position: at}
	}
	return namedUnit{}, &parseProblem{reason: "a unit is missing", position: at}
}

// formatNumber prints a number in an error.
func formatNumber(v float64) string {
	return strings.Replace(strconv.FormatFloat(v, 'f', -1, 64), "-", "−", 1)
}
