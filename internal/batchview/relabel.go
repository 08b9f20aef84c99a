package batchview

import (
	"slices"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/label"
	"coldbatch/internal/zone"
)

// checkLabel sets whether the bag's label should be printed. now is the label as it would be
// printed now. An opened bag needs no label.
func (v *BagView) checkLabel(b batch.Bag, now label.Label, e ViewEnv) {
	p := b.LastPrinted
	switch {
	case p != nil:
		v.LastPrinted = &PrintedView{At: p.At, PrintedText: e.formatTime(p.At)}
		if v.Stage == "cure" && v.Code != "" && p.Code != v.Code {
			v.LastPrinted.OutOfDateReason = staleWords(*p, now)
		}
		v.PrintReason = v.LastPrinted.OutOfDateReason
	case v.Stage == "cure" && len(b.BoundBlanks) == 0 && v.Code != "":
		v.PrintReason = "not printed yet"
	}
}

// staleWords says in words what is wrong on a printed label, "" if everything that a dyer
// relies on is still right.
func staleWords(p batch.PrintedLabel, now label.Label) string {
	ready := p.Ready
	var wrong []string
	if code, ok := label.FindCode(p.Code); ok {
		if l, err := label.Decode(code); err == nil || fault.Is(err, fault.Newer) {
			ready = l.ReadyAt
			if err == nil && !sameColours(l.Colours, now.Colours) {
				wrong = append(wrong, "other colours")
			}
			if err == nil && (l.PieceCode != now.PieceCode || l.FoldCode != now.FoldCode) {
				wrong = append(wrong, "another piece")
			}
		}
	}
	if readyMoved(ready, now.ReadyAt) {
		wrong = append([]string{"another time"}, wrong...)
	}
	if len(wrong) == 0 {
		return ""
	}
	return "the printed label shows " + strings.Join(wrong, ", ") + ": print it again, or trust this screen"
}

// readyMoved says whether a printed ready time is off by more than a quarter of an
// hour (judgement: what a dyer would act on).
func readyMoved(printed, ready zone.Instant) bool {
	d := printed.Sub(ready)
	return d > 15*zone.Minute || d < -15*zone.Minute
}

// sameColours compares what a reader of the label sees: cap letters and colour, and shares
// to within a sixteenth.
func sameColours(printed, now []label.Colour) bool {
	return slices.EqualFunc(printed, now, func(p, n label.Colour) bool {
		d := p.ShareSixteenths - n.ShareSixteenths
		return p.CapLetters == n.CapLetters && p.RGB == quantize(n.RGB) && d >= -1 && d <= 1
	})
}

// quantize rounds a colour to the 16 levels a channel that a label stores.
func quantize(rgb [3]uint8) [3]uint8 {
	for i, c := range rgb {
		rgb[i] = uint8((int(c)*15 + 127) / 255 * 17)
	}
	return rgb
}

// bagsSplitOff returns the known bags that pieces of b were moved into.
func bagsSplitOff(s batch.State, b batch.Bag) (out []BagLink) {
	for _, id := range b.SplitInto {
		if x, ok := s.Bag(id); ok {
			out = append(out, BagLink{x.ID, formatBagNumber(x.Number, x.Letter)})
		}
	}
	return out
}

// hasLetteredBlanks says whether the number of a free blank has a letter, so that digits
// are not enough to type it.
func hasLetteredBlanks(s batch.State) bool {
	return slices.ContainsFunc(s.Blanks, func(x batch.BlankLabel) bool { return x.Piece == "" && x.Bag == "" && x.Letter != "" })
}

// freeBlankWords says which numbered blanks are free: "3 numbered blanks are free: 41–43".
func freeBlankWords(s batch.State) string {
	free, words := 0, ""
	for i := 0; i < len(s.Blanks); i++ {
		x := s.Blanks[i]
		if x.Piece != "" || x.Bag != "" {
			continue
		}
		last := x
		for free++; i+1 < len(s.Blanks); i++ {
			n := s.Blanks[i+1]
			if n.Piece != "" || n.Bag != "" || n.Letter != x.Letter || n.Number != last.Number+1 {
				break
			}
			last = n
			free++
		}
		if words += ", " + formatBagNumber(x.Number, x.Letter); last != x {
			words += "–" + formatBagNumber(last.Number, last.Letter)
		}
	}
	if free == 0 {
		return ""
	}
	return countWords(free, "numbered blank is free", "numbered blanks are free") + ": " + words[2:]
}
