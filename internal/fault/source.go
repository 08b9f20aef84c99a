package fault

// Mark says how well a number or statement is known.
type Mark string

// The marks. They are never mixed without being shown.
const (
	Published Mark = "published" // read in the source that is named
	Practice  Mark = "practice"  // what dyers do, no source
	Memory    Mark = "memory"    // from memory of the source that is named, not checked
	Judgement Mark = "judgement" // our own estimate, no source
)

// Source is where a number or a statement comes from. Text names the primary
// work (author, year, table or equation), never a supplier.
type Source struct {
	Kind Mark   `json:"kind"`
	Text string `json:"text"`
}

// CommonPractice is the source of what dyers do without saying why.
var CommonPractice = Source{Practice, "common practice, no source"}

// StartValue is the source of a default that only has to be something.
var StartValue = Source{Judgement, "judgement, no source: a value to start from"}

// Caution is a warning worded once and shown alike on phone, print and command
// line. Source names the body that says so, or "common practice".
type Caution struct {
	Code   string `json:"code"`
	Text   string `json:"text"`
	Source string `json:"source"`
}

// Value is a constant with its unit, its honest range and its source. Low and
// High are both zero where no range is known.
type Value struct {
	Name   string  `json:"name"`
	Value  float64 `json:"value"`
	Unit   string  `json:"unit"`
	Low    float64 `json:"low,omitempty"`
	High   float64 `json:"high,omitempty"`
	Source Source  `json:"source"`
}
