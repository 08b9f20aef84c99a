package batchview

import (
	"strings"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
)

// A piece of a design has its sections on the card at the table, in mL and squeezes, and on the batch sheet; its colours
// take what the design says, both sides together.
func TestDesignAtTheTable(t *testing.T) {
	y := newTestBatch(t, 44, noon)
	colour := func(name, caps string) journal.ID {
		return y.add("", journal.KindColourChosen, journal.ColourChosen{Name: name, CapLetters: caps, RGB: "#1f4e9c", Class: "dichlorotriazine", Strength: 40, Depth: 1}).Subject
	}
	blue, rust := colour("blue", "BL"), colour("rust", "RU")
	worn := []journal.ColourInBag{{Colour: blue, Share: 0.6}, {Colour: rust, Share: 0.4}}
	added := journal.PieceAdded{Kind: "napkin", Count: 1, Grams: 40, Fibre: "cotton", Fold: "spiral"}
	added.Colours = worn
	piece := y.add("", journal.KindPieceAdded, added).Subject
	steps := []journal.DesignStep{{Side: "a", Section: 1, Colour: blue, ML: 12}, {Side: "a", Section: 2, Colour: rust, ML: 16}, {Side: "b", Section: 1, Colour: blue, ML: 12}}
	y.add(piece, journal.KindPieceDesigned, journal.PieceDesigned{Name: "Snail shell", Code: strings.Repeat("A", 40), Fold: "spiral", Steps: steps})
	e := ViewEnv{Now: y.a.Now, Zone: lisbon, SqueezeML: 2}
	s := batch.Build(y.facts)
	got := viewDesign(s, s.Pieces[0], e)
	if got == nil || len(got.Steps) != 3 || got.Steps[1].Side != "side A" || got.Steps[1].Volume != "16 mL" || got.Steps[1].Squeezes != "8 squeezes" {
		t.Fatalf("the card says %+v", got)
	}
	if q := viewQueue(s, e)[0].Colours; len(q) != 2 || q[0].Amount != "24 mL" || q[1].Amount != "16 mL" {
		t.Errorf("the colours take %+v", q)
	}
	if text := designText(got); text != "Snail shell, each piece; side A: 1 blue 12 mL, 2 rust 16 mL; side B: 1 blue 12 mL" {
		t.Errorf("the sheet says %q", text)
	}
	if rows := pieceRows(s, e); len(rows) != 2 || rows[1].Label != "Design" {
		t.Errorf("the sheet has %+v", rows)
	}
}
