// Package calc is the catalogue of calculators. Each calculator is one Entry in a
// file of its own. An entry lists inputs with their ranges, outputs, cautions and
// sources; the phone's form, the command line, the web interface and the reference
// page are all made from it. Call All for the catalogue, Run to calculate, and Text,
// Reference and List to print.
//
// The package does no arithmetic of its own: that is in the packages of the trade
// (dye, soak, cure and so on). To add a calculator, add one file that registers an
// Entry, and its test.
package calc

import (
	"slices"
	"sort"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// KindInstant is the kind of an output that is a point in time, not a duration: its value is an
// RFC 3339 stamp in the zone of the inputs.
const KindInstant unit.Kind = "time"

// The types of inputs.
const (
	TypeQuantity = "quantity" // a number with a unit, of one of Kinds
	TypeChoice   = "word"     // one of Words
	TypeTime     = "time"     // a time of day or a date with a time
	TypeZone     = "zone"     // the IANA name of a time zone
	TypeReadings = "readings" // a list of readings; the calculator parses it
	TypeText     = "phrase"   // a line of text; the calculator parses it
)

// Word is one choice of an input or output: its value in JSON and its label on a screen.
type Word struct {
	Value string `json:"value"`
	Label string `json:"label"`
}

// Input is one value that a calculator takes.
type Input struct {
	Key        string            `json:"key"`
	Label      string            `json:"label"`
	Help       string            `json:"help,omitempty"`
	Type       string            `json:"type"`
	Kinds      []unit.Kind       `json:"kinds,omitempty"`
	Words      []Word            `json:"words,omitempty"`
	Default    string            `json:"default,omitempty"` // as a person would type it
	Example    string            `json:"example,omitempty"`
	Presets    []string          `json:"presets,omitempty"`
	Required   bool              `json:"required,omitempty"`
	ShowInForm bool              `json:"ask,omitempty"` // optional, but a form shows it at once
	Min        float64           `json:"min,omitempty"` // base unit of Kinds[0]; Min and Max both 0: no bounds
	Max        float64           `json:"max,omitempty"`
	Source     provenance.Source `json:"source,omitzero"` // where the default comes from
}

// Output is one value that a calculator returns: a quantity, a time (KindInstant) or, where
// Words are listed, one of these words.
type Output struct {
	Key       string            `json:"key"`
	Label     string            `json:"label"`
	Help      string            `json:"help,omitempty"`
	Kind      unit.Kind         `json:"kind,omitempty"`
	ValueUnit string            `json:"in,omitempty"` // unit of the value: "%", "h" or "min"; the kind's base unit where it is empty
	Words     []Word            `json:"words,omitempty"`
	IsList    bool              `json:"each,omitempty"` // one for each item of a list, with the item's name as its key
	Source    provenance.Source `json:"source"`
}

// valueUnitSizes maps each unit that Output.ValueUnit may name to its size in base units.
var valueUnitSizes = map[string]float64{"%": 0.01, "h": 3600, "min": 60}

// Entry is one calculator.
type Entry struct {
	Name     string               `json:"name"`
	Group    string               `json:"group"` // title of its stage of the work; set by register
	Title    string               `json:"title"`
	Purpose  string               `json:"purpose"`
	Formula  string               `json:"formula"` // in words
	Inputs   []Input              `json:"inputs"`
	Outputs  []Output             `json:"outputs"`
	Values   []provenance.Value   `json:"values"`   // the constants that the calculation uses
	Cautions []provenance.Caution `json:"cautions"` // shown with every answer
	Sources  []provenance.Source  `json:"sources"`

	// ExampleInputs are optional inputs that the reference page's example adds to the
	// required ones, written as on the command line.
	ExampleInputs string `json:"-"`
	// Order is the entry's place in the catalogue, from 1; it decides Group.
	Order int `json:"-"`
	// Calculate works out an answer. Its inputs are parsed and in range, and every
	// Required one has a value.
	Calculate func(*InputValues) (*Answer, error) `json:"-"`
}

// catalogue holds the entries in the order in which their files are compiled.
var catalogue []Entry

// register adds e to the catalogue. It returns a value only so that a file can call it
// in a package-level declaration.
func register(e Entry) bool {
	e.Group = groupOf(e.Order)
	// An empty list is written to JSON as [], not as null.
	e.Values = append([]provenance.Value{}, e.Values...)
	e.Cautions = append([]provenance.Caution{}, e.Cautions...)
	e.Sources = append([]provenance.Source{}, e.Sources...)
	catalogue = append(catalogue, e)
	return true
}

// All returns every calculator in the order of the work.
func All() []Entry {
	all := slices.Clone(catalogue)
	sort.Slice(all, func(i, j int) bool {
		if all[i].Order != all[j].Order {
			return all[i].Order < all[j].Order
		}
		return all[i].Name < all[j].Name
	})
	return all
}

// Find returns the calculator of that name. The error, NotFound, lists the names.
func Find(name string) (Entry, error) {
	var names []string
	for _, e := range All() {
		if e.Name == name {
			return e, nil
		}
		names = append(names, e.Name)
	}
	return Entry{}, fault.New(fault.NotFound, "there is no calculator %q", name).
		At("calculator", name).WithHint("one of %s", strings.Join(names, ", "))
}

// input returns the entry's input with that key, and whether there is one.
func (e *Entry) input(key string) (Input, bool) {
	i := slices.IndexFunc(e.Inputs, func(in Input) bool { return in.Key == key })
	if i < 0 {
		return Input{}, false
	}
	return e.Inputs[i], true
}

// output returns the entry's output with that key, and whether there is one.
func (e *Entry) output(key string) (Output, bool) {
	i := slices.IndexFunc(e.Outputs, func(o Output) bool { return o.Key == key })
	if i < 0 {
		return Output{}, false
	}
	return e.Outputs[i], true
}

// inputKeys returns the keys of the entry's inputs, separated by commas.
func (e *Entry) inputKeys() string {
	var keys []string
	for _, in := range e.Inputs {
		keys = append(keys, in.Key)
	}
	return strings.Join(keys, ", ")
}
