package batchview

import (
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
)

// Two phones that each split pieces off one line take from it what both say.
func TestSplitLines(t *testing.T) {
	y := newTestBatch(t, 90, noon)
	line := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "apron", Count: 6, Grams: 180})
	for _, n := range []int{2, 3} {
		part := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "apron", Count: n, Grams: 180})
		y.add(line.Subject, journal.KindPieceSplit, journal.PieceSplit{Into: part.Subject, Count: n})
	}
	s := batch.Build(y.facts)
	total := 0
	for _, p := range s.Pieces {
		total += p.Count
	}
	if p, _ := s.Piece(line.Subject); p.Count != 1 || total != 6 {
		t.Errorf("%d left of the line and %d in all, want 1 and 6", p.Count, total)
	}
	part := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "apron", Count: 1, Grams: 180})
	y.add(line.Subject, journal.KindPieceSplit, journal.PieceSplit{Into: part.Subject, Count: 1})
	if _, here := batch.Build(y.facts).Piece(line.Subject); here {
		t.Error("a line from which all was split off is still there")
	}
}

// Pieces that are taken out leave, those in a bag stay; a colour that a jug has stays.
func TestTakenOut(t *testing.T) {
	y := newTestBatch(t, 91, noon)
	bag := y.bag("dichlorotriazine", 21)
	bagged := batch.Build(y.facts).Bags[0].Pieces[0].Piece
	worn := batch.Build(y.facts).Colours[0].ID
	loose := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "apron", Count: 2, Grams: 180})
	y.add(bagged, journal.KindPieceChanged, map[string]int{"count": 5})
	free := y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "blue", CapLetters: "BE", RGB: "#1f4e9c", Class: "unknown", Strength: 34, Depth: 1})
	own := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "apron", Count: 1, Grams: 180,
		PieceMore: journal.PieceMore{Colours: []journal.ColourInBag{{Colour: free.Subject, Share: 1}}}})
	for kind, ids := range map[string][]journal.ID{journal.KindPieceRemoved: {bagged, loose.Subject}, journal.KindColourRemoved: {worn, free.Subject}} {
		for _, id := range ids {
			y.add(id, kind, journal.NoteBody{})
		}
	}
	s := batch.Build(y.facts)
	if p, _ := s.Piece(bagged); p.Count != 1 {
		t.Errorf("%d of the pieces in a bag are left, want 1", p.Count)
	}
	if _, here := s.Piece(loose.Subject); here {
		t.Error("pieces that were taken out are still there")
	}
	if p, _ := s.Piece(own.Subject); len(p.Colours) != 0 {
		t.Errorf("a piece wears a colour that was taken out: %v", p.Colours)
	}
	if len(s.Colours) != 1 || s.Colours[0].ID != worn || len(s.Unapplied) != 1 {
		t.Errorf("colours %v, not applied %v; want the one in the bag, and its removal not applied", s.Colours, s.Unapplied)
	}
	y.add(bag.Subject, journal.KindFactWithdrawn, journal.FactTarget{Target: bag.ID})
	if s = batch.Build(y.facts); len(s.Pieces) != 1 || len(s.Colours) != 0 {
		t.Errorf("once the bag was undone: %d lines and %d colours, want 1 and 0", len(s.Pieces), len(s.Colours))
	}
}
