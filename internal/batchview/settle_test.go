package batchview

import (
	"encoding/json"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/shelf"
)

// What a batch was planned to use and never recorded comes off the shelf to the gram: once if two phones say so,
// not at all where a phone recorded the real amount, and an undo brings it back.
func TestSettleBatch(t *testing.T) {
	y := stockedBatch(t)
	levels := func() map[string]float64 {
		s := batch.Build(y.facts)
		out := map[string]float64{}
		for _, l := range shelf.Count(shelf.Build(y.facts), []shelf.BatchUses{{Batch: s.ID, Uses: s.Uses}}) {
			out[l.Name] = l.Amount
		}
		return out
	}
	settle := func() []journal.Fact {
		s, st := batch.Build(y.facts), shelf.Build(y.facts)
		e := y.env(y.a.Now)
		e.Kit = st.Kit
		got, err := SettleBatch(s, st, []shelf.BatchUses{{Batch: s.ID, Uses: s.Uses}}, e)
		if err != nil {
			t.Fatal(err)
		}
		// 1350 g of cloth in rust take 1750 mL at 40 g/L: 70 g. Lemon is not on the shelf; 1.5 kg take 4.5 L of
		// soak at 50 g/L.
		if len(got.Lines) != 2 || got.Lines[0] != (ShoppingLine{"rust powder", "70 g"}) || got.Lines[1] != (ShoppingLine{"soda ash", "225 g"}) {
			t.Fatalf("it takes off %+v", got.Lines)
		}
		facts, err := y.a.MakeFacts(got.Drafts)
		if err != nil {
			t.Fatal(err)
		}
		return facts
	}
	expect := func(why string, rust, soda float64) {
		t.Helper()
		if got := levels(); got["rust powder"] != rust || got["soda ash"] != soda {
			t.Errorf("%s: %v, not %v and %v", why, got, rust, soda)
		}
	}
	expect("before", 20, 0)
	one, other := settle(), settle()
	y.facts = append(y.facts, one...)
	expect("one phone said so", -50, -225)
	y.facts = append(y.facts, other...)
	expect("two phones said so", -50, -225)

	s := batch.Build(y.facts)
	jug := y.add("", journal.KindJugMixed, journal.JugMixed{Colour: s.Colours[0].ID, PowderGrams: 65, VolumeML: 1750}).Subject
	expect("a third had mixed the jug", -45, -225)
	y.add(jug, journal.KindJugDiscarded, journal.NoteBody{})
	expect("and poured it away: what was planned is another", -115, -225)

	for _, f := range append(one, other...) {
		text, _ := json.Marshal(journal.FactTarget{Target: f.ID})
		facts, err := y.a.MakeFacts([]journal.Draft{{Scope: f.Scope, Subject: f.Subject, Kind: journal.KindFactWithdrawn, Body: text}})
		if err != nil {
			t.Fatal(err)
		}
		y.facts = append(y.facts, facts...)
	}
	expect("taken back", -45, 0)
}

// A batch that was given up says so, is open no more, and asks for nothing.
func TestGivenUp(t *testing.T) {
	y := stockedBatch(t)
	y.add(y.batch.Batch(), journal.KindBatchFinished, journal.NoteBody{Note: "given up"})
	s, st := batch.Build(y.facts), shelf.Build(y.facts)
	if v := y.view(y.a.Now); v.IsOpen || v.StageText != "given up" {
		t.Errorf("open %v, %q", v.IsOpen, v.StageText)
	}
	e := y.env(y.a.Now)
	if v := ViewShelf(st, nil, []batch.State{s}, e); len(v.ToBuy) != 0 || len(v.AmountUnknown) != 0 {
		t.Errorf("the list has %+v and %+v", v.ToBuy, v.AmountUnknown)
	}
}
