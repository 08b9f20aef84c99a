package calc

import (
	"fmt"
	"strconv"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// Answer collects what a calculator has worked out. The zero Answer is empty.
// A calculator leaves out an output that does not apply.
type Answer struct {
	outputs  map[string]outputValue
	cautions []provenance.Caution
	notes    []string
	itemKeys []string
	sources  []provenance.Source
}

// outputValue is the value of one output before it is rounded and printed.
type outputValue struct {
	number, low, high          float64
	hasRange, openEnded        bool // has a range; the range has no upper end
	isExact                    bool // the value keeps all its digits
	word                       string
	time, rangeStart, rangeEnd zone.Instant
	isTime                     bool
	text                       string            // instead of the usual text
	unit                       string            // instead of the usual unit
	listKey                    string            // key of the listed output that this is one item of
	source                     provenance.Source // instead of the source in the entry
}

func (a *Answer) setOutput(key string, t outputValue) {
	if a.outputs == nil {
		a.outputs = map[string]outputValue{}
	}
	a.outputs[key] = t
}

// Put sets the output key to a quantity in the base unit of its kind.
func Put[Q ~float64](a *Answer, key string, v Q) { a.setOutput(key, outputValue{number: float64(v)}) }

// PutRange sets the output key to a quantity with its range.
func PutRange[Q ~float64](a *Answer, key string, v, low, high Q) {
	a.setOutput(key, outputValue{number: float64(v), low: float64(low), high: float64(high), hasRange: true})
}

// PutItem adds one item, by its name, to an output that has one value for each item.
// Where low equals high the item has no range.
func PutItem[Q ~float64](a *Answer, key, name string, v, low, high Q) {
	a.itemKeys = append(a.itemKeys, name)
	a.setOutput(name, outputValue{number: float64(v), low: float64(low), high: float64(high), hasRange: low != high, listKey: key})
}

// PutOpenRange sets the output key to a quantity whose range has no upper end.
func PutOpenRange[Q ~float64](a *Answer, key string, v, low Q) {
	a.setOutput(key, outputValue{number: float64(v), low: float64(low), hasRange: true, openEnded: true})
}

// PutFormattedNumber sets the output key to a number that is already written out with a decimal
// point. The value keeps all its digits, so value and text agree. Text that is not a
// number is an Internal fault.
func (a *Answer) PutFormattedNumber(key, written string, style unit.Style) error {
	v, err := strconv.ParseFloat(written, 64)
	if err != nil {
		return fault.New(fault.Internal, "%q is not a number", written)
	}
	a.setOutput(key, outputValue{number: v, isExact: true, text: localizeDecimal(written, style)})
	return nil
}

// localizeDecimal replaces the decimal point of a written number by the style's decimal sign.
func localizeDecimal(written string, style unit.Style) string {
	if style.Comma {
		return strings.Replace(written, ".", ",", 1)
	}
	return written
}

// PutIn sets the output key to a number, with its range, in the unit the person asked for.
func (a *Answer) PutIn(key, unit string, v, low, high float64) {
	a.setOutput(key, outputValue{number: v, low: low, high: high, hasRange: low != high, unit: unit})
}

// PutWord sets the output key to one of its words, and to the sentence that is shown for
// it. Where text is empty the word's label is shown.
func (a *Answer) PutWord(key, value, text string) {
	a.setOutput(key, outputValue{word: value, text: text})
}

// PutTime sets the output key to a point in time.
func (a *Answer) PutTime(key string, t zone.Instant) {
	a.setOutput(key, outputValue{time: t, isTime: true})
}

// PutTimes sets the output key to a point in time with its range. A until of 0 means that
// the range has no end.
func (a *Answer) PutTimes(key string, t, from, until zone.Instant) {
	a.setOutput(key, outputValue{time: t, rangeStart: from, rangeEnd: until, isTime: true, hasRange: true})
}

// setUnit changes the unit of an output that was put, where it differs from its kind's.
func (a *Answer) setUnit(key, unit string) {
	t := a.outputs[key]
	t.unit = unit
	a.setOutput(key, t)
}

// SetText replaces the text of an output that was put; it has no effect on the value.
func (a *Answer) SetText(key, format string, args ...any) {
	t := a.outputs[key]
	t.text = fmt.Sprintf(format, args...)
	a.setOutput(key, t)
}

// SetSource replaces the listed source of an output that was put, where the inputs decide
// which source applies.
func (a *Answer) SetSource(key string, s provenance.Source) {
	t := a.outputs[key]
	t.source = s
	a.setOutput(key, t)
}

// AddSource adds a source to the sources of the outputs.
func (a *Answer) AddSource(s provenance.Source) { a.sources = append(a.sources, s) }

// AddCaution adds cautions that apply to this answer only.
func (a *Answer) AddCaution(c ...provenance.Caution) { a.cautions = append(a.cautions, c...) }

// AddNote adds a sentence that is shown below the outputs.
func (a *Answer) AddNote(format string, args ...any) {
	a.notes = append(a.notes, fmt.Sprintf(format, args...))
}
