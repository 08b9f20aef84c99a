package calc

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// Env is what a calculator may know of the device it runs on.
type Env struct {
	Now   zone.Instant
	Zone  zone.Table
	Zones func(name string) (zone.Table, error) // nil where there are no tables
	Style unit.Style
}

// Told is one input or output of a Result. Value, Low and High are numbers in
// Unit, rounded to six significant digits, or for a word and a time a string.
type Told struct {
	Typed   string `json:"typed,omitempty"` // inputs
	Value   any    `json:"value"`
	Unit    string `json:"unit"`
	Text    string `json:"text"`
	Main    string `json:"main,omitempty"`  // outputs, where it is another than Text: without what stands in brackets, and without "pH"
	Aside   string `json:"aside,omitempty"` // outputs: what stands in brackets
	Low     any    `json:"low,omitempty"`
	High    any    `json:"high,omitempty"`
	Default bool   `json:"default,omitempty"` // inputs: not typed
}

// Result is what a calculator answers, ready to be shown or written as JSON.
type Result struct {
	Calculator string          `json:"calculator"`
	Inputs     map[string]Told `json:"inputs"`
	Outputs    map[string]Told `json:"outputs"`
	Each       []string        `json:"each,omitempty"` // keys of the outputs that are one for each item, in order
	Cautions   []fault.Caution `json:"cautions"`
	Notes      []string        `json:"notes"`
	Sources    []fault.Source  `json:"sources"`
}

// The units of values that are no quantity.
const (
	unitWord = "word"
	unitTime = "time"
	unitText = "text"
)

// Run reads the inputs, calculates, and rounds. Inputs are as a person typed
// them; a blank one counts as not given. Every error is a *fault.Fault: NotFound
// where there is no such calculator, Missing or Input with the key of the input
// that is wrong. No number in a Result is NaN or infinite.
func Run(name string, inputs map[string]string, env Env) (*Result, error) {
	e, err := Find(name)
	if err != nil {
		return nil, err
	}
	g, err := read(&e, inputs, env)
	if err != nil {
		return nil, err
	}
	a, err := e.Sum(g)
	if err != nil {
		return nil, fault.Of(err)
	}
	r := &Result{Calculator: e.Name, Inputs: map[string]Told{}, Outputs: map[string]Told{},
		Cautions: []fault.Caution{}, Notes: append([]string{}, a.notes...), Each: a.each, Sources: []fault.Source{}}
	for _, in := range e.Inputs {
		if v, ok := g.values[in.Key]; ok {
			r.Inputs[in.Key] = g.tell(in, v)
			if v.byDefault {
				r.cite(in.Source)
			}
		}
	}
	for key, t := range a.outputs {
		listed := key
		if t.of != "" {
			listed = t.of
		}
		out, ok := e.output(listed)
		if !ok {
			return nil, fault.New(fault.Internal, "%s gave an output %q that it does not list", e.Name, key)
		}
		if r.Outputs[key], err = g.shown(out, t); err != nil {
			return nil, err
		}
	}
	for _, c := range append(slices.Clone(a.cautions), e.Cautions...) {
		if !slices.Contains(r.Cautions, c) {
			r.Cautions = append(r.Cautions, c)
		}
	}
	for _, out := range e.Outputs {
		if _, ok := r.Outputs[out.Key]; ok || out.Each && len(r.Each) > 0 {
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

// cite adds a source once.
func (r *Result) cite(s fault.Source) {
	if s.Text != "" && !slices.Contains(r.Sources, s) {
		r.Sources = append(r.Sources, s)
	}
}

// significant rounds v to six significant digits.
func significant(v float64) float64 { return rounded(v, 6) }

// rounded rounds v to that many significant digits.
func rounded(v float64, digits int) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	if err != nil || r == 0 { // r == 0 also turns −0 into 0
		return 0
	}
	return r
}

// tell shows an input.
func (g *Given) tell(in Input, v given) Told {
	t := Told{Typed: v.typed, Default: v.byDefault, Value: v.typed, Unit: unitText, Text: v.typed}
	switch in.Type {
	case Quantity:
		t.Value, t.Unit, t.Text = significant(v.number), unit.Unit(v.kind), unit.Show(v.kind, v.number, g.Style)
	case Choice:
		t.Value, t.Unit, t.Text = v.word, unitWord, label(in.Words, v.word)
	case Moment:
		t.Value, t.Unit, t.Text = g.Zone.Stamp(v.time), unitTime, g.clock(v.time)
	}
	return t
}

func label(words []Word, value string) string {
	for _, w := range words {
		if w.Value == value {
			return w.Label
		}
	}
	return value
}

func (g *Given) clock(t zone.Instant) string { return g.Zone.Clock(t, g.Now, g.Style.Clock12) }

// shown shows an output. A number that is not finite, or a word that is not
// listed, is a fault.
func (g *Given) shown(out Output, t told) (Told, error) {
	switch {
	case t.isTime:
		return g.shownTime(t), nil
	case len(out.Words) > 0:
		if !slices.ContainsFunc(out.Words, func(w Word) bool { return w.Value == t.word }) {
			return Told{}, fault.New(fault.Internal, "%s gave %q for %s, which is not one of its words", g.entry.Name, t.word, out.Key)
		}
		if t.text == "" {
			t.text = label(out.Words, t.word)
		}
		return Told{Value: t.word, Unit: unitWord, Text: t.text}, nil
	}
	for _, v := range []float64{t.number, t.low, t.high} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return Told{}, fault.New(fault.Input, "these values give no figure for %s", out.Key).WithHint("check the largest and the smallest of them")
		}
	}
	in := func(v float64) float64 { return significant(v) }
	s := Told{Unit: unit.Unit(out.Kind), Text: t.text}
	if each, ok := inUnits[out.In]; ok {
		s.Unit, in = out.In, func(v float64) float64 { return significant(v / each) }
	}
	if t.unit != "" {
		s.Unit = t.unit
	}
	if t.exact {
		in = func(v float64) float64 { return v }
	}
	s.Value = in(t.number)
	if t.ranged {
		s.Low = in(t.low)
		if !t.open {
			s.High = in(t.high)
		}
	}
	if s.Text == "" {
		text := unit.Show(out.Kind, t.number, g.Style)
		s.Main = strings.TrimPrefix(text, "pH ")
		switch {
		case t.open:
			s.Aside = "from " + unit.Show(out.Kind, t.low, g.Style) + ", no end"
		case t.ranged:
			if span := unit.Ranged(out.Kind, t.low, t.high, g.Style); span != text {
				s.Aside = span
			}
		default:
			s.Aside = unit.Other(out.Kind, t.number, g.Style)
		}
		s.Text = withAside(text, s.Aside)
		s.Aside = strings.TrimPrefix(s.Aside, "pH ")
	}
	return s.inParts(), nil
}

// inParts leaves the parts out where the text is one.
func (s Told) inParts() Told {
	if s.Main == s.Text {
		s.Main = ""
	}
	return s
}

// withAside sets an aside behind a text, in brackets.
func withAside(text, aside string) string {
	if aside == "" {
		return text
	}
	return text + " (" + aside + ")"
}

func (g *Given) shownTime(t told) Told {
	s := Told{Value: g.Zone.Stamp(t.time), Unit: unitTime, Text: t.text}
	if t.ranged {
		s.Low = g.Zone.Stamp(t.from)
		if t.till != 0 {
			s.High = g.Zone.Stamp(t.till)
		}
	}
	if s.Text == "" {
		s.Main = g.clock(t.time)
		switch {
		case t.ranged && t.till != 0:
			s.Aside = g.clock(t.from) + " – " + g.clock(t.till)
		case t.ranged:
			s.Aside = "from " + g.clock(t.from) + ", no end"
		}
		s.Text = withAside(s.Main, s.Aside)
	}
	return s.inParts()
}
