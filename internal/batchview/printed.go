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
	Bag      BagView `json:"bag"`
	Token    string  `json:"token"`           // 16 hex digits
	ID       string  `json:"id"`              // as typed by hand
	IsBlank  bool    `json:"blank,omitempty"` // printed before it had a bag
	PieceTag bool    `json:"tag,omitempty"`   // a blank that is the tag of a piece
}

// ViewLabel reads the address or code on a label, of any origin and in any case. Of a code
// of a newer version it shows what it can read, with a note to update.
func ViewLabel(address string, e ViewEnv) (LabelView, error) {
	code, ok := label.FindCode(address)
	if !ok {
		return LabelView{}, fault.New(fault.Input, "%q is not the code of a bag", truncateText(address)).
			WithHint("scan the square on the bag's label, or type its number")
	}
	l, err := label.Decode(code)
	if err != nil && !fault.Is(err, fault.Newer) {
		return LabelView{}, err
	}
	// Times are shown by the clock of the place where the bag was closed.
	e.Zone = l.Zone()
	v := BagView{Number: formatBagNumber(l.Number, l.Letter), NumberDigits: formatBagNumber(l.Number, ""), Letter: l.Letter, Code: code, TypedID: l.Token.ID(), Colours: []ColourView{},
		Stage: "cure", Notes: []string{}, ClosedAt: l.ClosedAt, ReadyAt: l.ReadyAt, LateReadyAt: l.LatestReady, Timeline: Timeline{Ticks: []ScaleMark{}},
		Holds: []journal.PieceInBag{}, Photos: []PhotoView{}, PhotoPieces: []journal.ID{}}
	if l.Number == 0 {
		v.Number, v.NumberDigits = "?", "?"
	}
	out := LabelView{Token: hex.EncodeToString(l.Token[:]), ID: l.Token.ID(), IsBlank: l.IsBlank, PieceTag: l.IsPieceTag}
	switch {
	case l.IsPieceTag:
		v.Verdict, v.Tone, v.Headline = "tag", "plain", "the tag of a piece; its batch is not known here"
	case l.IsBlank:
		v.Verdict, v.Tone, v.Headline = "blank", "plain", "a numbered blank, not tied to a bag here"
	default:
		v.setPrinted(l, e)
	}
	if fault.Is(err, fault.Newer) {
		v.NeedsNewerApp, v.Tone = true, "care"
		v.addNote("this label was printed by a newer version: update the app to see all of it")
	}
	v.Readiness = readinessOf(v.Stage, cure.Verdict(v.Verdict))
	out.Bag = v
	return out, nil
}

func (v *BagView) setPrinted(l label.Label, e ViewEnv) {
	v.ClosedText = "not closed yet"
	if l.ClosedAt != 0 {
		v.ClosedText = "closed " + e.formatTime(l.ClosedAt)
	}
	v.AsPrintedNote = "as printed: worked out when the label was made, at " + e.formatTemperature(l.Celsius)
	class := dye.UnknownClass
	if l.ClassCode >= 0 && l.ClassCode < len(classCodes) {
		class = classCodes[l.ClassCode]
	}
	o := cure.Outlook{Class: class, Ready: l.ReadyAt, Early: l.EarliestReady, Late: l.LatestReady, Verdict: cure.VerdictUnknown}
	switch {
	case l.LatestReady != 0 && e.Now >= l.LatestReady && !cure.WaitsForLate(class):
		o.Verdict = cure.VerdictReady
	case l.ReadyAt != 0 && e.Now >= l.ReadyAt:
		o.Verdict = cure.VerdictProbablyReady
	case l.ReadyAt != 0:
		o.Verdict = cure.VerdictKeepWet
	case class == dye.Monochlorotriazine:
		o.Verdict = cure.VerdictNeedsHeat
	}
	v.Verdict = string(o.Verdict)
	v.setCure(o, e)
	v.Timeline = e.buildTimeline(l.ClosedAt, l.ReadyAt, l.LatestReady, e.Now)
	v.PrintTimes = e.printTimes(l.ClosedAt, o)
	v.Condition = "if it stays near " + e.formatTemperature(l.Celsius)
	info := goods.KindOf(uint8(l.PieceCode)).Info()
	v.Contents = info.Words
	if w := foldWords(l.FoldCode); w != "" {
		v.Contents += ", " + w
	}
	for _, c := range l.Colours {
		name := c.Name
		if name == "" {
			name = colour.PlainWord(c.RGB[0], c.RGB[1], c.RGB[2])
		}
		v.Colours = append(v.Colours, ColourView{CapLetters: c.CapLetters, Name: name, Class: string(class), ClassWords: class.Info().Words,
			RGB: fmt.Sprintf("#%02x%02x%02x", c.RGB[0], c.RGB[1], c.RGB[2]), Share: math.Round(float64(c.ShareSixteenths)/16*100) / 100})
	}
}

func truncateText(s string) string {
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
