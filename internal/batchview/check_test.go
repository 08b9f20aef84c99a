package batchview

import (
	"encoding/json"
	"strings"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// ask returns what the core asks before it records a body, "" if nothing.
func (y *testBatch) ask(t *testing.T, subject journal.ID, kind string, body any) string {
	t.Helper()
	text, err := json.Marshal(body)
	if err != nil {
		t.Fatal(err)
	}
	err = CheckDrafts(batch.Build(y.facts), y.env(y.a.Now), []journal.Draft{{Subject: subject, Kind: kind, Body: text}})
	if err == nil {
		return ""
	}
	if !fault.Is(err, fault.Unsure) {
		t.Errorf("%s: %v is no question", kind, err)
	}
	return err.Error()
}

// What is likely a slip is asked about, and what lies just within bounds is not.
func TestQuestionsBeforeRecording(t *testing.T) {
	y := newTestBatch(t, 41, noon)
	napkins := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "napkin", Count: 2, Grams: 40, Fibre: "cotton"}).Subject
	scarf := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "other", Name: "scarf", Count: 1, Grams: 40, Fibre: "silk"}).Subject
	rust := y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "rust", CapLetters: "RT", RGB: "#b5372a", Class: "dichlorotriazine", Strength: 40, Depth: 1}).Subject
	bag := func(piece journal.ID, n int) journal.BagClosed {
		return journal.BagClosed{Number: 1, Pieces: []journal.PieceInBag{{Piece: piece, Count: n}}, Colours: []journal.ColourInBag{{Colour: rust, Share: 1}}}
	}
	expect := func(subject journal.ID, kind string, body any, want string) {
		t.Helper()
		if got := y.ask(t, subject, kind, body); want == "" && got != "" || !strings.Contains(got, want) {
			t.Errorf("%s %+v: asked %q, want %q", kind, body, got, want)
		}
	}
	expect("", journal.KindBagClosed, bag(napkins, 2), "")
	expect("", journal.KindBagClosed, bag(napkins, 3), "that makes 3 of 2 napkins in bags")
	expect("", journal.KindBagClosed, bag(scarf, 1), "not for silk")

	expect("", journal.KindSoakMixed, journal.SoakMixed{WaterML: 10000, SodaGrams: 500}, "")
	expect("", journal.KindSoakMixed, journal.SoakMixed{WaterML: 10000, SodaGrams: 440}, "")
	expect("", journal.KindSoakMixed, journal.SoakMixed{WaterML: 10000, SodaGrams: 400}, "20 % too little")
	expect("", journal.KindSoakMixed, journal.SoakMixed{WaterML: 10000, SodaGrams: 5000}, "ten times too much")
	soak := y.add("", journal.KindSoakMixed, journal.SoakMixed{WaterML: 2000, SodaGrams: 100}).Subject
	expect(soak, journal.KindSoakBegun, journal.SoakPieces{Pieces: []journal.ID{napkins}}, "")
	expect(soak, journal.KindSoakBegun, journal.SoakPieces{}, "scarf, silk must not go into the soda ash")
	y.add(soak, journal.KindSoakBegun, journal.SoakPieces{Pieces: []journal.ID{napkins}})
	expect(soak, journal.KindSoakEnded, journal.SoakPieces{}, "less than a minute")
	y.a.Now = noon.Add(25 * zone.Minute)
	expect(soak, journal.KindSoakEnded, journal.SoakPieces{}, "")

	expect("", journal.KindJugMixed, journal.JugMixed{Colour: rust, PowderGrams: 10.4, VolumeML: 250}, "")
	expect("", journal.KindJugMixed, journal.JugMixed{Colour: rust, PowderGrams: 40, VolumeML: 1000}, "ten times too much")
	expect("", journal.KindJugMixed, journal.JugMixed{Colour: rust, PowderGrams: 1, VolumeML: 250}, "a tenth of that")

	jug := y.add("", journal.KindJugMixed, journal.JugMixed{Colour: rust, PowderGrams: 5, VolumeML: 250}).Subject
	expect(jug, journal.KindJugTopped, journal.JugTopped{PowderGrams: 5}, "")
	expect(jug, journal.KindJugTopped, journal.JugTopped{PowderGrams: 95}, "ten times too much")
	filled := func(ml float64, n int) journal.BottleFilled { return journal.BottleFilled{Jug: jug, ML: ml, Count: n} }
	expect(jug, journal.KindBottleFilled, filled(120, 2), "")
	y.add(jug, journal.KindBottleFilled, filled(120, 2))
	expect(jug, journal.KindBottleFilled, filled(120, 1), "out of a jug with 10 mL left")

	closed := y.add("", journal.KindBagClosed, bag(napkins, 1)).Subject
	expect(closed, journal.KindBagOpened, journal.BagOpened{}, "too early")
	y.a.Now = noon.Add(4 * zone.Day)
	expect(closed, journal.KindBagOpened, journal.BagOpened{}, "")
}

// A time that is still to come is recorded by no one.
func TestNoTimeInTheFuture(t *testing.T) {
	y := newTestBatch(t, 42, noon)
	draft := journal.Draft{Scope: y.batch, Subject: y.batch.Batch(), Kind: journal.KindBatchFinished, At: noon.Add(10 * zone.Minute), Body: []byte("{}")}
	if _, err := y.a.MakeFacts([]journal.Draft{draft}); !fault.Is(err, fault.Input) {
		t.Errorf("ten minutes ahead: %v", err)
	}
	draft.At = noon.Add(-10 * zone.Minute)
	if _, err := y.a.MakeFacts([]journal.Draft{draft}); err != nil {
		t.Errorf("ten minutes ago: %v", err)
	}
}

// Work is queued from light to dark, pieces that share colours together; each piece has its own dose;
// who took what shows until that phone closes a bag with it.
func TestQueue(t *testing.T) {
	y := newTestBatch(t, 43, noon)
	colour := func(name, rgb string) journal.ID {
		return y.add("", journal.KindColourChosen, journal.ColourChosen{Name: name, CapLetters: "AB", RGB: rgb, Class: "dichlorotriazine", Strength: 40, Depth: 1}).Subject
	}
	black, yellow := colour("black", "#22242a"), colour("yellow", "#e9a21b")
	piece := func(name string, of ...journal.ID) journal.ID {
		p := journal.PieceAdded{Kind: "other", Name: name, Count: 2, Grams: 100, Fibre: "cotton", Fold: "spiral"}
		for _, c := range of {
			p.Colours = append(p.Colours, journal.ColourInBag{Colour: c, Share: 1 / float64(len(of))})
		}
		return y.add("", journal.KindPieceAdded, p).Subject
	}
	dark, mixed, light, dark2 := piece("dark", black), piece("mixed", yellow, black), piece("light", yellow), piece("dark too", black)
	order := func() (out []journal.ID) {
		for _, q := range y.view(y.a.Now).Queue {
			out = append(out, q.Piece)
		}
		return out
	}
	if got, want := order(), []journal.ID{light, mixed, dark, dark2}; len(got) != 4 || got[0] != want[0] || got[1] != want[1] || got[2] != want[2] || got[3] != want[3] {
		t.Fatalf("the queue is %v, want %v", got, want)
	}
	v := y.view(y.a.Now)
	if c := v.Queue[1].Colours; len(c) != 2 || !strings.Contains(c[0].Amount, "a side") || c[0].Amount != c[1].Amount {
		t.Errorf("half and half gets %+v", c)
	}
	if v.NextClosing == nil || v.NextClosing.Piece != light || v.NextClosing.Fold != "spiral" || len(v.NextClosing.Colours) != 1 || v.NextClosing.Place != "" {
		t.Errorf("next is %+v", v.NextClosing)
	}
	other := journal.ID(testID(900))
	y.addAs(other, light, journal.KindPieceTaken, journal.PieceTaken{Count: 2})
	v = y.view(y.a.Now)
	if q := v.Queue[0]; q.FreeCount != 0 || len(q.TakenBy) != 1 || q.TakenBy[0].IsThisPhone || v.NextClosing.Piece != mixed {
		t.Errorf("taken by another phone: %+v, next %+v", q, v.NextClosing)
	}
	y.a.Now = y.a.Now.Add(takeTime + zone.Minute)
	if q := y.view(y.a.Now).Queue[0]; q.FreeCount != 2 {
		t.Errorf("long after it was taken: %+v", q)
	}
	y.add(dark, journal.KindPieceTaken, journal.PieceTaken{Count: 1})
	if v = y.view(y.a.Now); v.NextClosing.Piece != dark {
		t.Errorf("what this phone took comes first, but next is %+v", v.NextClosing)
	}
}

// A jug that was made up too strong is seen as such on its cap, its bottle's label and its bags.
func TestStrongJugIsSeen(t *testing.T) {
	y := newTestBatch(t, 44, noon)
	p := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "napkin", Count: 2, Grams: 40, Fibre: "cotton"}).Subject
	rust := y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "rust", CapLetters: "RT", RGB: "#b5372a", Class: "dichlorotriazine", Strength: 40, Depth: 1}).Subject
	jug := y.add("", journal.KindJugMixed, journal.JugMixed{Colour: rust, PowderGrams: 13, VolumeML: 250}).Subject
	y.a.Now = y.a.Now.Add(zone.Minute)
	y.add("", journal.KindBagClosed, journal.BagClosed{Number: 1, Pieces: []journal.PieceInBag{{Piece: p, Count: 1}}, Colours: []journal.ColourInBag{{Colour: rust, Share: 1}}})
	v := y.view(y.a.Now)
	label, err := BottleLabel(batch.Build(y.facts), rust, y.env(y.a.Now))
	if err != nil {
		t.Fatal(err)
	}
	if off := "30 % too strong"; v.Jugs[0].OffText != off || v.Bags[0].Colours[0].OffText != off || !strings.Contains(label.Piece, off) {
		t.Errorf("cap %q, bag %q, label %q", v.Jugs[0].OffText, v.Bags[0].Colours[0].OffText, label.Piece)
	}
	y.a.Now = y.a.Now.Add(zone.Minute)
	y.add(jug, journal.KindJugTopped, journal.JugTopped{AddedML: 75})
	if v = y.view(y.a.Now); v.Jugs[0].OffText != "" || !strings.Contains(v.Jugs[0].MixedText, "325 mL") {
		t.Errorf("made up to 325 mL it is %q: %s", v.Jugs[0].OffText, v.Jugs[0].MixedText)
	}
}

// Bags that are closed alike take the numbers and the blanks that follow.
func TestSeveralBagsAlike(t *testing.T) {
	y := newTestBatch(t, 45, noon)
	b := y.bagToClose()
	list, err := DraftBags(batch.Build(y.facts), y.env(noon), b, "", 3)
	if err != nil || len(list) != 3 || list[1].Closed.Number != list[0].Closed.Number+1 || list[2].Closed.Number != list[0].Closed.Number+2 {
		t.Errorf("%+v, %v", list, err)
	}
	blanks := y.printBlanks(3)
	list, err = DraftBags(batch.Build(y.facts), y.env(noon), b, blanks[0].Number, 3)
	if err != nil || len(list) != 3 {
		t.Fatal(err)
	}
	for i, x := range list {
		if formatBagNumber(x.Closed.Number, x.Closed.Letter) != blanks[i].Number || x.BlankBound == nil {
			t.Errorf("bag %d has label %d, want %s", i, x.Closed.Number, blanks[i].Number)
		}
	}
}

// A jug says what is left in it, how many bottles were filled from it, and how old it is.
func TestJugLeft(t *testing.T) {
	y := newTestBatch(t, 46, noon)
	rust := y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "rust", CapLetters: "RT", RGB: "#b5372a", Class: "dichlorotriazine", Strength: 40, Depth: 1}).Subject
	jug := y.add("", journal.KindJugMixed, journal.JugMixed{Colour: rust, PowderGrams: 20, VolumeML: 500}).Subject
	y.add(jug, journal.KindBottleFilled, journal.BottleFilled{Jug: jug, ML: 120, Count: 2})
	for _, c := range []struct {
		later zone.Span
		age   string
		isOld bool
	}{
		{3 * zone.Hour, "mixed 3 h ago", false},
		{5 * zone.Day, "mixed 5 days ago: use it soon", false}, // dye in plain water: 3 to 7 days, common practice
		{20 * zone.Day, "mixed 20 days ago: too old, mix a new one", true},
	} {
		if j := y.view(noon.Add(c.later)).Jugs[0]; j.LeftText != "260 mL left" || j.FilledText != "2 bottles filled" || j.AgeText != c.age || j.IsOld != c.isOld {
			t.Errorf("after %s: %q, %q, %q, old %v", c.later.Words(), j.LeftText, j.FilledText, j.AgeText, j.IsOld)
		}
	}
	y.a.Now = y.a.Now.Add(zone.Hour)
	y.add(jug, journal.KindJugActivated, journal.JugActivated{SodaGrams: 5})
	if j := y.view(y.a.Now.Add(5 * zone.Hour)).Jugs[0]; !j.IsOld {
		t.Errorf("5 h with soda ash in it: %q", j.AgeText)
	}
}
