package batchview

import (
	"encoding/hex"
	"fmt"
	"math"

	"coldbatch/internal/batch"
	"coldbatch/internal/colour"
	"coldbatch/internal/cure"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/goods"
	"coldbatch/internal/journal"
	"coldbatch/internal/label"
	"coldbatch/internal/place"
	"coldbatch/internal/unit"
)

// LabelView is a label as its code alone describes it: the bag as it was printed, and the
// token by which a phone of the batch finds the bag.
type LabelView struct {
	Bag   BagView `json:"bag"`
	Token string  `json:"token"`           // 16 hex digits
	ID    string  `json:"id"`              // as typed by hand
	Blank bool    `json:"blank,omitempty"` // printed before it had a bag
	Tag   bool    `json:"tag,omitempty"`   // a blank that is the tag of a piece
}

// ViewLabel reads the address or code on a label, of any origin and in any case. Of a code
// of a newer version it shows what it can read, with a note to update.
func ViewLabel(address string, e ViewEnv) (LabelView, error) {
	code, ok := label.FindCode(address)
	if !ok {
		return LabelView{}, fault.New(fault.Input, "%q is not the code of a bag", cutTo60(address)).
			WithHint("scan the square on the bag's label, or type its number")
	}
	l, err := label.Decode(code)
	if err != nil && !fault.Is(err, fault.Newer) {
		return LabelView{}, err
	}
	// Times are shown by the clock of the place where the bag was closed.
	e.Zone = l.Zone()
	v := BagView{Number: number(l.Number, l.Letter), Digits: number(l.Number, ""), Letter: l.Letter, Code: code, TypedID: l.Token.ID(), Colours: []ColourView{},
		Stage: "cure", Notes: []string{}, ClosedAt: l.Closed, Ready: l.Ready, Late: l.LatestReady, Strip: Strip{Ticks: []Tick{}},
		Photos: []PhotoView{}, PhotoPieces: []journal.ID{}}
	if l.Number == 0 {
		v.Number, v.Digits = "?", "?"
	}
	out := LabelView{Token: hex.EncodeToString(l.Token[:]), ID: l.Token.ID(), Blank: l.Blank, Tag: l.Tag}
	switch {
	case l.Tag:
		v.Verdict, v.Tone, v.Headline = "tag", "plain", "the tag of a piece of a batch that is not known here"
	case l.Blank:
		v.Verdict, v.Tone, v.Headline = "blank", "plain", "a numbered blank, not tied to a bag here"
	default:
		v.setPrinted(l, e)
	}
	if fault.Is(err, fault.Newer) {
		v.Update, v.Tone = true, "care"
		v.addNote("this label was printed by a newer version: update the app to see all of it")
	}
	v.Readiness = readinessOf(v.Stage, cure.Verdict(v.Verdict))
	out.Bag = v
	return out, nil
}

func (v *BagView) setPrinted(l label.Label, e ViewEnv) {
	v.Closed = "not closed yet"
	if l.Closed != 0 {
		v.Closed = "closed " + e.formatTime(l.Closed)
	}
	v.AsPrinted = "as printed: worked out when the label was made, at " + e.formatTemperature(l.Celsius)
	class := dye.UnknownClass
	if l.Class >= 0 && l.Class < len(classCodes) {
		class = classCodes[l.Class]
	}
	o := cure.Outlook{Class: class, Ready: l.Ready, Early: l.EarliestReady, Late: l.LatestReady, Verdict: cure.VerdictUnknown}
	switch {
	case l.LatestReady != 0 && e.Now >= l.LatestReady && !cure.WaitsForLate(class):
		o.Verdict = cure.VerdictReady
	case l.Ready != 0 && e.Now >= l.Ready:
		o.Verdict = cure.VerdictProbablyReady
	case l.Ready != 0:
		o.Verdict = cure.VerdictKeepWet
	case class == dye.Monochlorotriazine:
		o.Verdict = cure.VerdictNeedsHeat
	}
	v.Verdict = string(o.Verdict)
	v.setCure(o, e)
	v.Strip = e.strip(l.Closed, l.Ready, l.LatestReady, e.Now)
	v.Paper = e.printTimes(l.Closed, o)
	v.Condition = "if it stays near " + e.formatTemperature(l.Celsius)
	info := goods.KindOf(uint8(l.Piece)).Info()
	v.Contents = info.Words
	if w := foldWords(l.Fold); w != "" {
		v.Contents += ", " + w
	}
	for _, c := range l.Colours {
		name := c.Name
		if name == "" {
			name = colour.Word(c.RGB[0], c.RGB[1], c.RGB[2])
		}
		v.Colours = append(v.Colours, ColourView{Caps: c.Caps, Name: name, Class: string(class), ClassIs: class.Info().Words,
			RGB: fmt.Sprintf("#%02x%02x%02x", c.RGB[0], c.RGB[1], c.RGB[2]), Share: math.Round(float64(c.Sixteenths)/16*100) / 100})
	}
}

func cutTo60(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}

// ViewPlace returns a place with its last temperature.
func ViewPlace(p batch.PlaceState, e ViewEnv) PlaceView {
	v := PlaceView{ID: p.ID, Name: p.Name, Text: "not read yet", IsOld: true, Sensors: p.Sensors}
	if n := len(p.Readings); n > 0 {
		last := p.Readings[n-1]
		c := float64(last.Celsius)
		v.Celsius = &c
		v.Text = e.formatTemperature(c) + ", " + agoText(e.Now.Sub(last.At))
		v.IsOld = e.Now.Sub(last.At).Hours() > place.ReadingValidity.Value
	}
	if p.Usual != nil {
		v.Usual = "usually " + unit.ShowRange(unit.KindTemperature, float64(p.Usual.Low), float64(p.Usual.High), e.Style)
	}
	return v
}
