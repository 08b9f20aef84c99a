// Package calc is the catalogue of calculators. Each is one Entry in a file of
// its own: what it takes, in what range, what it gives, with cautions and
// sources. The phone's form, the command line, the web interface and the
// reference page are all made from the entry. Call All for the catalogue, Run
// to calculate, and Text, Reference and List to print.
//
// The package holds no arithmetic of its own: the sums are in the packages of
// the trade (dye, soak, cure and so on). To add a calculator, add one file that
// registers an Entry, and its test.
package calc

import (
	"slices"
	"sort"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// KindTime is the kind of an output that is a point in time: its value is an
// RFC 3339 stamp in the zone of the inputs.
const KindTime unit.Kind = "time"

// The types of inputs.
const (
	Quantity = "quantity" // a number with a unit, of one of Kinds
	Choice   = "word"     // one of Words
	Moment   = "time"     // a time of day or a date with a time
	Place    = "zone"     // the IANA name of a time zone
	Readings = "readings" // a list that the entry reads itself
	Phrase   = "phrase"   // a line that the entry reads itself
)

// Word is one of the values that a word may have.
type Word struct {
	Value string `json:"value"`
	Label string `json:"label"`
}

// Input is one thing that a calculator is told.
type Input struct {
	Key      string       `json:"key"`
	Label    string       `json:"label"`
	Help     string       `json:"help,omitempty"`
	Type     string       `json:"type"`
	Kinds    []unit.Kind  `json:"kinds,omitempty"`
	Words    []Word       `json:"words,omitempty"`
	Default  string       `json:"default,omitempty"` // as a person would type it
	Example  string       `json:"example,omitempty"`
	Presets  []string     `json:"presets,omitempty"`
	Required bool         `json:"required,omitempty"`
	Ask      bool         `json:"ask,omitempty"` // a form shows it at once, though it may be left out
	Min      float64      `json:"min,omitempty"` // base unit of Kinds[0]; Min and Max both 0: no bounds
	Max      float64      `json:"max,omitempty"`
	Source   fault.Source `json:"source,omitzero"` // of the default
}

// Output is one thing that a calculator tells. Its kind is a quantity, KindTime,
// or, where Words are listed, a word.
type Output struct {
	Key    string       `json:"key"`
	Label  string       `json:"label"`
	Help   string       `json:"help,omitempty"`
	Kind   unit.Kind    `json:"kind,omitempty"`
	In     string       `json:"in,omitempty"` // unit of the value: "%", "h" or "min"; else the kind's base unit
	Words  []Word       `json:"words,omitempty"`
	Each   bool         `json:"each,omitempty"` // one for each item of a list, with the item's name as its key
	Source fault.Source `json:"source"`
}

// inUnits are the units that an output's value may be in beside the base unit of
// its kind: how many base units each is.
var inUnits = map[string]float64{"%": 0.01, "h": 3600, "min": 60}

// Entry is one calculator.
type Entry struct {
	Name     string          `json:"name"`
	Group    string          `json:"group"` // title of its stage of the work; register sets it
	Title    string          `json:"title"`
	Purpose  string          `json:"purpose"`
	Formula  string          `json:"formula"` // in words
	Inputs   []Input         `json:"inputs"`
	Outputs  []Output        `json:"outputs"`
	Values   []fault.Value   `json:"values"`   // the constants that the sums use
	Cautions []fault.Caution `json:"cautions"` // shown with every answer
	Sources  []fault.Source  `json:"sources"`

	// Try is what the example on the reference page gives beside the required
	// inputs, as on the command line.
	Try string `json:"-"`
	// Order is the entry's place in the catalogue, from 1; it decides Group.
	Order int `json:"-"`
	// Sum works out an answer. It is called with inputs that were read and are
	// in range, with every Required one there.
	Sum func(*Given) (*Answer, error) `json:"-"`
}

// catalogue holds the entries in the order in which their files are compiled.
var catalogue []Entry

// register puts e into the catalogue; the value is only there to let a file do
// that in a declaration.
func register(e Entry) bool {
	// No nil in what is written as JSON: a list that is empty is a list.
	e.Group = groupOf(e.Order)
	e.Values = append([]fault.Value{}, e.Values...)
	e.Cautions = append([]fault.Caution{}, e.Cautions...)
	e.Sources = append([]fault.Source{}, e.Sources...)
	catalogue = append(catalogue, e)
	return true
}

// All gives every calculator in the order of the work.
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

// Find gives the calculator of that name. The error lists the names.
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

// input gives the entry's input of that key.
func (e *Entry) input(key string) (Input, bool) {
	i := slices.IndexFunc(e.Inputs, func(in Input) bool { return in.Key == key })
	if i < 0 {
		return Input{}, false
	}
	return e.Inputs[i], true
}

// output gives the entry's output of that key.
func (e *Entry) output(key string) (Output, bool) {
	i := slices.IndexFunc(e.Outputs, func(o Output) bool { return o.Key == key })
	if i < 0 {
		return Output{}, false
	}
	return e.Outputs[i], true
}

// keys lists the keys of the entry's inputs.
func (e *Entry) keys() string {
	var keys []string
	for _, in := range e.Inputs {
		keys = append(keys, in.Key)
	}
	return strings.Join(keys, ", ")
}
