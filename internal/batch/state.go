// Package batch builds the state of a batch, and of a place where bags stand, from their
// facts. Call Build or BuildPlace. The state does not depend on the time, the device or
// the order in which the facts came. Package batchview says what a screen shows of it. It
// writes no facts and reads no files.
package batch

import (
	"slices"

	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// StateVersion is what facts are written for: a fact whose Need is higher may change
// its subject in a way that this program does not know, so its subject is not worked
// out here. Raise it with a kind of fact that older programs must not ignore.
const StateVersion = 4

// CacheVersion is the version of what Build and BuildPlace make of the same facts. A
// cached state of another version is built again. Raise it with any change of that:
// TestCacheVersion fails until you do.
const CacheVersion = 24

// State is a batch as its facts give it. It does not depend on the
// device or the order in which the facts came, and on the time only while a fact is
// stamped ahead of it.
type State struct {
	Version       int             `json:"version"`
	ID            journal.ID      `json:"id"`
	Name          string          `json:"name"`
	Note          string          `json:"note,omitempty"`
	Secret        journal.ID      `json:"secret,omitempty"`
	StartedAt     zone.Instant    `json:"started,omitempty"`
	Deadline      zone.Instant    `json:"for,omitempty"`
	RinseAt       zone.Instant    `json:"rinse,omitempty"` // when its bags are to be rinsed
	FinishedAt    zone.Instant    `json:"finished,omitempty"`
	FinishNote    string          `json:"finishNote,omitempty"` // why the record is incomplete: "given up"
	Pieces        []Piece         `json:"pieces"`
	Colours       []Colour        `json:"colours"`
	Soaks         []Soak          `json:"soaks"`
	Jugs          []Jug           `json:"jugs"`
	Bags          []Bag           `json:"bags"`
	Blanks        []BlankLabel    `json:"blanks"` // labels that were printed before they had a bag
	Results       []Result        `json:"results,omitempty"`
	Readings      []ColourReading `json:"readings,omitempty"` // colours read from photos
	Rinses        []RinseBath     `json:"rinses,omitempty"`
	Washes        []MachineWash   `json:"washes,omitempty"`
	Repeats       *Repeated       `json:"repeats,omitempty"` // the batch that it repeats
	Helpers       []Helper        `json:"helpers"`           // whose phones are in this batch now
	ShareCodes    []ShareCode     `json:"shares"`            // codes with which a phone may join it
	Numbers       journal.Numbers `json:"numbers"`
	NeedsNewerApp bool            `json:"update,omitempty"`  // the batch itself needs a newer program
	UnknownFacts  int             `json:"unknown,omitempty"` // facts of kinds not known here: kept, not shown
	Unapplied     []UnappliedFact `json:"misfits,omitempty"`
	OpenPowder    *OpenPowder     `json:"powder,omitempty"` // since when dye powder is open
	Uses          []StockUse      `json:"uses,omitempty"`   // what it took off the shelf
	FactCount     int             `json:"facts"`
	LastFact      journal.ID      `json:"last"`            // the last fact in order: the state's cache key, with Version
	ValidUntil    zone.Instant    `json:"until,omitempty"` // then the state must be built again: the time of a fact comes that was stamped ahead
}

// IsCurrentAt says whether the state still holds at now.
func (s State) IsCurrentAt(now zone.Instant) bool { return s.ValidUntil == 0 || now < s.ValidUntil }

// Piece is a group of identical pieces.
type Piece struct {
	ID             journal.ID `json:"id"`
	Kind           string     `json:"kind"`
	Name           string     `json:"name,omitempty"`
	Count          int        `json:"count"`
	Grams          float64    `json:"grams"` // dry, of one
	WeightAssumed  bool       `json:"assumed,omitempty"`
	Fibre          string     `json:"fibre,omitempty"`
	MainFibreShare float64    `json:"share,omitempty"`
	Fold           string     `json:"fold,omitempty"`
	journal.PieceMore
	IsScoured     bool         `json:"scoured,omitempty"`
	Taken         []Take       `json:"taken,omitempty"` // in order of time
	IsTied        bool         `json:"tied,omitempty"`
	TiedAt        zone.Instant `json:"tiedAt,omitempty"`
	DyePuts       []DyePut     `json:"dyed,omitempty"` // the dye put on it, section by section
	Photos        []Photo      `json:"photos,omitempty"`
	NeedsNewerApp bool         `json:"update,omitempty"`

	Design *PieceDesign `json:"design,omitempty"`
}

// PieceDesign is the design of pieces: its code, as package fold reads it, and the goes
// with a bottle for one of them.
type PieceDesign struct {
	Name  string               `json:"name"`
	Code  string               `json:"code"`
	Steps []journal.DesignStep `json:"steps"`
}

// Take records that the user of a phone took some of the pieces to dye them now.
type Take struct {
	FactID journal.ID   `json:"fact"`
	Device journal.ID   `json:"device"`
	At     zone.Instant `json:"at"`
	Count  int          `json:"count"`
}

// OpenPowder says since when dye powder is open, and which phone recorded it.
type OpenPowder struct {
	At     zone.Instant `json:"at"`
	Device journal.ID   `json:"device"`
}

// Photo is a photo of a piece. The picture itself is not a fact: it is sent and
// kept apart, under its hash.
type Photo struct {
	FactID journal.ID   `json:"fact"`
	Hash   string       `json:"hash"` // SHA-256 in hex
	At     zone.Instant `json:"at"`
	Stage  string       `json:"stage,omitempty"` // of the bag then
	Bag    journal.ID   `json:"bag,omitempty"`   // it was in
}

// Colour is a colour of the batch.
type Colour struct {
	ID         journal.ID `json:"id"`
	Name       string     `json:"name"`
	CapLetters string     `json:"caps"`
	RGB        string     `json:"rgb"`
	Class      string     `json:"class"`
	Generic    string     `json:"generic,omitempty"`
	Strength   float64    `json:"strength"` // g/L at full depth
	Depth      float64    `json:"depth"`
	VolumeML   float64    `json:"ml,omitempty"`
	journal.ColourMore
	NeedsNewerApp bool `json:"update,omitempty"`
}

// Soak is one soak bath: what was mixed, with what was added since.
type Soak struct {
	ID            journal.ID   `json:"id"`
	WaterML       float64      `json:"water"` // mL
	SodaGrams     float64      `json:"soda"`  // g as weighed
	Form          string       `json:"form,omitempty"`
	Celsius       *float64     `json:"celsius,omitempty"`
	Hardness      float64      `json:"hardness,omitempty"` // mg/L of calcium carbonate; 0 if not given
	MixedAt       zone.Instant `json:"mixed"`
	BegunAt       zone.Instant `json:"begun,omitempty"`
	EndedAt       zone.Instant `json:"ended,omitempty"`
	PH            float64      `json:"ph,omitempty"` // last measured
	MeasuredWith  string       `json:"with,omitempty"`
	IsClear       *bool        `json:"clear,omitempty"` // whether all soda ash was seen to be dissolved
	Lots          []SoakLot    `json:"lots,omitempty"`  // in order of time
	IsDiscarded   bool         `json:"discarded,omitempty"`
	NeedsNewerApp bool         `json:"update,omitempty"`
}

// SoakLot is a group of pieces that went into the bath together; if it names none, all did. OutAt is 0 while
// they are in.
type SoakLot struct {
	InAt   zone.Instant `json:"in"`
	OutAt  zone.Instant `json:"out,omitempty"`
	Pieces []journal.ID `json:"pieces,omitempty"`
}

// Jug is one jug of mixed dye.
type Jug struct {
	ID            journal.ID   `json:"id"`
	Colour        journal.ID   `json:"colour"`
	PowderGrams   float64      `json:"powder"` // g as weighed
	VolumeML      float64      `json:"ml"`
	FilledML      float64      `json:"filledML,omitempty"` // into bottles, in all
	FilledCount   int          `json:"filled,omitempty"`   // how many bottles
	SodaGrams     float64      `json:"soda,omitempty"`
	AlginateGrams float64      `json:"alginate,omitempty"`
	Celsius       *float64     `json:"celsius,omitempty"` // of the water
	MixedAt       zone.Instant `json:"mixed"`
	ActivatedAt   zone.Instant `json:"activated,omitempty"`
	IsDiscarded   bool         `json:"discarded,omitempty"`
	NeedsNewerApp bool         `json:"update,omitempty"`
}

// Bag is a bag from its closing to the dry piece.
type Bag struct {
	ID              journal.ID            `json:"id"`
	Number          int                   `json:"number"`
	Letter          string                `json:"letter,omitempty"`
	Pieces          []journal.PieceInBag  `json:"pieces"`
	Colours         []journal.ColourInBag `json:"colours"`
	Fold            string                `json:"fold,omitempty"`
	Note            string                `json:"note,omitempty"`
	Stays           []Stay                `json:"stays"` // where it stood, from when on; at least one
	ClosedAt        zone.Instant          `json:"closed"`
	TZ              string                `json:"tz"`
	Device          journal.ID            `json:"device"`
	ClockCorrection zone.Span             `json:"corrected,omitempty"` // what was added to the phone's wrong clock
	AddedDyes       []AddedDye            `json:"added,omitempty"`     // dye added since
	LookTimes       []zone.Instant        `json:"looks,omitempty"`
	DryFindings     []DryFinding          `json:"dry,omitempty"`     // in order of time
	WeighedGrams    float64               `json:"weighed,omitempty"` // its wet pieces; 0 is not weighed
	OpenedAt        zone.Instant          `json:"opened,omitempty"`
	RinsedAt        zone.Instant          `json:"rinsed,omitempty"`
	RinseBaths      int                   `json:"baths,omitempty"`
	Tub             journal.ID            `json:"tub,omitempty"` // in which it had its last bath; bags of one tub are rinsed together
	ColdBaths       int                   `json:"coldBaths,omitempty"`
	HotBaths        int                   `json:"hotBaths,omitempty"`
	LastBathAt      zone.Instant          `json:"lastBath,omitempty"`
	RanClear        *bool                 `json:"clear,omitempty"` // the last bath ran clear
	DoneAt          zone.Instant          `json:"done,omitempty"`
	LastRagTest     *RagTest              `json:"rag,omitempty"` // the last one
	LastPrinted     *PrintedLabel         `json:"printed,omitempty"`
	Token           string                `json:"token"`           // 16 hex digits
	BoundBlanks     []string              `json:"bound,omitempty"` // tokens of the blanks tied to it, the last one last
	SplitFrom       journal.ID            `json:"from,omitempty"`  // the bag it was split from
	SplitInto       []journal.ID          `json:"into,omitempty"`  // the bags that pieces of it were taken over into
	NeedsNewerApp   bool                  `json:"update,omitempty"`
	NumberClashes   bool                  `json:"clash,omitempty"` // another bag bears the same number
}

// BlankLabel is a label that was printed before it had a bag: a numbered blank, which belongs to
// Bag once it is attached, or the tag of a piece.
type BlankLabel struct {
	Number    int        `json:"number"`
	Letter    string     `json:"letter,omitempty"`
	Token     string     `json:"token"` // 16 hex digits
	PrintFact journal.ID `json:"print"` // the fact that it was printed with
	Piece     journal.ID `json:"piece,omitempty"`
	Bag       journal.ID `json:"bag,omitempty"`
}

// Stay says where a bag stood from At on. Celsius is the temperature that was read or assumed there
// then.
type Stay struct {
	At      zone.Instant `json:"at"`
	Place   journal.ID   `json:"place,omitempty"`
	Celsius *float64     `json:"celsius,omitempty"`
}

// AddedDye records that dye was added to a bag: the cure of those colours begins then.
type AddedDye struct {
	At      zone.Instant          `json:"at"`
	Colours []journal.ColourInBag `json:"colours"`
}

// DryFinding says when something in a bag was found dry, and whether it was wetted then.
type DryFinding struct {
	At        zone.Instant `json:"at"`
	WasWetted bool         `json:"wetted,omitempty"`
}

// RagTest is what a wet white rag showed after it was pressed on a piece of the bag: clean, tinted
// or stained.
type RagTest struct {
	At      zone.Instant `json:"at"`
	Showed  string       `json:"showed"`
	Celsius *float64     `json:"celsius,omitempty"` // of the water
}

// PrintedLabel is what the last label said.
type PrintedLabel struct {
	At    zone.Instant `json:"at"`
	Code  string       `json:"code"`
	Ready zone.Instant `json:"ready,omitempty"`
}

// UnappliedFact is a fact about something that was withdrawn or that this journal never
// had. It is stored, and shown as an entry that does not apply.
type UnappliedFact struct {
	FactID journal.ID `json:"fact"`
	Kind   string     `json:"kind"`
}

// Stage is where the bag is on its way: cure, opened, rinsed or done.
func (b Bag) Stage() string {
	switch {
	case b.DoneAt != 0 || b.IsEmpty():
		return "done"
	case b.RinsedAt != 0:
		return "rinsed"
	case b.OpenedAt != 0:
		return "opened"
	}
	return "cure"
}

// IsEmpty says whether everything that was in b was moved to other bags.
func (b Bag) IsEmpty() bool {
	for _, p := range b.Pieces {
		if p.Count > 0 {
			return false
		}
	}
	return len(b.SplitInto) > 0
}

// Piece returns the piece of that id.
func (s State) Piece(id journal.ID) (Piece, bool) {
	return find(s.Pieces, func(p Piece) bool { return p.ID == id })
}

// Colour returns the colour of that id.
func (s State) Colour(id journal.ID) (Colour, bool) {
	return find(s.Colours, func(c Colour) bool { return c.ID == id })
}

// Bag returns the bag of that id.
func (s State) Bag(id journal.ID) (Bag, bool) {
	return find(s.Bags, func(b Bag) bool { return b.ID == id })
}

// BagByToken returns the bag whose label carries that token, or a numbered blank that
// is tied to it. The tag of a piece leads to the bag that the piece went into last.
func (s State) BagByToken(token string) (Bag, bool) {
	if b, ok := find(s.Bags, func(b Bag) bool { return token != "" && (b.Token == token || slices.Contains(b.BoundBlanks, token)) }); ok {
		return b, true
	}
	x, _ := s.BlankByToken(token)
	if in := s.BagsOf(x.Piece); len(in) > 0 {
		return in[len(in)-1], true
	}
	return Bag{}, false
}

// BagsOf returns the bags that hold some of a piece, in the order they were closed.
func (s State) BagsOf(piece journal.ID) (in []Bag) {
	for _, b := range s.Bags {
		if slices.ContainsFunc(b.Pieces, func(p journal.PieceInBag) bool { return piece != "" && p.Piece == piece && p.Count > 0 }) {
			in = append(in, b)
		}
	}
	return in
}

// BagByTypedID is BagByToken by the id that is typed by hand, as label.ParseID returns it.
func (s State) BagByTypedID(id string) (Bag, bool) {
	is := func(token string) bool { return DecodeToken(token).ID() == id }
	if b, ok := find(s.Bags, func(b Bag) bool { return is(b.Token) }); ok {
		return b, true
	}
	x, _ := find(s.Blanks, func(x BlankLabel) bool { return is(x.Token) })
	return s.BagByToken(x.Token)
}

// BlankByToken returns the numbered blank, or tag of a piece, with that token.
func (s State) BlankByToken(token string) (BlankLabel, bool) {
	return find(s.Blanks, func(x BlankLabel) bool { return token != "" && x.Token == token })
}

// IsOpen says whether anything in the batch still has to be done.
func (s State) IsOpen() bool { return s.FinishedAt == 0 }

func find[T any](list []T, is func(T) bool) (T, bool) {
	for _, x := range list {
		if is(x) {
			return x, true
		}
	}
	var none T
	return none, false
}
