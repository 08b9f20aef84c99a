package batch

import (
	"fmt"

	"coldbatch/internal/dye"
	"coldbatch/internal/journal"
)

// History gives every fact of a batch in words, the newest first, those that
// were withdrawn marked so. Withdrawals have lines of their own.
func History(facts []journal.Fact, e ViewEnv) []HistoryLine {
	all := journal.Ordered(facts)
	s := Build(all)
	clocks := readClocks(all)
	live := map[journal.ID]bool{}
	for _, f := range journal.Effective(all, ownersOf(all)) {
		live[f.ID] = true
	}
	names := e.writerNames(all)
	out := make([]HistoryLine, 0, len(all))
	for i := len(all) - 1; i >= 0; i-- {
		f := all[i]
		at, by := clocks.correctedTime(f)
		l := HistoryLine{Fact: f.ID, Device: f.Device, Kind: f.Kind, At: at, When: e.formatTime(at), Text: s.line(f, e)}
		if by != 0 {
			l.When += ", clock put right by " + clockError(by)
		}
		if !writtenByHub[f.Kind] {
			l.By = names[f.Device]
		}
		if b, ok := journal.DecodeBody[journal.PiecePhotographed](f); ok && f.Kind == "piece.photographed" {
			l.Photo = b.SHA256
		}
		l.Withdrawn = !live[f.ID] && f.Kind != journal.KindFactWithdrawn && f.Kind != journal.KindFactRestored
		out = append(out, l)
	}
	return out
}

// writtenByHub are the kinds that the hub writes of itself: a line of them names no one.
var writtenByHub = map[string]bool{journal.KindNumbersLeased: true, "device.joined": true, "share.joined": true}

// line says what one fact says.
func (s State) line(f journal.Fact, e ViewEnv) string {
	what := kindWords(f.Kind)
	switch f.Kind {
	case "piece.added":
		if b, ok := journal.DecodeBody[journal.PieceAdded](f); ok {
			what += ": " + Piece{Kind: b.Kind, Name: b.Name}.words(b.Count)
		}
	case "colour.chosen":
		if b, ok := journal.DecodeBody[journal.ColourChosen](f); ok {
			what += ": " + b.Name + ", " + e.formatStrength(b.Strength) + ", " + dye.Class(b.Class).Info().Words
		}
	case "soak.mixed", "soak.topped":
		if b, ok := journal.DecodeBody[journal.SoakMixed](f); ok {
			what += ": " + e.formatMass(b.Soda) + " of soda ash in " + e.formatVolume(b.Water)
		}
	case "jug.mixed":
		if b, ok := journal.DecodeBody[journal.JugMixed](f); ok {
			c, _ := s.Colour(b.Colour)
			what += ": " + e.formatMass(b.Powder) + " of " + orSome(c.Name) + " made up to " + e.formatVolume(b.ML)
		}
	case "bag.closed":
		if b, ok := journal.DecodeBody[journal.BagClosed](f); ok {
			what = fmt.Sprintf("bag %s closed", number(b.Number, b.Letter))
		}
	case journal.KindNumbersLeased:
		if b, ok := journal.DecodeBody[journal.NumbersLeased](f); ok {
			what += fmt.Sprintf(": %d to %d", b.From, b.To)
		}
	case journal.KindBlanksPrinted, journal.KindPieceTagged:
		if b, ok := journal.DecodeBody[journal.NumberRange](f); ok {
			what += fmt.Sprintf(": %s to %s", number(b.From, b.Letter), number(b.To, b.Letter))
		}
	case "share.joined", "device.joined", "device.named":
		if b, ok := journal.DecodeBody[journal.DeviceNamed](f); ok && b.Name != "" {
			what += ": " + b.Name
		}
	case "piece.photographed":
		if b, ok := journal.DecodeBody[journal.PiecePhotographed](f); ok {
			what += " of " + s.photoOf(f.Subject, b.Stage)
		}
	default:
		if b, ok := s.Bag(f.Subject); ok {
			what = "bag " + number(b.Number, b.Letter) + ": " + what
		}
	}
	return what
}

func orSome(name string) string {
	if name == "" {
		return "a colour"
	}
	return name
}

// kindWords says a kind of fact in a few words.
func kindWords(kind string) string {
	if w, ok := kindWordsOf[kind]; ok {
		return w
	}
	return "an entry of a newer version"
}

var kindWordsOf = map[string]string{
	journal.KindFactWithdrawn: "taken back", journal.KindFactRestored: "put back", journal.KindClockMeasured: "a phone's clock was compared",
	journal.KindNumbersLeased: "bag numbers given to a phone", journal.KindBatchForgotten: "removed for good",
	"batch.started": "batch begun", "batch.changed": "batch renamed or noted", "batch.finished": "batch finished", "batch.repeated": "repeats an earlier batch",
	"piece.added": "pieces added", "piece.changed": "pieces changed", "piece.scoured": "washed before dyeing", "piece.tied": "folded and bound",
	"piece.dyed": "dye put on", "piece.photographed": "photo",
	"colour.chosen": "colour chosen", "colour.changed": "colour changed",
	"soak.mixed": "soak mixed", "soak.topped": "soak topped up", "soak.checked": "soak checked", "soak.begun": "pieces in the soak", "soak.ended": "pieces out of the soak", "soak.discarded": "soak poured away",
	"jug.mixed": "jug mixed", "jug.thinned": "jug made up to more", "jug.activated": "soda ash put into the jug", "jug.discarded": "jug poured away", "bottle.filled": "bottle filled",
	journal.KindBlanksPrinted: "numbered blanks printed", journal.KindPieceTagged: "tags of pieces printed",
	"bag.closed": "bag closed", "bag.changed": "bag changed", "bag.moved": "moved", "bag.looked": "opened for a look", "bag.dyed": "dye added", "bag.dried": "found dry",
	"bag.split": "split", "bag.bound": "numbered blank tied on", "bag.printed": "label printed", "bag.opened": "opened", "bag.rinsed": "rinsed", "bag.done": "washed and dry",
	"rinse.done": "rinse bath", "rag.tested": "white rag test", "wash.done": "machine wash", "result.rated": "rated", "result.measured": "colours measured", "cost.set": "cost noted",
	"place.named": "place named", "place.read": "temperature read", "place.usual": "usual night and day", "place.sensed": "sensor",
	"share.opened": "sharing opened", "share.joined": "a helper joined", "share.closed": "sharing closed: helpers are out",
	"device.joined": "a phone joined", "device.named": "a phone is called", "device.revoked": "a phone is let in no more",
}
