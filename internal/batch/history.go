package batch

import (
	"fmt"

	"coldbatch/internal/dye"
	"coldbatch/internal/journal"
)

// History gives every fact of a batch in words, the newest first, those that
// were withdrawn marked so. Withdrawals have lines of their own.
func History(facts []journal.Fact, e Env) []HistoryLine {
	all := journal.Ordered(facts)
	s := Fold(all)
	clocks := readClocks(all)
	live := map[journal.ID]bool{}
	for _, f := range journal.Live(all, owner(all)) {
		live[f.ID] = true
	}
	names := e.names(all)
	out := make([]HistoryLine, 0, len(all))
	for i := len(all) - 1; i >= 0; i-- {
		f := all[i]
		at, by := clocks.when(f)
		l := HistoryLine{Fact: f.ID, Device: f.Device, Kind: f.Kind, At: at, When: e.clock(at), Text: s.line(f, e)}
		if by != 0 {
			l.When += ", clock put right by " + wrong(by)
		}
		if !byHub[f.Kind] {
			l.By = names[f.Device]
		}
		if b, ok := journal.Decode[journal.Photo](f); ok && f.Kind == "piece.photographed" {
			l.Photo = b.SHA256
		}
		l.Withdrawn = !live[f.ID] && f.Kind != journal.KindWithdrawn && f.Kind != journal.KindRestored
		out = append(out, l)
	}
	return out
}

// byHub are the kinds that the hub writes of itself: a line of them names no one.
var byHub = map[string]bool{journal.KindLeased: true, "device.joined": true, "share.joined": true}

// line says what one fact says.
func (s State) line(f journal.Fact, e Env) string {
	what := kindWords(f.Kind)
	switch f.Kind {
	case "piece.added":
		if b, ok := journal.Decode[journal.PieceAdded](f); ok {
			what += ": " + Piece{Kind: b.Kind, Name: b.Name}.words(b.Count)
		}
	case "colour.chosen":
		if b, ok := journal.Decode[journal.ColourChosen](f); ok {
			what += ": " + b.Name + ", " + e.strength(b.Strength) + ", " + dye.Class(b.Class).Info().Words
		}
	case "soak.mixed", "soak.topped":
		if b, ok := journal.Decode[journal.SoakMixed](f); ok {
			what += ": " + e.mass(b.Soda) + " of soda ash in " + e.volume(b.Water)
		}
	case "jug.mixed":
		if b, ok := journal.Decode[journal.JugMixed](f); ok {
			c, _ := s.Colour(b.Colour)
			what += ": " + e.mass(b.Powder) + " of " + orSome(c.Name) + " made up to " + e.volume(b.ML)
		}
	case "bag.closed":
		if b, ok := journal.Decode[journal.BagClosed](f); ok {
			what = fmt.Sprintf("bag %s closed", number(b.Number, b.Letter))
		}
	case journal.KindLeased:
		if b, ok := journal.Decode[journal.Leased](f); ok {
			what += fmt.Sprintf(": %d to %d", b.From, b.To)
		}
	case journal.KindBlanks, journal.KindTagged:
		if b, ok := journal.Decode[journal.Run](f); ok {
			what += fmt.Sprintf(": %s to %s", number(b.From, b.Letter), number(b.To, b.Letter))
		}
	case "share.joined", "device.joined", "device.named":
		if b, ok := journal.Decode[journal.DeviceNamed](f); ok && b.Name != "" {
			what += ": " + b.Name
		}
	case "piece.photographed":
		if b, ok := journal.Decode[journal.Photo](f); ok {
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
	if w, ok := kindText[kind]; ok {
		return w
	}
	return "an entry of a newer version"
}

var kindText = map[string]string{
	journal.KindWithdrawn: "taken back", journal.KindRestored: "put back", journal.KindMeasured: "a phone's clock was compared",
	journal.KindLeased: "bag numbers given to a phone", journal.KindForgotten: "removed for good",
	"batch.started": "batch begun", "batch.changed": "batch renamed or noted", "batch.finished": "batch finished", "batch.repeated": "repeats an earlier batch",
	"piece.added": "pieces added", "piece.changed": "pieces changed", "piece.scoured": "washed before dyeing", "piece.tied": "folded and bound",
	"piece.dyed": "dye put on", "piece.photographed": "photo",
	"colour.chosen": "colour chosen", "colour.changed": "colour changed",
	"soak.mixed": "soak mixed", "soak.topped": "soak topped up", "soak.checked": "soak checked", "soak.begun": "pieces in the soak", "soak.ended": "pieces out of the soak", "soak.discarded": "soak poured away",
	"jug.mixed": "jug mixed", "jug.thinned": "jug made up to more", "jug.activated": "soda ash put into the jug", "jug.discarded": "jug poured away", "bottle.filled": "bottle filled",
	journal.KindBlanks: "numbered blanks printed", journal.KindTagged: "tags of pieces printed",
	"bag.closed": "bag closed", "bag.changed": "bag changed", "bag.moved": "moved", "bag.looked": "opened for a look", "bag.dyed": "dye added", "bag.dried": "found dry",
	"bag.split": "split", "bag.bound": "numbered blank tied on", "bag.printed": "label printed", "bag.opened": "opened", "bag.rinsed": "rinsed", "bag.done": "washed and dry",
	"rinse.done": "rinse bath", "rag.tested": "white rag test", "wash.done": "machine wash", "result.rated": "rated", "result.measured": "colours measured", "cost.set": "cost noted",
	"place.named": "place named", "place.read": "temperature read", "place.usual": "usual night and day", "place.sensed": "sensor",
	"share.opened": "sharing opened", "share.joined": "a helper joined", "share.closed": "sharing closed: helpers are out",
	"device.joined": "a phone joined", "device.named": "a phone is called", "device.revoked": "a phone is let in no more",
}
