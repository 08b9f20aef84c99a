package batchview

import (
	"coldbatch/internal/cure"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// Readiness groups bags for a check of the shelf.
type Readiness string

// The groups. ReadinessUnknown is a bag for which no time can be given.
const (
	ReadinessReady   Readiness = "ready"
	ReadinessNotYet  Readiness = "not yet"
	ReadinessOpened  Readiness = "opened"
	ReadinessUnknown Readiness = "unknown"
)

// readinessOf returns the readiness of a bag by its stage and the verdict on its cure.
func readinessOf(stage string, v cure.Verdict) Readiness {
	if stage != "cure" {
		return ReadinessOpened
	}
	switch v {
	case cure.VerdictProbablyReady, cure.VerdictReady, cure.VerdictNoGain:
		return ReadinessReady
	case cure.VerdictKeepWet, cure.VerdictSlow, cure.VerdictFrozen, cure.VerdictDry:
		return ReadinessNotYet
	}
	return ReadinessUnknown
}

// BagView is one bag as its tag shows it.
type BagView struct {
	ID                   journal.ID           `json:"id"`
	Batch                journal.ID           `json:"batch"`
	BatchName            string               `json:"batchName"`
	Number               string               `json:"number"` // "8", "8H"
	NumberDigits         string               `json:"digits"` // "8"
	Letter               string               `json:"letter"` // "H", or ""
	Contents             string               `json:"what"`   // "Pillowcase, spiral"
	Holds                []journal.PieceInBag `json:"holds"`  // the pieces in it, with how many
	Place                journal.ID           `json:"place,omitempty"`
	PlaceName            string               `json:"placeName,omitempty"`
	Colours              []ColourView         `json:"colours"`
	Stage                string               `json:"stage"` // cure, opened, rinsed, done
	Verdict              string               `json:"verdict"`
	Readiness            Readiness            `json:"readiness"`
	Tone                 string               `json:"tone"`                // wet, done, care, plain
	Headline             string               `json:"headline"`            // "keep wet and warm"
	TimeLeft             string               `json:"left"`                // "6 h 20 min" until the middle figure, or ""
	TimeLeftParts        []zone.SpanPart      `json:"leftParts,omitempty"` // the same, number by number
	ReadyText            string               `json:"when"`                // "today about 20:25"
	SafeTime             string               `json:"safe"`                // "to be safe 23:50"
	Condition            string               `json:"if"`                  // "if the shed stays near 18 °C"
	IsCold               bool                 `json:"cold,omitempty"`      // it is too cold where it cures
	CarryIn              *CarryIn             `json:"carryIn,omitempty"`   // what carrying a cold bag to a warmer place brings
	ClosedText           string               `json:"closed"`              // "closed yesterday 16:10"
	TimeShare            string               `json:"share"`               // "73 % of the usual time"
	Timeline             Timeline             `json:"strip"`
	Notes                []string             `json:"notes"`
	WashSteps            []string             `json:"wash,omitempty"`  // once opened: how to wash it out, in order
	ModelSentence        string               `json:"model,omitempty"` // the chemistry, marked as a model
	ReadyAt              zone.Instant         `json:"ready,omitempty"`
	LateReadyAt          zone.Instant         `json:"late,omitempty"`
	ClosedAt             zone.Instant         `json:"closedAt,omitempty"`
	Code                 string               `json:"code,omitempty"`           // what the label carries
	Address              string               `json:"address,omitempty"`        // the label's address
	TypedID              string               `json:"typed,omitempty"`          // the id to type by hand
	LastPrinted          *PrintedView         `json:"printed,omitempty"`        // its label, once one was printed
	PrintReason          string               `json:"toPrint,omitempty"`        // why its label should be printed: "not printed yet"
	AttachedBlanks       []string             `json:"tied,omitempty"`           // numbers of other blanks that are on it
	FreeBlanksText       string               `json:"blanks,omitempty"`         // which numbered blanks of the batch are free
	FreeBlanksHaveLetter bool                 `json:"blanksLettered,omitempty"` // one of those numbers has a letter
	Rated                string               `json:"rated,omitempty"`          // "2 of 5, pale"
	SplitInto            []BagLink            `json:"into,omitempty"`           // the bags that its pieces were moved into
	PrintTimes           PrintTimes           `json:"paper"`                    // the times as a label prints them
	AsPrintedNote        string               `json:"asPrinted,omitempty"`
	Photos               []PhotoView          `json:"photos"` // of its pieces, in it or in no bag named, the newest first
	PhotoPieces          []journal.ID         `json:"shows"`  // the pieces that a photo taken now shows
	NeedsNewerApp        bool                 `json:"update,omitempty"`
	NumberClashes        bool                 `json:"clash,omitempty"`
}

// PrintedView is the label of a bag that was printed last. OutOfDateReason says why it
// is out of date; it is empty while the label is right.
type PrintedView struct {
	At              zone.Instant `json:"at"`
	PrintedText     string       `json:"when"` // "today 16:20"
	OutOfDateReason string       `json:"stale,omitempty"`
}

// BagLink names another bag of the batch.
type BagLink struct {
	ID     journal.ID `json:"id"`
	Number string     `json:"number"`
}

// PhotoView is a photo in words. Withdrawing the facts in FactIDs removes the photo; there is more
// than one where the photo shows more than one piece.
type PhotoView struct {
	Hash    string       `json:"hash"` // what to fetch it by
	Text    string       `json:"text"` // "pillowcase, opened, today 18:20"
	At      zone.Instant `json:"at"`
	FactIDs []journal.ID `json:"facts"`
}

// PrintTimes is the times of a bag with their days, for what is read on another day.
// Ready is empty where no time can be given.
type PrintTimes struct {
	ReadyText   string `json:"ready"`
	SafeTime    string `json:"safe"`
	Closed      string `json:"closed"`
	Condition   string `json:"if,omitempty"`   // the condition of Ready
	WaitForSafe bool   `json:"wait,omitempty"` // the bag should wait for SafeTime, so the label prints that time
}

// Timeline is the progress bar of a bag: positions from 0 to 1 on an axis of time from its
// closing to a little past the late figure.
type Timeline struct {
	NowShare   float64     `json:"now"`
	ReadyShare float64     `json:"ready"` // 0 none
	LateShare  float64     `json:"late"`  // 0 none
	Ticks      []ScaleMark `json:"ticks"`
}

// ScaleMark is a mark on the strip with its clock time, or without text.
type ScaleMark struct {
	Position float64 `json:"x"`
	Text     string  `json:"text,omitempty"`
}
