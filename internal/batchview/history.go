package batchview

import (
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/label"
	"coldbatch/internal/zone"
)

// History returns every fact of a batch or a place in words, newest first. It marks facts
// that were withdrawn; a withdrawal has its own line.
func History(facts []journal.Fact, e ViewEnv) []HistoryLine {
	all := journal.SortedByStamp(facts)
	valid := batch.EffectiveFacts(all)
	clocks := batch.ReadClocks(valid)
	effective, holdsMore := map[journal.ID]bool{}, false
	for _, f := range valid {
		effective[f.ID] = true
		holdsMore = holdsMore || f.Kind != journal.KindBatchStarted && !isFixed[f.Kind]
	}
	h := historyWriter{State: batch.Build(all), ViewEnv: e, names: e.writerNames(all), facts: make(map[journal.ID]journal.Fact, len(all))}
	for _, f := range all {
		h.facts[f.ID] = f
	}
	out := make([]HistoryLine, 0, len(all))
	for i := len(all) - 1; i >= 0; i-- {
		f := all[i]
		at, by := clocks.CorrectedTime(f)
		l := HistoryLine{FactID: f.ID, FactIDs: []journal.ID{f.ID}, Device: f.Device, Kind: f.Kind, At: at, TimeText: e.formatTime(at), Text: h.line(f)}
		if b, known := h.Bag(f.Subject); known && canGather[f.Kind] {
			if rest, after := strings.CutPrefix(l.Text, h.bagName(b.ID)); after {
				l.bagNumber, l.afterBag = formatBagNumber(b.Number, b.Letter), rest
			}
		}
		if by != 0 {
			l.TimeText += ", phone's clock was " + clockError(by)
		}
		l.IsFinal, l.ByHub = isFixed[f.Kind] || isUndo(f) || f.Kind == journal.KindBatchStarted && holdsMore, writtenByHub[f.Kind]
		if isUndo(f) {
			l.TargetID, _ = f.Target()
		}
		if endsCode(f) {
			l.Text, l.IsFinal, l.ByHub = "a code to join ended: a phone that knew it was removed", true, true
		}
		if !l.ByHub {
			l.Writer = h.names[f.Device]
		}
		if b, ok := journal.DecodeBody[journal.PiecePhotographed](f); ok && f.Kind == journal.KindPiecePhotographed {
			l.Photo = b.SHA256
		}
		l.IsWithdrawn = !effective[f.ID] && !isUndo(f)
		out = append(out, l)
	}
	return out
}

// canGather has the kinds whose lines are merged if they say the same about several bags.
var canGather = map[string]bool{journal.KindBagClosed: true, journal.KindBagDyed: true, journal.KindBagDried: true,
	journal.KindBagWeighed: true, journal.KindBagMoved: true, journal.KindBagLooked: true, journal.KindBagPrinted: true, journal.KindBagOpened: true,
	journal.KindBagRinsed: true, journal.KindBagDone: true, journal.KindRagTested: true, journal.KindResultRated: true}

// How far apart lines are that are still gathered (judgement): one round of the shelf, and the
// baths of one tub.
const (
	gatherTime = 15 * zone.Minute
	repeatTime = 3 * zone.Hour
)

// GatherHistory makes one line of neighbouring lines that say the same of several bags: "bags
// 1 to 24 opened". FactIDs of that line has the ids of all of them, so that one tap undoes them all.
// Equal lines become one too: "rinse bath: 8 L, bags 1 to 5, 3 times"; its FactIDs are those of the
// newest line, so that a tap undoes one bath.
func GatherHistory(lines []HistoryLine) []HistoryLine {
	out := []HistoryLine{}
	for i := 0; i < len(lines); {
		first, end := lines[i], i+1
		for first.bagNumber != "" && end < len(lines) && saysTheSame(first, lines[end]) {
			end++
		}
		if end-i > 1 {
			var numbers []string
			first.FactIDs = nil
			for j := end - 1; j >= i; j-- { // the oldest first
				numbers = append(numbers, lines[j].bagNumber)
				first.FactIDs = append(first.FactIDs, lines[j].FactIDs...)
			}
			first.Text = "bags " + joinNumbers(numbers) + first.afterBag
		}
		if times := countRepeats(lines[i:]); end-i == 1 && times > 1 {
			first.Text += ", " + countWords(times, "time", "times")
			end = i + times
		}
		out = append(out, first)
		i = end
	}
	return out
}

// saysTheSame says whether b says about another bag what a says.
func saysTheSame(a, b HistoryLine) bool {
	return b.bagNumber != "" && a.bagNumber != b.bagNumber && a.afterBag == b.afterBag && belongTogether(a, b, gatherTime)
}

// belongTogether says whether both are of one kind, by one phone, and no further apart than most.
func belongTogether(a, b HistoryLine, most zone.Span) bool {
	return a.Kind == b.Kind && a.Device == b.Device && a.IsWithdrawn == b.IsWithdrawn && a.At.Sub(b.At) <= most && b.At.Sub(a.At) <= most
}

// countRepeats counts the lines at the beginning of the list that are equal. A photo stands for
// itself, and so does a line that nobody can undo.
func countRepeats(lines []HistoryLine) int {
	first, n := lines[0], 1
	for n < len(lines) && !first.IsFinal && first.Photo == "" && lines[n].Text == first.Text && belongTogether(first, lines[n], repeatTime) {
		n++
	}
	return n
}

// joinNumbers lists numbers of bags: "1 to 3, 5 and 7".
func joinNumbers(numbers []string) string {
	parts := label.GatherRuns(numbers)
	if n := len(parts); n > 1 {
		return strings.Join(parts[:n-1], ", ") + " and " + parts[n-1]
	}
	return parts[0]
}

// writtenByHub has the kinds that the hub writes by itself: their lines name no writer.
var writtenByHub = map[string]bool{journal.KindNumbersLeased: true, journal.KindDeviceJoined: true, journal.KindHelperJoined: true}

// isFixed has the kinds, besides withdrawals, that nobody can withdraw by hand. Nor can the start of a batch be
// withdrawn while anything else of it holds.
var isFixed = map[string]bool{journal.KindClockMeasured: true, journal.KindNumbersLeased: true, journal.KindHelperJoined: true}

// endsCode says whether f ends a code for helpers, as the hub writes when a phone that knew the code is removed: a
// sharing that was over when it was written. Undone, it would let that phone in again.
func endsCode(f journal.Fact) bool {
	b, ok := journal.DecodeBody[journal.ShareOpened](f)
	return ok && f.Kind == journal.KindShareOpened && b.Until != 0 && b.Until <= f.At
}

// isUndo says whether f withdraws or restores another fact.
func isUndo(f journal.Fact) bool {
	return f.Kind == journal.KindFactWithdrawn || f.Kind == journal.KindFactRestored
}

// historyWriter writes the lines of a history. It has the state built from the facts, the
// names of phones, and the facts by id.
type historyWriter struct {
	batch.State
	ViewEnv
	names map[journal.ID]string
	facts map[journal.ID]journal.Fact
}

// line writes one fact: what it is about, the words of its kind, then its details.
func (h historyWriter) line(f journal.Fact) string {
	kind, known := journal.FindKind(f.Kind)
	if !known {
		return journal.KindWords(f.Kind)
	}
	text, separator := h.heading(f, kind)
	var parts []string
	write := detailWriters[f.Kind]
	if isUndo(f) {
		write = detailWriter(historyWriter.undoTarget)
	}
	if write != nil {
		for _, part := range write(h, f) {
			if part != "" {
				parts = append(parts, part)
			}
		}
	}
	if len(parts) == 0 {
		return text
	}
	return text + separator + strings.Join(parts, ", ")
}

// predicates has the kinds whose words make a sentence with what the fact is about: "bag 4
// moved".
var predicates = map[string]string{journal.KindBagMoved: "moved", journal.KindBagLooked: "opened for a look", journal.KindBagDried: "found dry", journal.KindBagWeighed: "weighed",
	journal.KindBagSplit: "split", journal.KindBagOpened: "opened", journal.KindBagRinsed: "rinsed", journal.KindBagDone: "washed and dry",
	journal.KindBagChanged: "changed", journal.KindPieceScoured: "washed before dyeing", journal.KindPieceTied: "folded and bound", journal.KindResultRated: "rated"}

// heading returns what a fact is about with the words of its kind, and the separator
// before the details.
func (h historyWriter) heading(f journal.Fact, kind journal.Kind) (text, separator string) {
	if b, ok := journal.DecodeBody[journal.BagClosed](f); ok && f.Kind == journal.KindBagClosed {
		return "bag " + formatBagNumber(b.Number, b.Letter) + " closed", ": "
	}
	switch about := h.subject(f, kind); {
	case about == "":
		return kind.Words, ": "
	case predicates[f.Kind] != "":
		text, separator = about+" "+predicates[f.Kind], ", "
		if b, ok := journal.DecodeBody[journal.BagMoved](f); ok && f.Kind == journal.KindBagMoved && h.placeName(b.Place) != "" {
			separator = " to "
		}
		if f.Kind == journal.KindResultRated {
			separator = ": "
		}
		return text, separator
	case f.Kind == journal.KindPiecePhotographed:
		return "photo of " + about, ", "
	case f.Kind == journal.KindColourRead:
		return "colour of " + about + " read from a photo", ": "
	default:
		return about + ": " + kind.Words, ", "
	}
}

// subject names what a fact is about, where the line does not say it otherwise.
func (h historyWriter) subject(f journal.Fact, kind journal.Kind) string {
	if kind.Effect == journal.EffectBegins {
		return ""
	}
	switch kind.Subject {
	case journal.EntityBag:
		if _, known := h.Bag(f.Subject); known {
			return h.bagName(f.Subject)
		}
	case journal.EntityPiece:
		if p, known := h.Piece(f.Subject); known {
			return pieceWords(p, 1)
		}
	case journal.EntityAny:
		if _, known := h.Bag(f.Subject); known {
			return h.bagName(f.Subject)
		}
		if p, known := h.Piece(f.Subject); known {
			return pieceWords(p, 1)
		}
	case journal.EntityColour:
		if c, known := h.Colour(f.Subject); known {
			return c.Name
		}
	case journal.EntityJug:
		return h.jugName(f.Subject)
	}
	return ""
}

// writerNames returns the names of the phones that wrote facts: those in e, and for helpers
// the name that they gave when they joined.
func (e ViewEnv) writerNames(ordered []journal.Fact) map[journal.ID]string {
	m := map[journal.ID]string{}
	for _, x := range ordered {
		if b, ok := journal.DecodeBody[journal.DeviceNamed](x); ok && x.Kind == journal.KindHelperJoined {
			m[x.Subject] = b.Name
		}
	}
	for id, name := range e.Names {
		m[id] = name
	}
	for _, x := range journal.Effective(ordered, func(journal.ID) bool { return false }) { // as the hub has it
		if x.Kind == journal.KindHelperJoined && x.Subject != e.Device && m[x.Subject] != "" {
			m[x.Subject] = strings.TrimSuffix(m[x.Subject], helperMark) + helperMark
		}
	}
	return m
}

// helperMark is behind a helper's name, since it may call itself like a phone of the house.
const helperMark = " (helper)"
