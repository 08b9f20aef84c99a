package calc

import (
	"slices"
	"sort"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// InputValues holds the inputs of one calculation: every input that was typed or has a
// default, parsed and in range.
type InputValues struct {
	Now   zone.Instant
	Zone  zone.Table // of the zone input where there is one, else the device's
	Style unit.Style // how the device prints

	entry  *Entry
	values map[string]inputValue
}

// inputValue is the parsed value of one input.
type inputValue struct {
	typed     string
	byDefault bool
	kind      unit.Kind
	number    float64
	word      string
	time      zone.Instant
}

// Has reports whether key has a value, typed or by default.
func (g *InputValues) Has(key string) bool { _, ok := g.values[key]; return ok }

// IsTyped reports whether the value of key was typed, not taken from the default.
func (g *InputValues) IsTyped(key string) bool {
	v, ok := g.values[key]
	return ok && !v.byDefault
}

// Text is the value of key as it was typed, or its default.
func (g *InputValues) Text(key string) string { return g.values[key].typed }

// Kind is the kind of quantity that was typed for key.
func (g *InputValues) Kind(key string) unit.Kind { return g.values[key].kind }

// Word is the value of a word input, "" where there is none.
func (g *InputValues) Word(key string) string { return g.values[key].word }

// Time is the value of a time input, 0 where there is none.
func (g *InputValues) Time(key string) zone.Instant { return g.values[key].time }

// Get is the quantity of key in its base unit, 0 where there is none:
// Get[unit.Mass](g, "soda").
func Get[Q ~float64](g *InputValues, key string) Q { return Q(g.values[key].number) }

// Refuse returns an Input fault about key that names what was typed.
func (g *InputValues) Refuse(key, format string, args ...any) *fault.Fault {
	return fault.New(fault.Input, format, args...).At(key, g.Text(key))
}

// Missing returns a Missing fault about key, with its example as the hint.
func (g *InputValues) Missing(key, format string, args ...any) *fault.Fault {
	f := fault.New(fault.Missing, format, args...).At(key, "")
	if in, ok := g.entry.input(key); ok && in.example() != "" {
		f = f.WithHint("such as %s=%q", key, in.example())
	}
	return f
}

// readInputs parses the inputs of e and checks their ranges. A blank input counts as not
// given. An unknown key is an Input fault, a required input without value is Missing.
func readInputs(e *Entry, inputs map[string]string, env Env) (*InputValues, error) {
	g := &InputValues{Now: env.Now, Zone: env.Zone, Style: env.Style, entry: e, values: map[string]inputValue{}}
	typed := map[string]string{}
	for key, value := range inputs {
		if _, ok := e.input(key); !ok {
			return nil, fault.New(fault.Input, "%s has no input %q", e.Name, key).At(key, value).WithHint("its inputs are %s", e.inputKeys())
		}
		if value = strings.TrimSpace(value); value != "" {
			typed[key] = value
		}
	}
	// The time zone comes first, as times are read in it.
	ordered := slices.Clone(e.Inputs)
	sort.SliceStable(ordered, func(i, j int) bool { return readingOrder(ordered[i]) < readingOrder(ordered[j]) })
	for _, in := range ordered {
		v := inputValue{typed: typed[in.Key]}
		if v.typed == "" {
			v.typed, v.byDefault = in.Default, true
		}
		if v.typed == "" {
			if in.Required {
				return nil, g.Missing(in.Key, "%s needs %s (%s)", e.Name, in.Key, strings.ToLower(in.Label))
			}
			continue
		}
		if err := g.readInput(in, &v, env); err != nil {
			return nil, fault.AsFault(err).At(in.Key, v.typed)
		}
		g.values[in.Key] = v
	}
	return g, nil
}

// readingOrder sorts inputs by when they are read.
func readingOrder(in Input) int {
	if in.Type == TypeZone {
		return 0
	}
	return 1
}

// example returns a value that can be typed for in.
func (in Input) example() string {
	if in.Example == "" {
		return in.Default
	}
	return in.Example
}

// readInput parses one value by the type of its input.
func (g *InputValues) readInput(in Input, v *inputValue, env Env) (err error) {
	switch in.Type {
	case TypeQuantity:
		if v.kind, v.number, err = unit.ParseAny(in.Kinds, v.typed); err != nil {
			if slices.Equal(in.Kinds, strengthKinds) {
				return strengthFault(v.typed, err)
			}
			return err
		}
		return in.checkRange(v.kind, v.number, v.typed, g.Style)
	case TypeChoice:
		v.word, err = in.findWord(v.typed)
	case TypeTime:
		v.time, err = g.Zone.Parse(v.typed, g.Now)
	case TypeZone:
		if env.Zones == nil {
			return fault.New(fault.Unavailable, "the table of time zones is missing; leave out %s", in.Key)
		}
		g.Zone, err = env.Zones(v.typed)
	}
	return err
}

// findWord returns the value of the word that was typed, by its value or its label in any
// case. The error lists the labels where they are short, else the values.
func (in Input) findWord(typed string) (string, error) {
	var values, labels []string
	short := true
	for _, w := range in.Words {
		if strings.EqualFold(w.Value, typed) || strings.EqualFold(w.Label, typed) {
			return w.Value, nil
		}
		values, labels, short = append(values, w.Value), append(labels, w.Label), short && len(w.Label) <= 20
	}
	if short {
		values = labels
	}
	return "", fault.New(fault.Input, "%q is not a choice for %s", typed, strings.ToLower(in.Label)).WithHint("one of %s", strings.Join(values, ", "))
}

// checkRange returns a fault for a quantity outside the input's range. A quantity of
// another base unit than the first kind has no range.
func (in Input) checkRange(k unit.Kind, v float64, typed string, style unit.Style) error {
	if in.Min == 0 && in.Max == 0 || unit.BaseUnit(k) != unit.BaseUnit(in.Kinds[0]) {
		return nil
	}
	first := in.Kinds[0]
	is, than := "less", in.Min
	switch {
	case v < in.Min*(1-1e-9):
	case v > in.Max*(1+1e-9):
		is, than = "more", in.Max
	default:
		return nil
	}
	if is == "less" && in.isMinShownAsZero() {
		return fault.New(fault.Input, "%q is too little: it must be more than %s", typed, unit.Show(first, 0, style)).
			WithHint("%s", in.rangeText(style))
	}
	return fault.New(fault.Input, "%q is %s than the %s accepted here", typed, is, unit.Show(first, than, style)).
		WithHint("%s", in.rangeText(style))
}

// isMinShownAsZero reports whether Min is above 0 but is printed as 0.
func (in Input) isMinShownAsZero() bool { return in.Min > 0 && unit.Round(in.Kinds[0], in.Min) == 0 }

// rangeText prints the input's range.
func (in Input) rangeText(style unit.Style) string {
	low, high := unit.Show(in.Kinds[0], in.Min, style), unit.Show(in.Kinds[0], in.Max, style)
	if in.isMinShownAsZero() {
		return "over " + low + ", to " + high
	}
	return low + " to " + high
}
