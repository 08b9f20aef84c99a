package batchview

import (
	"fmt"
	"math"

	"coldbatch/internal/batch"
	"coldbatch/internal/cause"
	"coldbatch/internal/colour"
	"coldbatch/internal/fault"
	"coldbatch/internal/goods"
	"coldbatch/internal/journal"
	"coldbatch/internal/provenance"
)

// ResultView describes how a bag came out: its ratings, the colours that were read from photos, and
// what to print for whoever gets it.
type ResultView struct {
	Bag       journal.ID        `json:"bag"`
	Number    string            `json:"number"`
	BatchName string            `json:"batchName"`
	Contents  string            `json:"what"`
	Colours   []ColourView      `json:"colours"`
	Photos    []PhotoView       `json:"photos"`
	Rating    batch.Result      `json:"rating"`
	Summary   string            `json:"summary"` // "4 of 5, bright 5 of 5, 10 % stayed white"
	Choices   []cause.FaultInfo `json:"choices"`
	Readings  []ReadingView     `json:"readings"` // the newest first
	Others    []string          `json:"others"`   // how far the newest is from other bags of the batch
	Tag       TagCard           `json:"tag"`
}

// ReadingView is a colour that was read from a photo.
type ReadingView struct {
	FactID           journal.ID `json:"fact"`
	RGB              string     `json:"rgb"`
	Words            string     `json:"words"`            // "rust, L* 42 a* 38 b* 30, ± 6"
	TimeText         string     `json:"when"`             // "today 18:20, after 10 washes"
	Photo            string     `json:"photo,omitempty"`  // its hash
	PlanDistanceText string     `json:"plan,omitempty"`   // how far it is from the plan
	ChangeText       string     `json:"change,omitempty"` // how far from the first reading, with the ISO 105 grade
}

// TagCard is the words of a price tag and a care card.
type TagCard struct {
	Name   string   `json:"name"`
	Fibres string   `json:"fibres"`
	Dyes   string   `json:"dyes"`
	Care   []string `json:"care"` // in the order of ISO 3758: wash, bleach, dry, iron, professional care
	Source string   `json:"source"`
}

// CareSource is where the order of the care card comes from; its words are practice.
var CareSource = provenance.Source{Reliability: provenance.Memory, Text: "the order of ISO 3758 (washing, bleaching, drying, ironing, professional care), in words, because its symbols are registered trademarks; what each says is common practice for dyed cotton"}

// ViewResult returns how a bag came out.
func ViewResult(s batch.State, id journal.ID, e ViewEnv) (ResultView, error) {
	b, ok := s.Bag(id)
	if !ok {
		return ResultView{}, fault.New(fault.NotFound, "there is no such bag in this batch").WithHint("it may have been undone: see the history")
	}
	r, _ := s.ResultOf(id)
	r.Subject = id
	v := ResultView{Bag: id, Number: formatBagNumber(b.Number, b.Letter), BatchName: s.Name, Contents: contentWords(s, b), Colours: bagColours(s, b), Photos: bagPhotos(s, b, e),
		Rating: r, Summary: ratingWords(r), Choices: cause.Faults(), Readings: []ReadingView{}, Tag: tagCard(s, b)}
	var first *batch.ColourReading
	for _, x := range s.Readings {
		if x.Subject != id {
			continue
		}
		v.Readings = append([]ReadingView{viewReading(x, first, v.Colours, e)}, v.Readings...)
		if first == nil {
			first = &x
		}
	}
	v.Others = compareReadings(s, id)
	return v, nil
}

// compareReadings says how far the newest reading of a bag is from the newest of each other
// bag of the batch.
func compareReadings(s batch.State, id journal.ID) []string {
	out := []string{}
	mine, ok := newestReading(s, id)
	if !ok {
		return out
	}
	for _, b := range s.Bags {
		if x, ok := newestReading(s, b.ID); ok && b.ID != id {
			out = append(out, apartWords(mine, x, "from bag "+formatBagNumber(b.Number, b.Letter)))
		}
	}
	return out
}

// newestReading returns the newest colour that was read of a bag.
func newestReading(s batch.State, id journal.ID) (newest batch.ColourReading, ok bool) {
	for _, x := range s.Readings {
		if x.Subject == id {
			newest, ok = x, true
		}
	}
	return newest, ok
}

// apartWords says how far two readings are apart: "ΔE 12 from bag 4 (± 6)".
func apartWords(x, y batch.ColourReading, from string) string {
	d := colour.Difference(labOfReading(x), labOfReading(y))
	return fmt.Sprintf("ΔE %.0f %s%s", d, from, within(d, math.Hypot(x.Error, y.Error)))
}

// readingWords writes a reading: "rust, L* 42 a* 38 b* 30, ± 6".
func readingWords(x batch.ColourReading) string {
	lab := labOfReading(x)
	rgb, _ := lab.SRGB()
	return fmt.Sprintf("%s, L* %.0f a* %.0f b* %.0f, ± %s", colour.PlainWord(rgb[0], rgb[1], rgb[2]), lab.L, lab.A, lab.B, formatNumber(x.Error))
}

// washesWords writes after how many washes a reading was made, "" for none.
func washesWords(x batch.ColourReading) string {
	return withLabel("after ", countWords(x.Washes, "wash", "washes"))
}

func labOfReading(x batch.ColourReading) colour.Lab {
	return colour.Lab{L: x.Lab[0], A: x.Lab[1], B: x.Lab[2]}
}

// ratingWords writes what was rated of a bag, "" for nothing.
func ratingWords(r batch.Result) string {
	white := ""
	if r.WhiteShare != nil {
		white = formatPercent(*r.WhiteShare) + " stayed white"
	}
	return joinNonEmpty(", ", overallWords(r), formatRating("bright", r.Bright), formatRating("even", r.Even), white, withLabel("white inside: ", r.White), withLabel("bled: ", r.Bled), wrongWords(r), r.Note)
}

// shortRating writes the overall rating of a bag and what is wrong with it: "2 of 5, pale".
func shortRating(s batch.State, b batch.Bag) string {
	r, _ := s.ResultOf(b.ID)
	return joinNonEmpty(", ", overallWords(r), wrongWords(r))
}

func overallWords(r batch.Result) string {
	if r.Overall == 0 {
		return ""
	}
	return fmt.Sprintf("%d of 5", r.Overall)
}

func wrongWords(r batch.Result) string {
	if len(r.Faults) == 0 {
		return ""
	}
	return cause.FaultWords(r.Faults)
}

// joinNonEmpty joins the parts that are not empty.
func joinNonEmpty(separator string, parts ...string) (out string) {
	for _, p := range parts {
		if p != "" && out != "" {
			out += separator
		}
		out += p
	}
	return out
}

// viewReading writes one reading, and how far it is from the nearest colour of the plan and
// from the first reading.
func viewReading(x batch.ColourReading, first *batch.ColourReading, plan []ColourView, e ViewEnv) ReadingView {
	lab := labOfReading(x)
	rgb, _ := lab.SRGB()
	v := ReadingView{FactID: x.FactID, RGB: fmt.Sprintf("#%02x%02x%02x", rgb[0], rgb[1], rgb[2]), Photo: x.Photo, Words: readingWords(x),
		TimeText: joinNonEmpty(", ", e.formatTime(x.At), washesWords(x))}
	least := math.Inf(1)
	for _, c := range plan {
		r := parseRGB(c.RGB)
		if d := colour.Difference(lab, colour.FromSRGB(r[0], r[1], r[2])); d < least {
			least = d
			v.PlanDistanceText = fmt.Sprintf("ΔE %.0f from the planned %s%s", d, c.Name, within(d, x.Error))
		}
	}
	if first != nil {
		was := labOfReading(*first)
		d, spread := colour.Difference(was, lab), math.Hypot(x.Error, first.Error)
		v.ChangeText = fmt.Sprintf("ΔE %.0f from the first reading%s: about ISO 105 grade %s", d, within(d, spread), colour.RateColourChange(was, lab).Grade())
	}
	return v
}

// within returns the words for the error of a difference d: ", within the ± of 5" where d is no
// more than that, else " (± 5)".
func within(d, spread float64) string {
	if d <= spread {
		return fmt.Sprintf(", within the ± of %.0f", spread)
	}
	return fmt.Sprintf(" (± %.0f)", spread)
}

// tagCard returns the words of a price tag and a care card for a bag's pieces.
func tagCard(s batch.State, b batch.Bag) TagCard {
	card := TagCard{Source: CareSource.Text, Care: []string{
		"Wash alone the first time, then with dark colours, at 40 °C, inside out.",
		"Do not bleach.",
		"Dry in the shade; do not tumble-dry hot.",
		"Iron hot, inside out.",
		"Do not dry clean.",
	}}
	names, fibres := []string{}, []string{}
	for _, bp := range b.Pieces {
		p, ok := s.Piece(bp.Piece)
		if !ok || bp.Count == 0 {
			continue
		}
		names = append(names, pieceWords(p, 1))
		fibre := "cotton"
		if info, known := goods.Fibre(p.Fibre).Info(); known {
			fibre = info.Words
			if info.Fibre == goods.Viscose {
				card.Care[0] = "Wash alone the first time, then with dark colours, at 30 °C, inside out, gently."
			}
		}
		if p.MainFibreShare > 0 {
			fibre = formatPercent(p.MainFibreShare) + " " + fibre
		}
		fibres = append(fibres, fibre)
	}
	card.Name, card.Fibres = joinUnique(names), joinUnique(fibres)
	if _, fold := bagContents(s, b); fold != "" {
		card.Name += ", " + fold
	}
	var dyes []string
	for _, c := range bagColours(s, b) {
		dyes = append(dyes, c.Name)
	}
	card.Dyes = "hand-dyed with fibre-reactive dye: " + joinUnique(dyes)
	return card
}

func joinUnique(list []string) (out string) {
	seen := map[string]bool{}
	for _, x := range list {
		if !seen[x] {
			out = joinNonEmpty(", ", out, x)
		}
		seen[x] = true
	}
	return out
}
