package batchview

import (
	"slices"
	"strings"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// The history offers to undo what people wrote, the start of a batch too while nothing else of it
// holds. It does not offer it for what others rest on: the start of a batch with something in it,
// numbers that may stand on labels, who joined, a wrong clock, or an undo, which Restore takes back.
// What the hub wrote by itself names no writer.
func TestHistorySaysWhatCanBeUndone(t *testing.T) {
	y := newTestBatch(t, 14, noon)
	hub, kai := y.a.NewID(), y.a.NewID()
	y.addAs(hub, "", journal.KindNumbersLeased, journal.NumbersLeased{Device: y.a.Device, FirstNumber: 1, LastNumber: 20})
	y.addAs(hub, kai, journal.KindHelperJoined, journal.DeviceNamed{Name: "Kai"})
	y.add("", journal.KindClockMeasured, journal.ClockMeasured{Offset: zone.Hour})
	piece := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "apron", Count: 1, Grams: 180, Fibre: "cotton"})
	y.withdraw(y.a.Device, piece)
	type line struct{ fixed, byHub, withdrawn bool }
	want := map[string]line{
		journal.KindBatchStarted:  {},
		journal.KindNumbersLeased: {fixed: true, byHub: true},
		journal.KindHelperJoined:  {fixed: true, byHub: true},
		journal.KindClockMeasured: {fixed: true},
		journal.KindPieceAdded:    {withdrawn: true},
		journal.KindFactWithdrawn: {fixed: true},
	}
	e := y.env(noon)
	e.Names = map[journal.ID]string{y.a.Device: "kitchen phone", hub: "the computer"}
	lines := History(y.facts, e)
	if len(lines) != len(want) {
		t.Fatalf("%d lines for %d facts", len(lines), len(want))
	}
	for _, l := range lines {
		if got := (line{l.IsFinal, l.ByHub, l.IsWithdrawn}); got != want[l.Kind] {
			t.Errorf("%s: %+v, want %+v", l.Kind, got, want[l.Kind])
		}
		if isNameless := l.Writer == ""; isNameless != l.ByHub {
			t.Errorf("%s is written by %q", l.Kind, l.Writer)
		}
	}
	y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "apron", Count: 1, Grams: 180, Fibre: "cotton"})
	for _, l := range History(y.facts, e) {
		if l.Kind == journal.KindBatchStarted && !l.IsFinal {
			t.Error("the start of a batch that holds a piece can be undone")
		}
	}
}

// A line says what, which and where to; the same of several bags is one line, which undoes all
// of them, and what differs, or was undone, stands alone.
func TestHistorySentences(t *testing.T) {
	y := newTestBatch(t, 14, noon)
	kitchen := y.a.NewID()
	piece := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "apron", Count: 6, Grams: 180})
	colour := y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "rust", CapLetters: "RU", RGB: "#b5372a", Class: "dichlorotriazine", Strength: 25, Depth: 1})
	var bags []journal.ID
	for n := range 5 {
		closed := journal.BagClosed{Number: n + 1, Pieces: []journal.PieceInBag{{Piece: piece.Subject, Count: 1}}, Colours: []journal.ColourInBag{{Colour: colour.Subject, Share: 1}}}
		bags = append(bags, y.add("", journal.KindBagClosed, closed).Subject)
	}
	for i, bag := range bags {
		moved := journal.BagMoved{Place: kitchen}
		if i == 3 {
			moved.Celsius = pointer(18.)
		}
		y.add(bag, journal.KindBagMoved, moved)
	}
	for _, bag := range bags[:2] {
		y.add(bag, journal.KindBagOpened, journal.BagOpened{})
	}
	e := y.env(noon)
	e.Places = map[journal.ID]batch.PlaceState{kitchen: {Name: "kitchen"}}
	gathered := GatherHistory(History(y.facts, e))
	var texts []string
	facts := 0
	for _, l := range gathered {
		facts += len(l.FactIDs)
		if l.Kind == journal.KindBagMoved || l.Kind == journal.KindBagOpened {
			texts = append(texts, l.Text)
		}
	}
	closings := ""
	for _, l := range gathered {
		if l.Kind == journal.KindBagClosed {
			closings += l.Text + ";"
		}
	}
	if closings != "bags 1 to 5 closed: 1 × apron, rust;" && closings != "bags 1 to 5 closed: apron, rust;" {
		t.Errorf("closings: %q", closings)
	}
	want := []string{"bags 1 and 2 opened", "bag 5 moved to “kitchen”", "bag 4 moved to “kitchen”, 18 °C", "bags 1 to 3 moved to “kitchen”"}
	if !slices.Equal(texts, want) {
		t.Errorf("%q, want %q", texts, want)
	}
	if facts != len(y.facts) {
		t.Errorf("the lines stand for %d facts of %d", facts, len(y.facts))
	}
}

// Equal lines are one, which says how often, and undoes the newest; several bags of one bath are
// listed as a run; the water of a tub is told once.
func TestHistoryGathersEqualLines(t *testing.T) {
	y := newTestBatch(t, 14, noon)
	piece := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "apron", Count: 6, Grams: 180})
	colour := y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "rust", CapLetters: "RU", RGB: "#b5372a", Class: "dichlorotriazine", Strength: 25, Depth: 1})
	var bags []journal.ID
	for n := range 4 {
		bags = append(bags, y.add("", journal.KindBagClosed, journal.BagClosed{Number: n + 1, Pieces: []journal.PieceInBag{{Piece: piece.Subject, Count: 1}},
			Colours: []journal.ColourInBag{{Colour: colour.Subject, Share: 1}}}).Subject)
	}
	bath := journal.RinseDone{Bags: bags, Water: 8000}
	var newest journal.ID
	for range 3 {
		y.a.Now = y.a.Now.Add(20 * zone.Minute)
		newest = y.add("", journal.KindRinseDone, bath).ID
	}
	y.add("", journal.KindRinseDone, journal.RinseDone{Bags: bags[:1], Celsius: pointer(60.), Soap: true})
	y.a.Now = y.a.Now.Add(6 * zone.Hour)
	y.add("", journal.KindRinseDone, bath)
	var texts []string
	for _, l := range GatherHistory(History(y.facts, y.env(noon))) {
		if l.Kind == journal.KindRinseDone {
			texts = append(texts, l.Text)
		}
		if strings.HasSuffix(l.Text, "3 times") && !slices.Equal(l.FactIDs, []journal.ID{newest}) {
			t.Errorf("%q undoes %v, not %s", l.Text, l.FactIDs, newest)
		}
	}
	want := []string{"rinse bath: 8 L, bags 1 to 4", "rinse bath: 60 °C, with soap, bag 1", "rinse bath: 8 L, bags 1 to 4, 3 times"}
	if !slices.Equal(texts, want) {
		t.Errorf("%q, want %q", texts, want)
	}
}

// A repetition names the batch that it repeats, where that is known.
func TestHistoryNamesWhatIsRepeated(t *testing.T) {
	y := newTestBatch(t, 14, noon)
	from := y.a.NewID()
	y.add(y.batch.Batch(), journal.KindBatchRepeated, journal.BatchRepeated{From: from, Scale: 0.5})
	e := y.env(noon)
	for _, want := range []string{"repeats an earlier batch: × 0.5", "repeats an earlier batch: autumn, × 0.5"} {
		if got := History(y.facts, e)[0].Text; got != want {
			t.Errorf("%q, want %q", got, want)
		}
		e.Names = map[journal.ID]string{from: "autumn"}
	}
}
