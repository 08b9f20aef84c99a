package calc

import (
	"fmt"
	"strconv"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// Answer collects what a calculator has worked out. The zero Answer is empty.
// An output that does not apply is left out.
type Answer struct {
	outputs  map[string]told
	cautions []fault.Caution
	notes    []string
	each     []string
	sources  []fault.Source
}

// told is one output as it was worked out.
type told struct {
	number, low, high float64
	ranged, open      bool
	exact             bool // the value keeps all its digits
	word              string
	time, from, till  zone.Instant
	isTime            bool
	text              string       // instead of the usual text
	unit              string       // instead of the usual unit
	of                string       // the output of which it is one, where that is for each item
	source            fault.Source // instead of the listed one
}

func (a *Answer) put(key string, t told) {
	if a.outputs == nil {
		a.outputs = map[string]told{}
	}
	a.outputs[key] = t
}

// Put gives a quantity in the base unit of the output's kind.
func Put[Q ~float64](a *Answer, key string, v Q) { a.put(key, told{number: float64(v)}) }

// PutRange gives a quantity with its honest range.
func PutRange[Q ~float64](a *Answer, key string, v, low, high Q) {
	a.put(key, told{number: float64(v), low: float64(low), high: float64(high), ranged: true})
}

// PutEach gives what PutRange does for one item, by its name, of an output that is
// for each.
func PutEach[Q ~float64](a *Answer, key, name string, v, low, high Q) {
	a.each = append(a.each, name)
	a.put(name, told{number: float64(v), low: float64(low), high: float64(high), ranged: low != high, of: key})
}

// PutFrom gives a quantity whose range is open: no upper end can be told.
func PutFrom[Q ~float64](a *Answer, key string, v, low Q) {
	a.put(key, told{number: float64(v), low: float64(low), ranged: true, open: true})
}

// PutWritten gives a number as it is written, with a point and all its digits: value
// and text agree.
func (a *Answer) PutWritten(key, written string, style unit.Style) error {
	v, err := strconv.ParseFloat(written, 64)
	if err != nil {
		return fault.New(fault.Internal, "%q is given as a number", written)
	}
	a.put(key, told{number: v, exact: true, text: withSign(written, style)})
	return nil
}

// withSign gives a number that is written with a point the decimal sign of the style.
func withSign(written string, style unit.Style) string {
	if style.Comma {
		return strings.Replace(written, ".", ",", 1)
	}
	return written
}

// PutIn gives a number, with its range, in a unit that was asked for.
func (a *Answer) PutIn(key, unit string, v, low, high float64) {
	a.put(key, told{number: v, low: low, high: high, ranged: low != high, unit: unit})
}

// PutWord gives one of the output's words, and the sentence to show for it;
// where text is empty the word's label is shown.
func (a *Answer) PutWord(key, value, text string) { a.put(key, told{word: value, text: text}) }

// PutTime gives a point in time.
func (a *Answer) PutTime(key string, t zone.Instant) { a.put(key, told{time: t, isTime: true}) }

// PutTimes gives a point in time with its range; a till of 0 is open: no end can
// be told.
func (a *Answer) PutTimes(key string, t, from, till zone.Instant) {
	a.put(key, told{time: t, from: from, till: till, isTime: true, ranged: true})
}

// setUnit gives the value of an output that was put another unit than its kind's.
func (a *Answer) setUnit(key, unit string) {
	t := a.outputs[key]
	t.unit = unit
	a.put(key, t)
}

// Say replaces the text of an output that was put.
func (a *Answer) Say(key, format string, args ...any) {
	t := a.outputs[key]
	t.text = fmt.Sprintf(format, args...)
	a.put(key, t)
}

// From names where an output that was put comes from, instead of the source that
// is listed for it: where the inputs decide that.
func (a *Answer) From(key string, s fault.Source) {
	t := a.outputs[key]
	t.source = s
	a.put(key, t)
}

// Cite adds a source that this answer rests on beside those of its outputs.
func (a *Answer) Cite(s fault.Source) { a.sources = append(a.sources, s) }

// Caution adds cautions that this answer calls for.
func (a *Answer) Caution(c ...fault.Caution) { a.cautions = append(a.cautions, c...) }

// Note adds a sentence that the reader of the answer needs.
func (a *Answer) Note(format string, args ...any) {
	a.notes = append(a.notes, fmt.Sprintf(format, args...))
}
