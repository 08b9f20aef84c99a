package journal

import (
	"strings"

	"coldbatch/internal/fault"
)

// resultFaults are what can be wrong with a piece; package cause gives them words.
const resultFaults = "pale patchy white-inside bled muddy stiff other-hue"

// resultAmounts say how much white was left, or how much a piece bled.
const resultAmounts = "none some much"

// ResultRated describes how a piece or bag came out. Overall, Bright and Even go from 1 (poor) to 5
// (as wished). A property that is missing or 0 stays as it was rated before, so that each
// can be rated on its own. White and Bled are none, some or much; WhiteShare is the share
// of the cloth that stayed white, 0 to 1. Faults, where given, replaces all faults named
// before. Cleared names properties that are taken off again, by their names here.
type ResultRated struct {
	Overall    int       `json:"overall"`
	Bright     int       `json:"bright,omitempty"`
	Even       int       `json:"even,omitempty"`
	White      string    `json:"white,omitempty"`       // white left inside: none, some, much
	WhiteShare *float64  `json:"white_share,omitempty"` // of the cloth
	Bled       string    `json:"bled,omitempty"`        // none, some, much
	Faults     *[]string `json:"faults,omitempty"`
	Note       string    `json:"note,omitempty"`
	Cleared    []string  `json:"cleared,omitempty"`
}

// ratedProperties are the properties that can be taken off again.
const ratedProperties = "overall bright even white white_share bled note"

func (b *ResultRated) check() error {
	if n := len(strings.Fields(ratedProperties)); len(b.Cleared) > n {
		return fault.New(fault.Input, "%d ratings are too many to remove at once", len(b.Cleared)).WithHint("at most %d", n)
	}
	for _, p := range b.Cleared {
		if err := checkOneOf("rating", p, ratedProperties); err != nil {
			return err
		}
	}
	if b.Faults != nil {
		if n := len(ResultFaults()); len(*b.Faults) > n {
			return fault.New(fault.Input, "one piece cannot have %d faults", len(*b.Faults)).WithHint("at most %d", n)
		}
		for _, f := range *b.Faults {
			if err := checkOneOf("fault", f, resultFaults); err != nil {
				return err
			}
		}
	}
	return firstError(checkRange("rating", float64(b.Overall), 0, 5), checkRange("brightness", float64(b.Bright), 0, 5),
		checkRange("evenness", float64(b.Even), 0, 5), checkOptional("share that stayed white", b.WhiteShare, 0, 1),
		checkOptionalWord("white left", b.White, resultAmounts), checkOptionalWord("bleeding", b.Bled, resultAmounts))
}

// ResultFaults lists what can be wrong with a piece.
func ResultFaults() []string { return strings.Fields(resultFaults) }

// ColourRead is the colour of a piece as CIELAB (D65), read from a photo against a white
// card in it. Error is the ± of it as a difference by CIEDE2000, Washes how many washes the
// piece has had.
type ColourRead struct {
	Lab    [3]float64 `json:"lab"`
	Error  float64    `json:"error"`
	Photo  string     `json:"sha256,omitempty"`
	Washes int        `json:"washes,omitempty"`
}

func (b *ColourRead) check() error {
	if b.Photo != "" {
		if err := checkPhotoHash(b.Photo); err != nil {
			return err
		}
	}
	return firstError(checkRange("lightness", b.Lab[0], 0, 100), checkRange("a*", b.Lab[1], -200, 200), checkRange("b*", b.Lab[2], -200, 200),
		checkRange("error", b.Error, 0, 100), checkRange("washes", float64(b.Washes), 0, 1000))
}

// ResultMeasured is two colours as CIELAB, before and after a wash.
type ResultMeasured struct {
	Before [3]float64 `json:"before"`
	After  [3]float64 `json:"after"`
	Rough  bool       `json:"rough"` // from a phone's photo
}

func (b *ResultMeasured) check() error {
	return firstError(checkRange("lightness", b.Before[0], 0, 100), checkRange("lightness", b.After[0], 0, 100))
}
