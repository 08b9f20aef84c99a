package batchview

import (
	"reflect"
	"strings"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// A photo is shown with the bag it was taken of, once however many pieces it shows, and in
// the history. Once it is withdrawn, the bag no longer shows it and the history marks it.
func TestPhotosOfABag(t *testing.T) {
	y := newTestBatch(t, 21, noon)
	first, second := strings.Repeat("a", 64), strings.Repeat("b", 64)
	one := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "apron", Count: 2, Grams: 180, Fibre: "cotton"})
	two := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "pillowcase", Count: 1, Grams: 145, Fibre: "cotton"})
	c := y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "rust", CapLetters: "RU", RGB: "#b5372a", Class: "dichlorotriazine", Strength: 34, Depth: 1})
	close := func(number int, pieces ...journal.PieceInBag) journal.ID {
		return y.add("", journal.KindBagClosed, journal.BagClosed{Number: number, Pieces: pieces, Colours: []journal.ColourInBag{{Colour: c.Subject, Share: 1}}}).Subject
	}
	both := close(1, journal.PieceInBag{Piece: one.Subject, Count: 1}, journal.PieceInBag{Piece: two.Subject, Count: 1})
	other := close(2, journal.PieceInBag{Piece: one.Subject, Count: 1})

	y.a.Now = noon.Add(zone.Hour)
	a := y.add(one.Subject, journal.KindPiecePhotographed, journal.PiecePhotographed{SHA256: first, Stage: "opened", Bag: both})
	b := y.add(two.Subject, journal.KindPiecePhotographed, journal.PiecePhotographed{SHA256: first, Stage: "opened", Bag: both})
	y.a.Now = noon.Add(2 * zone.Hour)
	loose := y.add(one.Subject, journal.KindPiecePhotographed, journal.PiecePhotographed{SHA256: second})

	s := batch.Build(y.facts)
	tag := func(id journal.ID) BagView {
		v, err := ViewBag(s, id, y.env(noon))
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	want := []PhotoView{
		{second, "apron, today 14:00", noon.Add(2 * zone.Hour), []journal.ID{loose.ID}},
		{first, "apron, opened, today 13:00", noon.Add(zone.Hour), []journal.ID{a.ID, b.ID}},
	}
	if got := tag(both).Photos; !reflect.DeepEqual(got, want) {
		t.Errorf("the bag of two shows %+v", got)
	}
	if got := tag(other).Photos; !reflect.DeepEqual(got, want[:1]) {
		t.Errorf("the other bag shows %+v", got)
	}
	if got := tag(both).PhotoPieces; !reflect.DeepEqual(got, []journal.ID{one.Subject, two.Subject}) {
		t.Errorf("a photo of the bag shows %v", got)
	}
	y.withdraw(y.a.Device, loose)
	s = batch.Build(y.facts)
	if got := tag(other).Photos; got == nil || len(got) != 0 {
		t.Errorf("after it was taken back the other bag shows %+v", got)
	}
	for _, l := range History(y.facts, y.env(noon)) {
		switch l.FactID {
		case a.ID:
			if l.Photo != first || l.Text != "photo of apron, opened, bag 1" {
				t.Errorf("the history says %+v", l)
			}
		case loose.ID:
			if l.Photo != second || !l.IsWithdrawn {
				t.Errorf("the history says %+v", l)
			}
		}
	}
}
