// Package provenance says where a number or a statement comes from and how reliable that
// source is: Source, a constant with its source (Value), and a warning with the body that
// gives it (Caution). Start with the Reliability constants. The package computes nothing.
package provenance

// Reliability says how reliable a source is.
type Reliability string

// The marks. Wherever a number is shown, its mark is shown too.
const (
	Published Reliability = "published" // read in the named source
	Practice  Reliability = "practice"  // what dyers do, no source
	Memory    Reliability = "memory"    // from memory of the named source, not checked
	Judgement Reliability = "judgement" // our own estimate, no source
)

// Source says where a number or a statement comes from. Text names the primary work
// (author, year, table or equation), never a supplier.
type Source struct {
	Reliability Reliability `json:"kind"`
	Text        string      `json:"text"`
}

// CommonPracticeSource is the source of what dyers do without a published reason.
var CommonPracticeSource = Source{Practice, "common practice, no source"}

// StartValueSource is the source of a default that is only a value to start from.
var StartValueSource = Source{Judgement, "judgement, no source: a value to start from"}

// Caution is a warning. It is worded once, and the phone, prints and the command line
// show the same words. Source names the body that gives the warning, or "common practice".
type Caution struct {
	Code   string `json:"code"`
	Text   string `json:"text"`
	Source string `json:"source"`
}

// Value is a constant with its unit, range and source. Low and High are both zero where
// the range is unknown.
type Value struct {
	Name   string  `json:"name"`
	Value  float64 `json:"value"`
	Unit   string  `json:"unit"`
	Low    float64 `json:"low,omitempty"`
	High   float64 `json:"high,omitempty"`
	Source Source  `json:"source"`
}
