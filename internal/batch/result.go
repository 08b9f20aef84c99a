package batch

import (
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// Result describes how a bag or a piece was rated, each property as it was rated last. Overall,
// Bright and Even go from 1 to 5, 0 is not rated.
type Result struct {
	Subject    journal.ID   `json:"subject"`
	At         zone.Instant `json:"at"` // of the last rating
	Overall    int          `json:"overall,omitempty"`
	Bright     int          `json:"bright,omitempty"`
	Even       int          `json:"even,omitempty"`
	White      string       `json:"white,omitempty"`
	WhiteShare *float64     `json:"whiteShare,omitempty"`
	Bled       string       `json:"bled,omitempty"`
	Faults     []string     `json:"faults,omitempty"`
	Note       string       `json:"note,omitempty"`
}

// ColourReading is a colour that was read from a photo, as CIELAB, and its ± by CIEDE2000.
type ColourReading struct {
	Subject journal.ID   `json:"subject"`
	FactID  journal.ID   `json:"fact"`
	At      zone.Instant `json:"at"`
	Lab     [3]float64   `json:"lab"`
	Error   float64      `json:"error"`
	Photo   string       `json:"photo,omitempty"`
	Washes  int          `json:"washes,omitempty"`
}

// DyePut is an amount of dye put on one section of a piece, in mL.
type DyePut struct {
	Name   string     `json:"name,omitempty"`
	Colour journal.ID `json:"colour"`
	ML     float64    `json:"ml"`
}

// RinseBath is one bath of the rinse; if it names no bags it is for all.
type RinseBath struct {
	At      zone.Instant `json:"at"`
	Bags    []journal.ID `json:"bags,omitempty"`
	Water   float64      `json:"water"` // mL
	Celsius *float64     `json:"celsius,omitempty"`
	Soap    bool         `json:"soap,omitempty"`
}

// MachineWash is a machine wash; if it names no bags, all were washed.
type MachineWash struct {
	At      zone.Instant `json:"at"`
	Bags    []journal.ID `json:"bags,omitempty"`
	Celsius *float64     `json:"celsius,omitempty"`
	Alone   bool         `json:"alone,omitempty"`
}

// Repeated names the batch that was repeated, and how many times as much cloth this is.
type Repeated struct {
	BatchID journal.ID `json:"from"`
	Scale   float64    `json:"scale"`
}

// ResultOf returns how a bag or a piece was rated.
func (s State) ResultOf(subject journal.ID) (Result, bool) {
	return find(s.Results, func(r Result) bool { return r.Subject == subject })
}

// rate lays what was rated over what was rated before.
func (b *builder) rate(f journal.Fact, at zone.Instant, body journal.ResultRated) {
	if _, had := b.ResultOf(f.Subject); !had {
		b.Results = append(b.Results, Result{Subject: f.Subject})
	}
	r := findPointer(b.Results, func(r Result) bool { return r.Subject == f.Subject })
	r.At = max(r.At, at)
	for _, p := range body.Cleared {
		r.clear(p)
	}
	lay(&r.Overall, body.Overall)
	lay(&r.Bright, body.Bright)
	lay(&r.Even, body.Even)
	lay(&r.White, body.White)
	lay(&r.WhiteShare, body.WhiteShare)
	lay(&r.Bled, body.Bled)
	lay(&r.Note, body.Note)
	if body.Faults != nil {
		r.Faults = *body.Faults
	}
}

// clear takes a property off, by its name in a journal.ResultRated.
func (r *Result) clear(property string) {
	switch property {
	case "overall":
		r.Overall = 0
	case "bright":
		r.Bright = 0
	case "even":
		r.Even = 0
	case "white":
		r.White = ""
	case "white_share":
		r.WhiteShare = nil
	case "bled":
		r.Bled = ""
	case "note":
		r.Note = ""
	}
}

// lay sets into to value, unless value is the zero of its type, which means not set.
func lay[T comparable](into *T, value T) {
	var none T
	if value != none {
		*into = value
	}
}
