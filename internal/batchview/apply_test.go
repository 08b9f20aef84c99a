package batchview

import (
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// Two phones may both record that a bag was opened. The cure ended with the first
// opening, whichever record arrives first.
func TestFirstOpeningEndsTheCure(t *testing.T) {
	y := newTestBatch(t, 80, noon)
	bag := y.bag("dichlorotriazine", 21)
	y.a.Now = noon.Add(20 * zone.Hour)
	first := y.add(bag.Subject, journal.KindBagOpened, journal.BagOpened{})
	y.a.Now = noon.Add(30 * zone.Hour)
	second := y.add(bag.Subject, journal.KindBagOpened, journal.BagOpened{})
	closed := y.facts[:len(y.facts)-2]
	for _, row := range []struct {
		why   string
		facts []journal.Fact
		want  zone.Instant
	}{
		{"in order", []journal.Fact{first, second}, first.At},
		{"the first one arrives late", []journal.Fact{second, first}, first.At},
		{"the second one alone", []journal.Fact{second}, second.At},
	} {
		if got := batch.Build(journal.Union(closed, row.facts)).Bags[0].OpenedAt; got != row.want {
			t.Errorf("%s: opened at %d, want %d", row.why, got, row.want)
		}
	}

	// The same by the corrected clocks: a later stamp may be an earlier opening.
	y.a.Now = noon.Add(10 * zone.Hour)
	y.add(bag.Subject, journal.KindBagOpened, journal.BagOpened{})
	if got := batch.Build(y.facts).Bags[0].OpenedAt; got != noon.Add(10*zone.Hour) {
		t.Errorf("a record that is written later and happened earlier: opened at %d", got)
	}
}

// What is done twice happened when it was first done.
func TestFirstRinseAndFirstDryingCount(t *testing.T) {
	y := newTestBatch(t, 81, noon)
	bag := y.bag("dichlorotriazine", 21)
	for _, hours := range []int{20, 30} {
		y.a.Now = noon.Add(zone.Span(hours) * zone.Hour)
		y.add(bag.Subject, journal.KindBagRinsed, journal.BagRinsed{Baths: 2})
		y.add(bag.Subject, journal.KindBagDone, journal.BagDone{})
	}
	want := noon.Add(20 * zone.Hour)
	if b := batch.Build(y.facts).Bags[0]; b.RinsedAt != want || b.DoneAt != want {
		t.Errorf("rinsed at %d, done at %d, want %d", b.RinsedAt, b.DoneAt, want)
	}
}

// A bag is never left with fewer than no pieces, also where two phones took the same
// pieces out of it.
func TestRebaggingLeavesNoFewerThanNoPieces(t *testing.T) {
	for _, row := range []struct{ taken, left int }{{0, 3}, {1, 2}, {2, 1}, {3, 0}, {4, 0}} {
		y := newTestBatch(t, 82, noon)
		p := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "napkin", Count: 3, Grams: 40, Fibre: "cotton"})
		c := y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "rust", CapLetters: "RU", RGB: "#b5372a", Class: "dichlorotriazine", Strength: 34, Depth: 1})
		colours := []journal.ColourInBag{{Colour: c.Subject}}
		from := y.add("", journal.KindBagClosed, journal.BagClosed{Number: 1, Pieces: []journal.PieceInBag{{Piece: p.Subject, Count: 3}}, Colours: colours})
		for n := range row.taken {
			into := y.add("", journal.KindBagClosed, journal.BagClosed{Number: 2 + n, Pieces: []journal.PieceInBag{{Piece: p.Subject, Count: 1}}, Colours: colours})
			y.add(from.Subject, journal.KindBagSplit, journal.BagSplit{Into: into.Subject, Pieces: []journal.PieceInBag{{Piece: p.Subject, Count: 1}}})
		}
		if got := batch.Build(y.facts).Bags[0].Pieces[0].Count; got != row.left {
			t.Errorf("of 3 pieces %d were taken: %d are left, want %d", row.taken, got, row.left)
		}
	}
}

// Each of the bags that have one number says so, and no other bag.
func TestEveryBagOfOneNumberClashes(t *testing.T) {
	y := newTestBatch(t, 83, noon)
	for _, number := range []journal.UsedNumber{{Number: 1}, {Number: 2}, {Number: 1}, {Number: 1, Letter: "H"}, {Number: 1}, {Number: 3, Letter: "H"}, {Number: 3, Letter: "H"}} {
		b := y.bagToClose()
		b.Number, b.Letter = number.Number, number.Letter
		y.add("", journal.KindBagClosed, b)
	}
	want := []bool{true, false, true, false, true, true, true}
	for i, b := range batch.Build(y.facts).Bags {
		if b.NumberClashes != want[i] {
			t.Errorf("bag %d, number %d%s: clash %v", i, b.Number, b.Letter, b.NumberClashes)
		}
	}
}

// Two phones apart may tie one blank to two bags: the first has it, and both say so.
func TestBothBagsOfOneBlankClash(t *testing.T) {
	y := newTestBatch(t, 84, noon)
	y.add("", journal.KindNumbersLeased, journal.NumbersLeased{Device: y.a.Device, FirstNumber: 1, LastNumber: 20})
	blank := y.printBlanks(1)[0]
	first, err := y.closeWithBlank(blank.Number)
	if err != nil {
		t.Fatal(err)
	}
	b := y.bagToClose()
	b.Number = 9
	second := y.add("", journal.KindBagClosed, b).Subject
	if s := batch.Build(y.facts); s.Bags[0].NumberClashes || s.Bags[1].NumberClashes {
		t.Error("bags clash before the blank is on both")
	}
	token := batch.Build(y.facts).Blanks[0].Token
	y.add(second, journal.KindBagBound, journal.BagBound{Token: token})
	s := batch.Build(y.facts)
	if !s.Bags[0].NumberClashes || !s.Bags[1].NumberClashes || s.Blanks[0].Bag != first {
		t.Errorf("clash of the first %v, of the second %v, the blank is on %s, want %s", s.Bags[0].NumberClashes, s.Bags[1].NumberClashes, s.Blanks[0].Bag, first)
	}
}

// Printed twice, as by two phones apart, a number is one blank.
func TestNumberPrintedTwiceIsOneBlank(t *testing.T) {
	y := newTestBatch(t, 85, noon)
	y.add("", journal.KindBlanksPrinted, journal.LabelNumberRange{From: 1, To: 4})
	y.add("", journal.KindBlanksPrinted, journal.LabelNumberRange{From: 3, To: 6})
	s := batch.Build(y.facts)
	seen := map[int]bool{}
	for _, x := range s.Blanks {
		if seen[x.Number] {
			t.Errorf("number %d is on two blanks", x.Number)
		}
		seen[x.Number] = true
	}
	if len(seen) != 6 || len(s.Numbers.Used) != 6 {
		t.Errorf("%d blanks and %d used numbers, want 6", len(seen), len(s.Numbers.Used))
	}
}

// Times are corrected from journal.ClockSlack on, both ways, and by all of it.
func TestTimesAreCorrectedFromTheSlackOn(t *testing.T) {
	const slack = journal.ClockSlack
	for _, row := range []struct{ offset, want zone.Span }{
		{0, 0}, {1, 0}, {slack - 1, 0}, {slack, slack}, {slack + 1, slack + 1},
		{-1, 0}, {1 - slack, 0}, {-slack, -slack}, {-slack - 1, -slack - 1},
	} {
		y := newTestBatch(t, 86, noon)
		y.a.Offset, y.a.OffsetMeasured = row.offset, noon
		y.bag("dichlorotriazine", 21)
		if b := batch.Build(y.facts).Bags[0]; b.ClockCorrection != row.want || b.ClosedAt != noon.Add(row.want) {
			t.Errorf("a clock off by %d ms: closed at %d, corrected by %d, want %d", row.offset, b.ClosedAt, b.ClockCorrection, row.want)
		}
	}
}

// Corrected times stay between 1970 and journal.MaxTime: what is shown and stored
// has no others.
func TestCorrectedTimesStayInRange(t *testing.T) {
	for _, row := range []struct {
		now    zone.Instant
		offset zone.Span
		want   zone.Instant
	}{
		{zone.Instant(zone.Hour), -2 * zone.Hour, 0},
		{zone.Instant(zone.Hour), -zone.Hour, 0},
		{journal.MaxTime - 1, zone.Hour, journal.MaxTime},
		{journal.MaxTime.Add(-zone.Hour), zone.Hour, journal.MaxTime},
	} {
		y := newTestBatch(t, 87, row.now)
		y.a.Offset, y.a.OffsetMeasured = row.offset, row.now
		y.bag("dichlorotriazine", 21)
		if got := batch.Build(y.facts).Bags[0].ClosedAt; got != row.want {
			t.Errorf("closed at %d by a clock off by %d: %d, want %d", row.now, row.offset, got, row.want)
		}
	}
}
