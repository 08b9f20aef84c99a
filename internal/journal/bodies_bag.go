package journal

import (
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/zone"
)

// PieceInBag says how many of a piece's count are in the bag.
type PieceInBag struct {
	Piece ID  `json:"piece"`
	Count int `json:"count"`
}

// ColourInBag is a colour and its share of the dye in the bag, 0 to 1.
type ColourInBag struct {
	Colour ID      `json:"colour"`
	Share  float64 `json:"share"`
}

// BagClosed begins a cure. Number is never used again in the batch; Letter is
// the phone's, where it had no lease. Celsius is what the place was read or
// assumed to have when the bag was closed.
type BagClosed struct {
	Number  int           `json:"number"`
	Letter  string        `json:"letter,omitempty"`
	Pieces  []PieceInBag  `json:"pieces"`
	Colours []ColourInBag `json:"colours"`
	Fold    string        `json:"fold,omitempty"`
	Place   ID            `json:"place,omitempty"`
	Celsius *float64      `json:"celsius,omitempty"`
	Note    string        `json:"note,omitempty"`
	TypedTexts
}

func (b *BagClosed) check() error {
	if b.Number < 1 || b.Number > MaxNumber {
		return fault.New(fault.Input, "bag number %d is not accepted", b.Number).WithHint("from 1 to %d", MaxNumber)
	}
	if len(b.Colours) == 0 {
		return fault.New(fault.Missing, "bag %d has no colour", b.Number).WithHint("choose at least one")
	}
	if len(b.Pieces) == 0 {
		return fault.New(fault.Missing, "bag %d has no piece", b.Number).WithHint("choose at least one")
	}
	return firstError(checkBagContents(b.Pieces, b.Colours), checkLength("fold", b.Fold, maxLineText), checkPlace(b.Place), checkOptional("temperature", b.Celsius, -40, 90))
}

// BagChanged holds the properties of a bag that change; a missing one stays as it was.
type BagChanged struct {
	Pieces  []PieceInBag  `json:"pieces,omitempty"`
	Colours []ColourInBag `json:"colours,omitempty"`
	Fold    *string       `json:"fold,omitempty"`
	Celsius *float64      `json:"celsius,omitempty"`
	Note    *string       `json:"note,omitempty"`
	TypedTexts
}

func (b *BagChanged) check() error {
	return firstError(checkBagContents(b.Pieces, b.Colours), checkLength("fold", valueOf(b.Fold), maxLineText), checkOptional("temperature", b.Celsius, -40, 90))
}

// A bag holds at most so many lines of pieces, and so many colours (judgement).
const (
	maxPieceLines   = 60
	maxColoursInBag = 30
)

func checkBagContents(pieces []PieceInBag, colours []ColourInBag) error {
	if len(pieces) > maxPieceLines || len(colours) > maxColoursInBag {
		return fault.New(fault.Input, "a bag with %d lines of pieces and %d colours is not accepted", len(pieces), len(colours)).
			WithHint("up to %d lines of pieces and %d colours", maxPieceLines, maxColoursInBag)
	}
	for _, p := range pieces {
		if err := firstError(p.Piece.Check("piece"), checkRange("count", float64(p.Count), 1, MaxPieces)); err != nil {
			return err
		}
	}
	for _, c := range colours {
		if err := firstError(c.Colour.Check("colour"), checkRange("share", c.Share, 0, 1)); err != nil {
			return err
		}
	}
	return nil
}

func checkPlace(id ID) error {
	if id == "" {
		return nil
	}
	return id.Check("place")
}

// BagMoved records the place where the bag is from then on.
type BagMoved struct {
	Place   ID       `json:"place,omitempty"`
	Celsius *float64 `json:"celsius,omitempty"`
}

func (b *BagMoved) check() error {
	return firstError(checkPlace(b.Place), checkOptional("temperature", b.Celsius, -40, 90))
}

// BagLooked records that the bag was open for Seconds.
type BagLooked struct {
	Seconds float64 `json:"seconds,omitempty"`
}

func (b *BagLooked) check() error { return checkRange("seconds", b.Seconds, 0, 86400) }

// BagDyed records colours added to a bag; their cure begins then.
type BagDyed struct {
	Colours []ColourInBag `json:"colours"`
}

func (b *BagDyed) check() error { return checkBagContents(nil, b.Colours) }

// BagFoundDry says that something in the bag was found dry, and whether it was
// wetted again.
type BagFoundDry struct {
	WasWetted bool   `json:"wetted"`
	Note      string `json:"note,omitempty"`
}

func (b *BagFoundDry) check() error { return nil }

// BagWeighed is what the wet pieces in the bag weigh, without the bag.
type BagWeighed struct {
	Grams float64 `json:"grams"`
	TypedTexts
}

func (b *BagWeighed) check() error { return checkRange("weight in grams", b.Grams, 1, 1e5) }

// BagSplit records pieces moved to another bag, which is closed by a fact of its own.
type BagSplit struct {
	Into   ID           `json:"into"`
	Pieces []PieceInBag `json:"pieces"`
}

func (b *BagSplit) check() error {
	return firstError(b.Into.Check("bag"), checkBagContents(b.Pieces, nil))
}

// LabelNumberRange is the numbers that labels were printed with before they had a bag, both ends
// included: numbered blanks, or tags of a piece. Letter is the phone's, where it had
// no lease. Each label's token comes of the fact's subject and its number.
type LabelNumberRange struct {
	From   int    `json:"from"`
	To     int    `json:"to"`
	Letter string `json:"letter,omitempty"`
	Sheet  string `json:"sheet,omitempty"`
}

// MaxBlanks says how many blanks or tags are printed at a time (judgement: some sheets of labels).
const MaxBlanks = 200

func (b *LabelNumberRange) check() error {
	if b.To-b.From >= MaxBlanks {
		return fault.New(fault.Input, "labels numbered %d to %d are too many to be printed at a time", b.From, b.To).WithHint("up to %d", MaxBlanks)
	}
	if b.From < 1 || b.To < b.From || b.To > MaxNumber {
		return fault.New(fault.Input, "labels numbered %d to %d are not accepted", b.From, b.To).WithHint("from 1 to %d", MaxNumber)
	}
	if len(b.Letter) > 1 || !strings.Contains(Letters, b.Letter) {
		return fault.New(fault.Input, "phone letter %q is not accepted", b.Letter).WithHint("one of %s", Letters)
	}
	return nil
}

// BagBound is the token of a numbered blank tied to the bag.
type BagBound struct {
	Token string `json:"token"`
}

func (b *BagBound) check() error { return checkName("token", b.Token) }

// BagPrinted is the code that was printed, and when ready it said.
type BagPrinted struct {
	Code  string       `json:"code"`
	Ready zone.Instant `json:"ready,omitempty"`
	Sheet string       `json:"sheet,omitempty"`
}

func (b *BagPrinted) check() error { return nil }

// BagOpened ends the cure.
type BagOpened struct {
	Note string `json:"note,omitempty"`
}

func (b *BagOpened) check() error { return nil }

// BagRinsed is the end of rinsing: baths used and whether the last ran clear.
type BagRinsed struct {
	Baths int   `json:"baths,omitempty"`
	Clear *bool `json:"clear,omitempty"`
}

func (b *BagRinsed) check() error { return checkRange("baths", float64(b.Baths), 0, 100) }

// BagDone says it is washed and dry.
type BagDone struct {
	Note string `json:"note,omitempty"`
}

func (b *BagDone) check() error { return nil }

// RinseDone is one bath for some bags: water in mL at a temperature. Bags with the same
// Tub are in one tub.
type RinseDone struct {
	Bags    []ID     `json:"bags,omitempty"`
	Tub     ID       `json:"tub,omitempty"`
	Water   float64  `json:"water"`
	Celsius *float64 `json:"celsius,omitempty"`
	Soap    bool     `json:"soap,omitempty"`
}

func (b *RinseDone) check() error {
	return firstError(checkIDs("bag", b.Bags), checkRange("water in mL", b.Water, 0, 1e6))
}

// RagTested is what a white rag showed: clean, tinted or stained.
type RagTested struct {
	Showed  string   `json:"showed"`
	Celsius *float64 `json:"celsius,omitempty"`
}

func (b *RagTested) check() error { return checkOneOf("rag", b.Showed, "clean tinted stained") }

// WashDone is a machine wash of some bags.
type WashDone struct {
	Bags    []ID     `json:"bags,omitempty"`
	Celsius *float64 `json:"celsius,omitempty"`
	Alone   bool     `json:"alone"`
}

func (b *WashDone) check() error { return checkIDs("bag", b.Bags) }
