package journal

import (
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"coldbatch/internal/fault"
)

// maxNesting says how deep a fact may be nested.
const maxNesting = 40

// maxExactInteger is the largest whole number that every reader of JSON reads as it is
// (RFC 8259, section 6).
const maxExactInteger = 1<<53 - 1

// ReadFact reads a fact that comes from outside: from a phone, or from a file. It refuses
// what two readers of JSON may take for different facts: text that is not UTF-8 or has
// half a surrogate pair, a name twice in one object, a name with capital letters (which
// encoding/json takes for the same in lower case), a number that is out of range, and
// anything behind the fact. A fact that is stored already is read by UnmarshalJSON, which
// is not as strict. ReadFact keeps text.
func ReadFact(text []byte) (f Fact, err error) {
	if len(text) > maxFact {
		return f, fault.New(fault.Input, "a fact of %d bytes is more than %d", len(text), maxFact)
	}
	scanned, isScanned := parseFactFast(text)
	strict := text
	if isScanned { // all but the body stands there as it must
		strict = scanned.Body
	}
	if err := checkStrict(strict); err != nil {
		return f, err
	}
	if !isScanned {
		err = f.parse(text)
		return f, err
	}
	if err := scanned.check(); err != nil {
		return f, err
	}
	return scanned, nil
}

// checkStrict returns a fault where text is not one JSON value as ReadFact reads it.
func checkStrict(text []byte) error {
	if !utf8.Valid(text) {
		return fault.New(fault.Input, "the text %q of a fact is not UTF-8", shorten(string(text)))
	}
	r := strictReader{jsonScanner: jsonScanner{string(text), 0, true}, names: make([]string, 0, 16)}
	r.skipSpace()
	r.readValue(0)
	r.skipSpace()
	switch {
	case r.fault != nil:
		return r.fault
	case !r.ok || r.pos != len(r.text):
		return fault.New(fault.Input, "%q is not a fact: its JSON ends or breaks off at character %d", shorten(string(text)), r.pos+1)
	}
	return nil
}

// strictReader goes through a JSON text (RFC 8259) with any space between its parts.
type strictReader struct {
	jsonScanner
	names []string // of the objects that are open, those of the innermost last
	fault error    // what is wrong, where more can be said than that it is no JSON
}

func (r *strictReader) refuse(format string, args ...any) {
	if r.ok = false; r.fault == nil {
		r.fault = fault.New(fault.Input, format, args...)
	}
}

func (r *strictReader) skipSpace() {
	for c := r.nextByte(); c == ' ' || c == '\t' || c == '\n' || c == '\r'; c = r.nextByte() {
		r.pos++
	}
}

func (r *strictReader) readValue(depth int) {
	switch c := r.nextByte(); {
	case depth > maxNesting:
		r.refuse("a fact is nested deeper than %d", maxNesting)
	case c == '{':
		r.readObject(depth)
	case c == '[':
		r.readArray(depth)
	case c == '"':
		r.readString()
	case c == '-' || c >= '0' && c <= '9':
		r.readNumber()
	default:
		r.ok = r.accept("true") || r.accept("false") || r.accept("null")
	}
}

func (r *strictReader) readObject(depth int) {
	r.pos++
	first := len(r.names)
	var many map[string]bool // its names, once they are more than a few
	for r.skipSpace(); !r.accept("}"); r.skipSpace() {
		own := r.names[first:]
		if len(own) > 0 {
			r.expect(",")
			r.skipSpace()
		}
		name := r.readString()
		if !r.ok {
			return
		}
		if len(own) == maxNamesInSlice && many == nil {
			many = map[string]bool{}
			for _, n := range own {
				many[n] = true
			}
		}
		if many[name] || many == nil && slices.Contains(own, name) {
			r.refuse("the name %q appears twice in a fact", shorten(name))
		}
		if hasCapital(name) {
			r.refuse("the name %q in a fact has capital letters", shorten(name))
		}
		r.names = append(r.names, name)
		if many != nil {
			many[name] = true
		}
		r.skipSpace()
		r.expect(":")
		r.skipSpace()
		if r.readValue(depth + 1); !r.ok {
			return
		}
	}
	r.names = r.names[:first]
}

// maxNamesInSlice says how many names of an object are compared one by one.
const maxNamesInSlice = 16

// hasCapital says whether encoding/json takes the name for one in other letters: U+017F
// and U+212A fold to s and k.
func hasCapital(name string) bool {
	for _, c := range name {
		if c >= 'A' && c <= 'Z' || c == '\u017f' || c == '\u212a' {
			return true
		}
	}
	return false
}

func (r *strictReader) readArray(depth int) {
	r.pos++
	for n := 0; ; n++ {
		r.skipSpace()
		if r.accept("]") || !r.ok {
			return
		}
		if n > 0 {
			r.expect(",")
			r.skipSpace()
		}
		r.readValue(depth + 1)
	}
}

// readString returns a string without its escapes.
func (r *strictReader) readString() string {
	from := r.pos
	if r.skipString(); !r.ok {
		return ""
	}
	raw := r.text[from:r.pos]
	if !strings.Contains(raw, `\`) {
		return raw[1 : len(raw)-1]
	}
	checkSurrogates(r, raw)
	var s string
	if err := json.Unmarshal([]byte(raw), &s); err != nil {
		r.ok = false
	}
	return s
}

// checkSurrogates refuses a string with half a surrogate pair: no Unicode text has that.
func checkSurrogates(r *strictReader, raw string) {
	for i := 0; i < len(raw)-1; i++ {
		if raw[i] != '\\' {
			continue
		}
		i++
		if raw[i] != 'u' {
			continue
		}
		half := utf16Unit(raw[i+1 : i+5])
		i += 4
		isPair := half>>10 == 0xd800>>10 && len(raw) > i+6 && raw[i+1] == '\\' && raw[i+2] == 'u' && utf16Unit(raw[i+3:i+7])>>10 == 0xdc00>>10
		switch {
		case isPair:
			i += 6
		case half>>11 == 0xd800>>11:
			r.refuse("a fact has half a surrogate pair, \\u%04x", half)
			return
		}
	}
}

// utf16Unit reads four hex digits.
func utf16Unit(digits string) uint64 {
	v, err := strconv.ParseUint(digits, 16, 16)
	if err != nil {
		return 0
	}
	return v
}

// readNumber refuses a number that readers of JSON do not all read as it is written.
func (r *strictReader) readNumber() {
	from := r.pos
	if r.skipNumber(); !r.ok {
		return
	}
	t := r.text[from:r.pos]
	if len(t) <= 15 && !strings.ContainsAny(t, "eE") { // well below the limit
		return
	}
	v, err := strconv.ParseFloat(t, 64)
	if isWhole := !strings.ContainsAny(t, ".eE"); err != nil || isWhole && (v > maxExactInteger || v < -maxExactInteger) {
		r.refuse("the number %s in a fact is out of range", shorten(t))
	}
}
