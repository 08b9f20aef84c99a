// Package label encodes a bag in its QR code, so that a phone that never saw the batch can
// show the bag without a network. Start with Encode and Address to print a label, with
// FindCode and Decode to read one. It draws and stores nothing, and does not know the
// present state of a bag.
package label

import "coldbatch/internal/zone"

// Colour is one colour in the bag. CapLetters is one or two letters A–Z, as written
// on the bottle's cap. RGB is its colour on the screen, stored in 16 steps a
// channel. ShareSixteenths is its share of the dye, 1–16. Name is the name if EncodeNamed had
// room for it, in lower case: a–z, space, hyphen and apostrophe; else "".
type Colour struct {
	CapLetters      string   `json:"caps"`
	RGB             [3]uint8 `json:"rgb"`
	ShareSixteenths int      `json:"sixteenths"`
	Name            string   `json:"name,omitempty"`
}

// Label is everything that the code holds. It stores instants in whole minutes, as a clock
// shows them; 0 is none.
type Label struct {
	Number     int    `json:"number"`           // 1–1023; 0 none
	Letter     string `json:"letter,omitempty"` // of a phone that had no lease: A–Z without I and O
	IsBlank    bool   `json:"blank,omitempty"`  // printed before it belonged to a bag: it has only number, letter and token
	IsPieceTag bool   `json:"tag,omitempty"`    // a blank for a piece, which outlasts the bag
	Token      Token  `json:"token"`

	ClosedAt          zone.Instant `json:"closed,omitempty"`     // 2025 to 2088; 0 not closed yet
	OffsetSeconds     int          `json:"offset"`               // seconds east of UTC at closing, quarter hours, −12 h to +14 h
	NextOffsetSeconds int          `json:"offsetNext,omitempty"` // the offset from NextOffsetFrom on
	NextOffsetFrom    zone.Instant `json:"offsetFrom,omitempty"` // a change of clocks within the cure, on a quarter hour; 0 none

	// ReadyAt is the middle figure; 0 if no time can be given, or if it is more than 22
	// days after closing. EarliestReady and LatestReady are its range, stored in 64ths of the
	// time from ClosedAt to ReadyAt and rounded outwards: the label never shows a narrower range, and
	// each end moves by a 64th at most (22 min for a day). Either is 0 if it is unknown or
	// too far from ReadyAt to be stored: for LatestReady, almost four times the time from ClosedAt to
	// ReadyAt or more.
	ReadyAt       zone.Instant `json:"ready,omitempty"`
	EarliestReady zone.Instant `json:"early,omitempty"`
	LatestReady   zone.Instant `json:"late,omitempty"`

	Celsius   float64  `json:"celsius"`           // assumed; −20 to 107.5, kept to half a degree
	ClassCode int      `json:"class"`             // ClassUnknown, ClassDichlorotriazine, ClassVinylSulfone or ClassMonochlorotriazine
	PieceCode int      `json:"piece,omitempty"`   // kind of goods by its code, 0–15
	FoldCode  int      `json:"fold,omitempty"`    // fold by its code, 0–31; 0 none
	Colours   []Colour `json:"colours,omitempty"` // up to MaxColours
}

// The dye classes by their codes on a label: the slowest in the bag.
const (
	ClassUnknown = iota
	ClassDichlorotriazine
	ClassVinylSulfone
	ClassMonochlorotriazine
)

// What a label can hold.
const (
	MaxNumber  = 1023
	MaxColours = 8
	Letters    = "ABCDEFGHJKLMNPQRSTUVWXYZ" // of phones: no I and no O, which look like 1 and 0
)

// Zone returns the offsets in l as a table, to show its times by the clock of the place where
// the bag was closed. The zone table has no name and is valid only during the cure.
func (l Label) Zone() zone.Table {
	t := zone.Table{Changes: []zone.Change{{From: l.ClosedAt, Offset: l.OffsetSeconds}}}
	if l.NextOffsetFrom != 0 {
		t.Changes = append(t.Changes, zone.Change{From: l.NextOffsetFrom, Offset: l.NextOffsetSeconds})
	}
	return t
}
