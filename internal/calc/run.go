package calc

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// Env is what a calculator knows of the device it runs on.
type Env struct {
	Now   zone.Instant
	Zone  zone.Table
	Zones func(name string) (zone.Table, error) // nil where there are no tables
	Style unit.Style
}

// ResultValue is one input or output of a Result. Value, Low and High are numbers in
// Unit, rounded to six significant digits; for a word and a time they are strings.
type ResultValue struct {
	Typed     string `json:"typed,omitempty"` // inputs
	Value     any    `json:"value"`
	Unit      string `json:"unit"`
	Text      string `json:"text"`
	MainText  string `json:"main,omitempty"`  // outputs: Text without the brackets and without "pH"; empty where that is Text
	AsideText string `json:"aside,omitempty"` // outputs: the text in the brackets
	Low       any    `json:"low,omitempty"`
	High      any    `json:"high,omitempty"`
	Default   bool   `json:"default,omitempty"` // inputs: the default was used
}

// Result is the answer of a calculator, ready to be shown or written as JSON.
type Result struct {
	Calculator string                 `json:"calculator"`
	Inputs     map[string]ResultValue `json:"inputs"`
	Outputs    map[string]ResultValue `json:"outputs"`
	ItemKeys   []string               `json:"each,omitempty"` // keys of the outputs that stand for one item each, in order
	Cautions   []provenance.Caution   `json:"cautions"`
	Notes      []string               `json:"notes"`
	Sources    []provenance.Source    `json:"sources"`
}

// The units of values that are not quantities.
const (
	unitWord = "word"
	unitTime = "time"
	unitText = "text"
)

// Run parses the inputs, calculates and rounds. Inputs are as a person typed them; a
// blank one counts as not given. Every error is a *fault.Fault: NotFound for an unknown
// calculator, Missing or Input with the key of the wrong input, Internal for a mistake of
// the calculator. No number in a Result is NaN or infinite.
func Run(name string, inputs map[string]string, env Env) (*Result, error) {
	e, err := Find(name)
	if err != nil {
		return nil, err
	}
	g, err := readInputs(&e, inputs, env)
	if err != nil {
		return nil, err
	}
	a, err := e.Calculate(g)
	if err != nil {
		return nil, fault.AsFault(err)
	}
	r := &Result{Calculator: e.Name, Inputs: map[string]ResultValue{}, Outputs: map[string]ResultValue{},
		Cautions: []provenance.Caution{}, Notes: append([]string{}, a.notes...), ItemKeys: a.itemKeys, Sources: []provenance.Source{}}
	for _, in := range e.Inputs {
		if v, ok := g.values[in.Key]; ok {
			r.Inputs[in.Key] = g.inputResult(in, v)
			if v.byDefault {
				r.cite(in.Source)
			}
		}
	}
	for key, t := range a.outputs {
		listed := key
		if t.listKey != "" {
			listed = t.listKey
		}
		out, ok := e.output(listed)
		if !ok {
			return nil, fault.New(fault.Internal, "%s returned the output %q, which it does not list", e.Name, key)
		}
		if r.Outputs[key], err = g.outputResult(out, t); err != nil {
			return nil, err
		}
	}
	for _, c := range append(slices.Clone(a.cautions), e.Cautions...) {
		if !slices.Contains(r.Cautions, c) {
			r.Cautions = append(r.Cautions, c)
		}
	}
	for _, out := range e.Outputs {
		if _, ok := r.Outputs[out.Key]; ok || out.IsList && len(r.ItemKeys) > 0 {
			s := out.Source
			if from := a.outputs[out.Key].source; from.Text != "" {
				s = from
			}
			r.cite(s)
		}
	}
	for _, s := range append(slices.Clone(a.sources), e.Sources...) {
		r.cite(s)
	}
	return r, nil
}

// cite adds a source unless the result has it already.
func (r *Result) cite(s provenance.Source) {
	if s.Text != "" && !slices.Contains(r.Sources, s) {
		r.Sources = append(r.Sources, s)
	}
}

// significant rounds v to six significant digits.
func significant(v float64) float64 { return roundDigits(v, 6) }

// roundDigits rounds v to a number of significant digits; NaN and Inf become 0.
func roundDigits(v float64, digits int) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	if err != nil || r == 0 { // r == 0 also turns −0 into 0
		return 0
	}
	return r
}

// inputResult makes the ResultValue of an input.
func (g *InputValues) inputResult(in Input, v inputValue) ResultValue {
	t := ResultValue{Typed: v.typed, Default: v.byDefault, Value: v.typed, Unit: unitText, Text: v.typed}
	switch in.Type {
	case TypeQuantity:
		t.Value, t.Unit, t.Text = significant(v.number), unit.BaseUnit(v.kind), unit.Show(v.kind, v.number, g.Style)
	case TypeChoice:
		t.Value, t.Unit, t.Text = v.word, unitWord, wordLabel(in.Words, v.word)
	case TypeTime:
		t.Value, t.Unit, t.Text = g.Zone.FormatStamp(v.time), unitTime, g.clockText(v.time)
	}
	return t
}

// wordLabel returns the label of a word's value, or the value where it is not listed.
func wordLabel(words []Word, value string) string {
	for _, w := range words {
		if w.Value == value {
			return w.Label
		}
	}
	return value
}

// clockText prints an instant in the zone of the inputs, relative to Now.
func (g *InputValues) clockText(t zone.Instant) string {
	return g.Zone.FormatClock(t, g.Now, g.Style.Clock12)
}

// outputResult makes the ResultValue of an output. A number that is not finite is an
// Input fault, a word that is not listed an Internal one.
func (g *InputValues) outputResult(out Output, t outputValue) (ResultValue, error) {
	switch {
	case t.isTime:
		return g.timeResult(t), nil
	case len(out.Words) > 0:
		if !slices.ContainsFunc(out.Words, func(w Word) bool { return w.Value == t.word }) {
			return ResultValue{}, fault.New(fault.Internal, "%s returned %q for %s, which is not one of its words", g.entry.Name, t.word, out.Key)
		}
		if t.text == "" {
			t.text = wordLabel(out.Words, t.word)
		}
		return ResultValue{Value: t.word, Unit: unitWord, Text: t.text}, nil
	}
	for _, v := range []float64{t.number, t.low, t.high} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return ResultValue{}, fault.New(fault.Input, "%s cannot be worked out from these values", out.Key).WithHint("check the largest and the smallest of them")
		}
	}
	in := func(v float64) float64 { return significant(v) }
	s := ResultValue{Unit: unit.BaseUnit(out.Kind), Text: t.text}
	if each, ok := valueUnitSizes[out.ValueUnit]; ok {
		s.Unit, in = out.ValueUnit, func(v float64) float64 { return significant(v / each) }
	}
	if t.unit != "" {
		s.Unit = t.unit
	}
	if t.isExact {
		in = func(v float64) float64 { return v }
	}
	s.Value = in(t.number)
	if t.hasRange {
		s.Low = in(t.low)
		if !t.openEnded {
			s.High = in(t.high)
		}
	}
	if s.Text == "" {
		text := unit.Show(out.Kind, t.number, g.Style)
		s.MainText = strings.TrimPrefix(text, "pH ")
		switch {
		case t.openEnded:
			s.AsideText = "from " + unit.Show(out.Kind, t.low, g.Style) + ", no upper limit"
		case t.hasRange:
			if span := unit.ShowRange(out.Kind, t.low, t.high, g.Style); span != text {
				s.AsideText = span
			}
		default:
			s.AsideText = unit.ShowInOther(out.Kind, t.number, g.Style)
		}
		s.Text = withAside(text, s.AsideText)
		s.AsideText = strings.TrimPrefix(s.AsideText, "pH ")
	}
	return s.omitEqualMain(), nil
}

// omitEqualMain clears MainText where it equals Text.
func (s ResultValue) omitEqualMain() ResultValue {
	if s.MainText == s.Text {
		s.MainText = ""
	}
	return s
}

// withAside appends an aside to a text, in brackets.
func withAside(text, aside string) string {
	if aside == "" {
		return text
	}
	return text + " (" + aside + ")"
}

// timeResult makes the ResultValue of an output that is a point in time.
func (g *InputValues) timeResult(t outputValue) ResultValue {
	s := ResultValue{Value: g.Zone.FormatStamp(t.time), Unit: unitTime, Text: t.text}
	if t.hasRange {
		s.Low = g.Zone.FormatStamp(t.rangeStart)
		if t.rangeEnd != 0 {
			s.High = g.Zone.FormatStamp(t.rangeEnd)
		}
	}
	if s.Text == "" {
		s.MainText = g.clockText(t.time)
		switch {
		case t.hasRange && t.rangeEnd != 0:
			s.AsideText = g.clockText(t.rangeStart) + " – " + g.clockText(t.rangeEnd)
		case t.hasRange:
			s.AsideText = "from " + g.clockText(t.rangeStart) + ", no upper limit"
		}
		s.Text = withAside(s.MainText, s.AsideText)
	}
	return s.omitEqualMain()
}
