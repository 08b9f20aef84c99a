package unit

import (
	"strconv"
	"strings"
	"unicode"
)

// maxLength is the most characters that a written quantity may have.
const maxLength = 80

// parseProblem is what is wrong with a written quantity; makeFault turns it into a fault.
type parseProblem struct {
	reason    string
	position  int  // the character it starts at, from 1; 0 for all of it
	wrongKind bool // the quantity is valid but of another kind
}

// token is a number, a word, or one of the signs / + - %.
type token struct {
	text   string
	at     int
	number bool
	value  float64
	clock  bool // a number written h:mm, in seconds
}

// fractionChars maps each fraction character to its value.
var fractionChars = map[rune]float64{
	'½': 1. / 2, '⅓': 1. / 3, '⅔': 2. / 3, '¼': 1. / 4, '¾': 3. / 4, '⅕': 1. / 5, '⅖': 2. / 5, '⅗': 3. / 5, '⅘': 4. / 5,
	'⅙': 1. / 6, '⅚': 5. / 6, '⅛': 1. / 8, '⅜': 3. / 8, '⅝': 5. / 8, '⅞': 7. / 8,
}

// normalize replaces each character of typed by the plain one that looks alike, so that
// positions stay the same: spaces by a space, minus signs by a hyphen, full-width
// characters by ASCII, raised 2 and 3 by digits.
func normalize(typed string) []rune {
	out := []rune(typed)
	for i, r := range out {
		switch {
		case unicode.IsSpace(r), r == '\u200b', r == '\u2060', r == '\ufeff':
			out[i] = ' '
		case r >= '！' && r <= '～':
			out[i] = r - '！' + '!'
		case r == '−', r == '‐', r == '‑', r == '–', r == '﹣':
			out[i] = '-'
		case r == '⁄', r == '∕':
			out[i] = '/'
		case r == 'μ':
			out[i] = 'µ'
		case r == 'º', r == '˚':
			out[i] = '°'
		case r == '²':
			out[i] = '2'
		case r == '³':
			out[i] = '3'
		}
	}
	return out
}

// scanner splits a normalized text into tokens.
type scanner struct {
	text []rune
	i    int
}

func (s *scanner) peek(n int) rune {
	if s.i+n < len(s.text) {
		return s.text[s.i+n]
	}
	return 0
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

// isLetter reports whether r may be part of a unit's name.
func isLetter(r rune) bool { return unicode.IsLetter(r) || r == '°' }

// tokenize splits text into tokens.
func tokenize(text []rune) ([]token, *parseProblem) {
	s := scanner{text: text}
	var out []token
	for s.i < len(s.text) {
		r, at := s.peek(0), s.i+1
		switch {
		case r == ' ':
			s.i++
		case isDigit(r) || fractionChars[r] != 0 || (r == '.' || r == ',') && isDigit(s.peek(1)):
			t, wrong := s.number()
			if wrong != nil {
				return nil, wrong
			}
			out = append(out, t)
		case r == '℃' || r == '℉':
			s.i++
			out = append(out, token{text: map[rune]string{'℃': "°C", '℉': "°F"}[r], at: at})
		case isLetter(r):
			out = append(out, token{text: s.word(), at: at})
		case r == '/' || r == '+' || r == '-' || r == '%':
			s.i++
			out = append(out, token{text: string(r), at: at})
		default:
			return nil, &parseProblem{reason: strconv.Quote(string(r)) + " does not belong in it", position: at}
		}
	}
	return out, nil
}

// word reads letters and a 2 or 3 after them, and skips the full stop of an abbreviation.
func (s *scanner) word() string {
	from := s.i
	for isLetter(s.peek(0)) {
		s.i++
	}
	text := string(s.text[from:s.i])
	if s.peek(0) == '^' && isDigit(s.peek(1)) {
		s.i++
	}
	if r := s.peek(0); (r == '2' || r == '3') && !isDigit(s.peek(1)) {
		text += string(r)
		s.i++
	}
	if s.peek(0) == '.' && !isDigit(s.peek(1)) {
		s.i++
	}
	return text
}

// digits reads a run of digits.
func (s *scanner) digits() string {
	from := s.i
	for isDigit(s.peek(0)) {
		s.i++
	}
	return string(s.text[from:s.i])
}

// number reads 12, 1.5, 1,5, 1/4, 1 1/2, 1-1/2, ½, 1½ or 2:30.
func (s *scanner) number() (token, *parseProblem) {
	t := token{number: true, at: s.i + 1}
	whole := s.digits()
	t.value, _ = strconv.ParseFloat("0"+whole, 64)
	var wrong *parseProblem
	switch r := s.peek(0); {
	case (r == '.' || r == ',') && isDigit(s.peek(1)):
		t.value, wrong = s.decimals(t.at, whole, r)
	case r == '/' && isDigit(s.peek(1)):
		s.i++
		t.value, wrong = divide(t.at, t.value, s.digits())
	case r == ':':
		t.value, wrong = s.clockMinutes(t.at, t.value)
		t.clock = true
	default:
		var part float64
		part, wrong = s.fractionPart(whole != "")
		t.value += part
	}
	if wrong != nil {
		return t, wrong
	}
	if e := s.peek(0); (e == 'e' || e == 'E') && (isDigit(s.peek(1)) || isDigit(s.peek(2)) && s.peek(1) != ' ') {
		return t, &parseProblem{reason: "write the number out, without an exponent", position: s.i + 1}
	}
	if r := s.peek(0); r == '.' || r == ',' || r == '/' || r == ':' {
		return t, &parseProblem{reason: "a number cannot be followed by " + strconv.Quote(string(r)), position: s.i + 1}
	}
	return t, nil
}

// decimals reads the digits after the decimal sign. A comma before exactly three digits
// is a problem, since it may separate thousands.
func (s *scanner) decimals(at int, whole string, sign rune) (float64, *parseProblem) {
	s.i++
	d := s.digits()
	if sign == ',' && len(d) == 3 {
		if whole == "" {
			whole = "0"
		}
		big := strings.TrimLeft(whole+d, "0")
		if big == "" {
			big = "0"
		}
		return 0, &parseProblem{reason: "the comma could be a decimal comma (" + whole + "." + d + ") or one of thousands (" + big + "); write one of these", position: at}
	}
	v, _ := strconv.ParseFloat("0"+whole+"."+d, 64)
	return v, nil
}

// divide returns above ÷ below.
func divide(at int, above float64, below string) (float64, *parseProblem) {
	d, _ := strconv.ParseFloat(below, 64)
	if d == 0 {
		return 0, &parseProblem{reason: "a number cannot be divided by zero", position: at}
	}
	return above / d, nil
}

// clockMinutes reads the :30 of 2:30.
func (s *scanner) clockMinutes(at int, hours float64) (float64, *parseProblem) {
	s.i++
	m := s.digits()
	v, _ := strconv.ParseFloat("0"+m, 64)
	if len(m) != 2 || v > 59 {
		return 0, &parseProblem{reason: "after the colon write two digits of minutes, 00 to 59", position: at}
	}
	return hours*3600 + v*60, nil
}

// fractionPart reads a fraction after a whole number, if there is one: ½ or, after a space
// or hyphen, 1/2.
func (s *scanner) fractionPart(after bool) (float64, *parseProblem) {
	from := s.i
	if after {
		for s.peek(0) == ' ' {
			s.i++
		}
		if s.i == from && s.peek(0) == '-' {
			s.i++
		}
	}
	if v := fractionChars[s.peek(0)]; v != 0 {
		s.i++
		return v, nil
	}
	if after && s.i > from && isDigit(s.peek(0)) {
		at := s.i + 1
		above := s.digits()
		if s.peek(0) == '/' && isDigit(s.peek(1)) {
			s.i++
			a, _ := strconv.ParseFloat(above, 64)
			v, wrong := divide(at, a, s.digits())
			if wrong == nil && v >= 1 {
				wrong = &parseProblem{reason: "a fraction after a whole number must be below one", position: at}
			}
			return v, wrong
		}
	}
	s.i = from
	return 0, nil
}
