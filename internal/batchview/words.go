package batchview

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/goods"
	"coldbatch/internal/journal"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// FoldInfo is a way of folding and binding. Its code is printed in labels, so it never
// changes and is never reused.
type FoldInfo struct {
	Fold  string `json:"fold"`
	Words string `json:"words"`
	Code  int    `json:"code"` // 0–31
}

// Folds lists the folds that are offered. A fold not listed may be written in
// any words; on a label it has code 0.
func Folds() []FoldInfo {
	return []FoldInfo{
		{"spiral", "spiral", 1}, {"crumple", "crumple", 2}, {"stripes", "stripes", 3}, {"rings", "rings", 4},
		{"wedge", "wedge", 5}, {"square", "folded square", 6}, {"triangle", "folded triangle", 7},
		{"stitched", "stitched", 8}, {"knotted", "knotted", 9}, {"pole", "wrapped on a pole", 10}, {"flat", "flat, no fold", 11},
	}
}

func foldOf(key string) FoldInfo {
	f, ok := find(Folds(), func(f FoldInfo) bool { return f.Fold == key })
	if !ok {
		return FoldInfo{Fold: key, Words: key}
	}
	return f
}

// foldWords returns the words for a fold's code on a label.
func foldWords(code int) string {
	f, _ := find(Folds(), func(f FoldInfo) bool { return f.Code == code })
	return f.Words
}

// pieceWords names pieces: "tee, large", "2 pillowcases", "2 scarves, silk". What they are made of is
// said unless it is cotton.
func pieceWords(p batch.Piece, count int) string {
	info := goods.Kind(p.Kind).Info()
	one, many := info.Words, info.Plural
	if p.Name != "" {
		one, many = p.Name, p.Name
	}
	words := one
	if count != 1 {
		words = fmt.Sprintf("%d %s", count, many)
	}
	if cloth := clothWords(p); cloth != "" {
		words += ", " + cloth
	}
	return words
}

// contentWords names what is in a bag: "2 pillowcases, spiral".
func contentWords(s batch.State, b batch.Bag) string {
	what, fold := bagContents(s, b)
	if fold != "" {
		what += ", " + fold
	}
	return what
}

// bagContents names the pieces in a bag and their fold, each in words.
func bagContents(s batch.State, b batch.Bag) (what, fold string) {
	const most = 12 // lines (judgement): a label and a list show no more
	var parts []string
	fold = b.Fold
	for i, bp := range b.Pieces {
		if len(parts) == most {
			parts = append(parts, fmt.Sprintf("%d more", len(b.Pieces)-i))
			break
		}
		if bp.Count == 0 {
			continue
		}
		p, ok := s.Piece(bp.Piece)
		if !ok {
			parts = append(parts, "a piece that was withdrawn")
			continue
		}
		if fold == "" {
			fold = p.Fold
		}
		parts = append(parts, shortenWords(pieceWords(p, bp.Count)))
	}
	if len(parts) == 0 {
		parts = append(parts, "empty")
	}
	return strings.Join(parts, " and "), foldOf(fold).Words
}

// shortenWords shortens what an earlier version took without a bound.
func shortenWords(text string) string {
	const most = 240
	if runes := []rune(text); len(runes) > most {
		return string(runes[:most]) + "…"
	}
	return text
}

// formatBagNumber prints a bag's number with its letter: "8", "8H".
func formatBagNumber(n int, letter string) string { return strconv.Itoa(n) + letter }

func (e ViewEnv) formatMass(g float64) string   { return unit.Show(unit.KindMass, g, e.Style) }
func (e ViewEnv) formatVolume(m float64) string { return unit.Show(unit.KindVolume, m, e.Style) }
func (e ViewEnv) formatTemperature(c float64) string {
	return unit.Show(unit.KindTemperature, c, e.Style)
}
func (e ViewEnv) formatStrength(c float64) string {
	return unit.Show(unit.KindConcentration, c, e.Style)
}
func (e ViewEnv) formatTime(i zone.Instant) string {
	return e.Zone.FormatClock(i, e.Now, e.Style.Clock12)
}

// formatBoth adds the value in the other system: "240 mL (8.1 fl oz)".
func (e ViewEnv) formatBoth(k unit.Kind, v float64) string {
	out := unit.Show(k, v, e.Style)
	if o := unit.ShowInOther(k, v, e.Style); o != "" {
		out += " (" + o + ")"
	}
	return out
}

// agoText says how long ago something was.
func agoText(d zone.Span) string {
	if d < zone.Minute {
		return "just now"
	}
	return d.Words() + " ago"
}

// countBagged returns how many of a piece are in bags.
func countBagged(s batch.State, id journal.ID) int { return s.CountBagged(id) }

// find returns the first element that matches.
func find[T any](list []T, matches func(T) bool) (found T, ok bool) {
	if i := slices.IndexFunc(list, matches); i >= 0 {
		return list[i], true
	}
	return found, false
}
