// Package batchview says what the screens, the printed labels and the command show of a
// batch: all in words and figures, for one time, zone and system of units. Call
// ViewBatch for a batch, ViewBag for one bag, ViewToday for all open batches together,
// History for what was recorded, SelectLabels for labels to print, and DraftBag for the
// facts of a bag about to be closed. Package batch builds the state that these take. It
// stores nothing and holds no chemistry: it calls the packages of the trade for the sums.
package batchview

import (
	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/provenance"
	"coldbatch/internal/shelf"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// ViewEnv is what every view depends on besides the state: the time, the zone, the places,
// the style of the device, and which device it is.
type ViewEnv struct {
	Now          zone.Instant                    `json:"now"`
	Zone         zone.Table                      `json:"zone"`
	Places       map[journal.ID]batch.PlaceState `json:"places"`
	Style        unit.Style                      `json:"style"`
	Host         string                          `json:"host"`              // host and port that labels name
	Device       journal.ID                      `json:"device"`            // the phone that asks, for its next number
	NumberLetter string                          `json:"letter"`            // what this phone appends to its bag numbers
	Names        map[journal.ID]string           `json:"names,omitempty"`   // what phones are called, and the batch that one repeats
	Kit          shelf.Kit                       `json:"kit,omitempty"`     // the scale, the bottles and the water of the house
	SqueezeML    float64                         `json:"squeeze,omitempty"` // mL that one squeeze of this phone's bottle gives; 0 is not measured
}

// BatchView is a batch as a screen shows it now, in words.
type BatchView struct {
	ID                   journal.ID      `json:"id"`
	Name                 string          `json:"name"`
	Note                 string          `json:"note,omitempty"`
	Stage                string          `json:"stage"` // plan, soak, dye, cure, wash, done
	StageText            string          `json:"stageText"`
	IsOpen               bool            `json:"open"` // the batch is not finished yet
	StartedText          string          `json:"started"`
	UpdateText           string          `json:"update,omitempty"` // a sentence, where the app is too old
	Steps                []ChecklistStep `json:"steps"`
	Pieces               []PieceView     `json:"pieces"`
	WeightText           string          `json:"weight"` // "0.86 kg dry, partly assumed"
	Grams                float64         `json:"grams"`
	Colours              []ColourView    `json:"colours"`
	Soak                 SoakView        `json:"soak"`
	Jugs                 []JugView       `json:"jugs"` // one for each colour
	Bags                 []BagView       `json:"bags"`
	Queue                []QueueItem     `json:"queue"`             // what is not in bags yet, in the order of work
	NextClosing          *NextClosing    `json:"closing,omitempty"` // what this phone closes next
	OpenPowderText       string          `json:"powder,omitempty"`  // since when dye powder is open, and who opened it
	Helpers              []batch.Helper  `json:"helpers"`
	IsShared             bool            `json:"shared"`         // it has helpers, or a code that has not expired
	NextNumber           *NextBagNumber  `json:"next,omitempty"` // the number of a bag closed now
	NoNumberReason       string          `json:"noNumber,omitempty"`
	FreeBlanksText       string          `json:"blanks,omitempty"`         // "3 numbered blanks are free: 41–43"
	FreeBlanksHaveLetter bool            `json:"blanksLettered,omitempty"` // one of those numbers has a letter
	Unapplied            []UnappliedView `json:"unapplied"`
	UnknownFactsText     string          `json:"unknown,omitempty"`
	History              []HistoryLine   `json:"history"`
}

// ChecklistStep is a line of the checklist, in the order of the job.
type ChecklistStep struct {
	Key    string `json:"key"` // pieces, scour, colours, soak, jugs, bags, cure, rinse, dry
	Title  string `json:"title"`
	Detail string `json:"detail,omitempty"`
	IsDone bool   `json:"done"`
	IsNext bool   `json:"now"` // the first that is not done
}

// PieceView is a group of identical pieces.
type PieceView struct {
	ID            journal.ID `json:"id"`
	Words         string     `json:"words"`  // "2 pillowcases, spiral"
	SingularWords string     `json:"one"`    // "pillowcase, spiral"
	Weight        string     `json:"weight"` // "145 g each, assumed"
	Kind          string     `json:"kind"`
	Name          string     `json:"name"`
	Count         int        `json:"count"`
	Grams         float64    `json:"grams"`
	Fold          string     `json:"fold"`
	Fibre         string     `json:"fibre"`
	Unbagged      int        `json:"left"` // not in a bag yet
	journal.PieceMore
	FibreWords    string       `json:"made"`  // what it is made of, in words
	OwnColours    []ColourView `json:"wears"` // its own colours with their shares; empty for all of the batch
	Design        *DesignView  `json:"design,omitempty"`
	Photos        []PhotoView  `json:"photos"` // in no bag: of an idea, the newest first
	Notes         []string     `json:"notes"`
	NeedsNewerApp bool         `json:"update,omitempty"`
}

// ColourView is a colour of the batch, or of a bag with its share.
type ColourView struct {
	ID         journal.ID `json:"id"`
	Name       string     `json:"name"`
	CapLetters string     `json:"caps"`
	RGB        string     `json:"rgb"`
	Class      string     `json:"class"`
	ClassWords string     `json:"classIs"`  // the class in words
	Strength   string     `json:"strength"` // "25 g/L"
	GPerL      float64    `json:"gPerL"`
	Depth      float64    `json:"depth"`
	VolumeML   float64    `json:"ml"`
	Generic    string     `json:"generic,omitempty"`
	Share      float64    `json:"share,omitempty"`
	OffText    string     `json:"off,omitempty"` // how far its jug is off: "30 % too strong"
	journal.ColourMore
	Note string `json:"note,omitempty"` // what the class needs
}

// SoakView is the sums for the soak, or the bath that was mixed.
type SoakView struct {
	ID         journal.ID           `json:"id,omitempty"` // of the bath in use
	Text       string               `json:"text"`         // what to do, or what was done
	Water      string               `json:"water"`
	WaterML    float64              `json:"waterML"`
	Soda       string               `json:"soda"`
	SodaG      float64              `json:"sodaG"`
	PH         string               `json:"ph"` // without "pH"
	ServesText string               `json:"serves"`
	Minutes    string               `json:"minutes"`
	Stage      string               `json:"stage"`               // plan, mixed, soaking, done
	Dissolved  string               `json:"dissolved,omitempty"` // clear, or cloudy, as somebody saw it
	Verdict    string               `json:"verdict,omitempty"`   // what the measured pH means
	IsBad      bool                 `json:"bad,omitempty"`       // the verdict is a warning
	Lots       []LotView            `json:"lots"`                // what is in the bath now
	Notes      []string             `json:"notes"`
	Cautions   []provenance.Caution `json:"cautions"`
	Sources    []provenance.Source  `json:"sources"`
}

// LotView is a group of pieces that went into the soak together.
type LotView struct {
	Text         string       `json:"text"` // "all pieces, since 14:05"
	InAt         zone.Instant `json:"in"`
	WetThroughAt zone.Instant `json:"until"`
}

// JugView is the sums for one colour's jug, or the jug that was mixed.
type JugView struct {
	ID                 journal.ID           `json:"id,omitempty"` // of the jug that was mixed
	Colour             ColourView           `json:"colour"`
	Powder             string               `json:"powder"` // "14.4 g"
	PowderG            float64              `json:"powderG"`
	Volume             string               `json:"volume"`              // "240 mL"
	VolumeInOtherUnits string               `json:"volumeToo,omitempty"` // "8.1 fl oz", in the other system
	VolumeML           float64              `json:"volumeML"`
	Bottles            string               `json:"bottles,omitempty"` // "2 bottles of 240 mL, 200 mL into each"
	BottleCount        int                  `json:"bottleCount,omitempty"`
	ScaleNote          string               `json:"scaleNote,omitempty"`
	MixedText          string               `json:"mixed,omitempty"`       // "14.6 g made up to 240 mL, today 10:20"
	Advice             string               `json:"advice,omitempty"`      // for a weighing that is off
	MixedPowder        string               `json:"mixedPowder,omitempty"` // what was weighed, as the cap shows it
	MixedVolume        string               `json:"mixedVolume,omitempty"`
	OffText            string               `json:"off,omitempty"` // "30 % too strong"
	LeftML             float64              `json:"leftML,omitempty"`
	LeftText           string               `json:"left,omitempty"`   // "300 mL left"
	FilledText         string               `json:"filled,omitempty"` // "2 bottles filled"
	AgeText            string               `json:"age,omitempty"`    // "mixed 3 h ago: use it soon"
	IsOld              bool                 `json:"old,omitempty"`    // it is weak by now
	FillML             float64              `json:"fillML,omitempty"` // into each bottle, as planned
	IsMixed            bool                 `json:"done"`
	Notes              []string             `json:"notes"`
	Cautions           []provenance.Caution `json:"cautions"`
}

// NextBagNumber is the number that a bag closed now by this phone would get.
type NextBagNumber struct {
	Number int    `json:"number"`
	Letter string `json:"letter,omitempty"`
	Text   string `json:"text"`
}

// UnappliedView is a fact that no longer applies, in words.
type UnappliedView struct {
	FactID journal.ID `json:"fact"`
	Text   string     `json:"text"`
}

// HistoryLine is one fact in words.
type HistoryLine struct {
	FactID      journal.ID   `json:"fact"`
	FactIDs     []journal.ID `json:"facts"` // of every fact this line stands for; more than one where identical lines were merged
	Device      journal.ID   `json:"device"`
	TargetID    journal.ID   `json:"target,omitempty"` // the fact that it undoes or restores
	Kind        string       `json:"kind"`
	At          zone.Instant `json:"at"`
	TimeText    string       `json:"when"`
	Text        string       `json:"text"`
	Photo       string       `json:"photo,omitempty"` // hash of its photo
	Writer      string       `json:"by,omitempty"`    // what the phone that wrote it is called
	IsWithdrawn bool         `json:"withdrawn,omitempty"`
	IsFinal     bool         `json:"fixed,omitempty"` // nobody can withdraw it by hand
	ByHub       bool         `json:"byHub,omitempty"` // the hub wrote it by itself
	bagNumber   string       // the number of the bag that it is about
	afterBag    string       // what the line says after it
}

// TodayView is the first screen: what needs doing now.
type TodayView struct {
	AsOf        string           `json:"asOf"` // the time of the view: "Sun 29 Nov, 14:05"
	Headline    string           `json:"headline"`
	OpenPowders []OpenPowderView `json:"powder"`  // batches in which dye powder is open
	IsFirst     bool             `json:"isFirst"` // there was never a batch: say how to begin
	Groups      []BagGroup       `json:"groups"`
	Places      []PlaceView      `json:"places"`
	Batches     []BatchLine      `json:"batches"`
}

// OpenPowderView is a batch in which dye powder is open.
type OpenPowderView struct {
	Batch journal.ID `json:"batch"`
	Name  string     `json:"name"`
	Text  string     `json:"text"` // "since today 14:05, by this phone"
}

// BagGroup is a group of bags under one heading.
type BagGroup struct {
	Key   string    `json:"key"` // ready, probably, cure, rinse, care
	Title string    `json:"title"`
	Bags  []BagView `json:"bags"`
}

// PlaceView is a place with its last temperature.
type PlaceView struct {
	ID         journal.ID     `json:"id"`
	Name       string         `json:"name"`
	Text       string         `json:"text"` // "18 °C, 40 min ago"
	Celsius    *float64       `json:"celsius,omitempty"`
	IsOld      bool           `json:"old"`
	Usual      string         `json:"usual,omitempty"`
	Waiting    string         `json:"waiting,omitempty"`   // "8 bags, ready Sun 09:00 to Sun 13:00"
	Advice     string         `json:"advice,omitempty"`    // for bags that are too cold
	InTrouble  bool           `json:"inTrouble,omitempty"` // a bag there is too cold
	FirstReady zone.Instant   `json:"firstReady,omitempty"`
	Bags       []BagView      `json:"bags,omitempty"` // those that cure there, the first that is ready first
	Sensors    []batch.Sensor `json:"sensors"`
}

// BatchLine is a batch as a line of a list.
type BatchLine struct {
	ID        journal.ID   `json:"id"`
	Name      string       `json:"name"`
	StageText string       `json:"stageText"`
	Detail    string       `json:"detail"`
	Open      bool         `json:"open"`
	Started   zone.Instant `json:"started"`
	Colours   []ColourView `json:"colours"`
}
