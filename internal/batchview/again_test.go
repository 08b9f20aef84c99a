package batchview

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/shelf"
	"coldbatch/internal/zone"
)

// newIDs are ids that nothing has yet.
func newIDs(n int) (ids []journal.ID) {
	for i := range n {
		ids = append(ids, testID(500+i))
	}
	return ids
}

// buildDrafts builds the batch that drafts begin.
func buildDrafts(t *testing.T, drafts []journal.Draft) batch.State {
	t.Helper()
	var facts []journal.Fact
	for i, d := range drafts {
		k, ok := journal.FindKind(d.Kind)
		if !ok {
			t.Fatalf("there is no kind %q", d.Kind)
		}
		f := journal.Fact{ID: testID(2000 + i), Stamp: journal.Stamp{Milliseconds: whyStart.Add(zone.Span(i+1) * zone.Day)}, Device: testID(phoneNo), Scope: d.Scope, Subject: d.Subject,
			Kind: d.Kind, Version: k.Version, NeededVersion: k.NeededVersion, At: whyStart, TZ: "UTC", Body: d.Body}
		if err := f.CheckBody(); err != nil {
			t.Fatalf("%s %s: %v", d.Kind, d.Body, err)
		}
		facts = append(facts, f)
	}
	return batch.Build(facts)
}

// A repetition takes what was done, not what was planned, and scales the dye by dry weight.
func TestRepeat(t *testing.T) {
	d := good()
	d.powder[1] = 7.2 // planned 25 g/L, and the jug had 20
	s, _ := d.state(t)
	e := ViewEnv{Now: whyStart.Add(10 * zone.Day), Zone: lisbon}
	r, err := Repeat(s, []RepeatPiece{{Piece: testID(pieceNo), Count: 8, Grams: 165}}, newIDs(20), nil, e)
	if err != nil {
		t.Fatal(err)
	}
	want := 8 * 165. / (4*160 + 30)
	if math.Abs(r.Scale-want) > 0.001 {
		t.Errorf("scale %g, want %g", r.Scale, want)
	}
	b := buildDrafts(t, r.FactDrafts)
	if b.Name != "test, again" || b.Repeats == nil || b.Repeats.BatchID != s.ID || len(b.Unapplied) > 0 {
		t.Errorf("%q %+v %v", b.Name, b.Repeats, b.Unapplied)
	}
	if len(b.Pieces) != 1 || b.Pieces[0].Count != 8 || b.Pieces[0].Grams != 165 {
		t.Errorf("pieces %+v", b.Pieces)
	}
	if len(b.Colours) != 2 || b.Colours[0].Strength != 25 || b.Colours[1].Strength != 20 || math.Abs(b.Colours[1].VolumeML-360*want) > 1 {
		t.Errorf("colours %+v", b.Colours)
	}
	all := strings.Join(append(append(append([]string{}, r.DoneLines...), r.Differences...), r.Advice...), "; ")
	for _, part := range []string{"soak 50 g/L", "50 min in the soak", "cure 30 h at 22 °C", "amber: the jug had 20 g/L instead of the planned 25 g/L", "165 g now, 160 g then", "similar, not identical", "another lot"} {
		if !strings.Contains(all, part) {
			t.Errorf("%q is missing in %q", part, all)
		}
	}
	e.Now = whyStart.Add(400 * zone.Day)
	if r, _ = Repeat(s, nil, newIDs(20), nil, e); !strings.Contains(strings.Join(r.Advice, "; "), "older now: dye a test strip first") || r.Scale != 1 {
		t.Errorf("after a year: %v, scale %g", r.Advice, r.Scale)
	}
	if _, err := Repeat(s, []RepeatPiece{{Piece: testID(pieceNo), Count: 0}}, newIDs(20), nil, e); !fault.Is(err, fault.Missing) {
		t.Errorf("no piece: %v", err)
	}
	if _, err := Repeat(s, []RepeatPiece{{Piece: testID(999), Count: 1}}, newIDs(20), nil, e); !fault.Is(err, fault.NotFound) {
		t.Errorf("another piece: %v", err)
	}
	if _, err := Repeat(s, nil, newIDs(3), nil, e); !fault.Is(err, fault.Input) {
		t.Errorf("too few ids: %v", err)
	}
	for name, want := range map[string]string{"spring": "spring, again", "spring, again": "spring, again 2", "spring, again 2": "spring, again 3",
		strings.Repeat("ä", 80): strings.Repeat("ä", 60) + ", again"} {
		if got := againName(name); got != want {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
}

// What is not as usual, or is another today, is listed: soak, cure, water and powder.
func TestRepeatDiffers(t *testing.T) {
	d := good()
	d.soda, d.hardness, d.cureHours = 60, 60, 8
	s, _ := d.state(t)
	s.Colours[0].Stock, s.Colours[1].Stock = testID(801), testID(802)
	items := []shelf.Item{
		{ID: testID(801), StockDescribed: journal.StockDescribed{Lot: "42"}, Moves: []shelf.Move{{Kind: shelf.Bought, At: s.StartedAt + 1}}},
		{ID: testID(802), IsGone: true, Moves: []shelf.Move{{Kind: shelf.Bought, At: s.StartedAt - 1}}},
	}
	e := ViewEnv{Now: whyStart.Add(10 * zone.Day), Zone: lisbon, Kit: shelf.Kit{HasWater: true, Hardness: 300}}
	r, err := Repeat(s, nil, newIDs(20), items, e)
	if err != nil {
		t.Fatal(err)
	}
	all := strings.Join(r.Differences, "; ")
	for _, part := range []string{"soak: it had 20 g/L then; the new plan says 50 g/L", "cure: it was opened after ", "water: 60 mg/L then, 300 mg/L now",
		s.Colours[0].Name + ": more was bought since then, lot 42", s.Colours[1].Name + ": its powder is no longer on the shelf"} {
		if !strings.Contains(all, part) {
			t.Errorf("%q is missing in %q", part, all)
		}
	}
	// A jar that was opened long ago, though nothing was bought, asks for a strip too.
	items[0].Moves, items[0].Opened = nil, s.StartedAt.Add(-400*zone.Day)
	if r, _ = Repeat(s, nil, newIDs(20), items, e); !strings.Contains(strings.Join(r.Differences, "; "), s.Colours[0].Name+": its powder was opened 13 months ago, lot 42; dye a test strip first") {
		t.Errorf("an old jar: %v", r.Differences)
	}
	s, _ = good().state(t)
	e.Kit.Hardness = 60
	if r, _ = Repeat(s, nil, newIDs(20), items, e); len(r.Differences) > 0 {
		t.Errorf("a usual batch differs: %v", r.Differences)
	}
}

// Two batches side by side: what differed first, in the order of the job.
func TestCompare(t *testing.T) {
	a, _ := good().state(t)
	d := good()
	d.soakMinutes, d.celsius = 20, 15
	b, _ := d.state(t)
	e := ViewEnv{Now: whyStart.Add(10 * zone.Day), Zone: lisbon}
	c := Compare(a, b, "", "", e)
	if c.FirstDifference != "in the soak" {
		t.Errorf("differs first: %q", c.FirstDifference)
	}
	var differ []string
	for _, r := range c.Rows {
		if r.Differs {
			differ = append(differ, r.Label)
		}
	}
	if fmt.Sprint(differ) != "[in the soak cure]" {
		t.Errorf("differ: %v", differ)
	}
	if same := Compare(a, a, "", "", e); same.FirstDifference != "" || len(same.Rows) < 6 {
		t.Errorf("the same: %+v", same)
	}
	if empty := Compare(a, batch.State{}, "", "", e); empty.FirstDifference != "fibre" {
		t.Errorf("nothing recorded: %+v", empty)
	}
	if c.ColourDistanceText != "" {
		t.Errorf("no colour was read: %q", c.ColourDistanceText)
	}
	// The colours that were read last. ΔE2000 is 2.0425 by Sharma, Wu and Dalal, Color Res. Appl. 30 (2005) 21, table 1, row 1.
	a.Readings = []batch.ColourReading{{Subject: a.Bags[0].ID, Lab: [3]float64{20, 0, 0}, Error: 3}, {Subject: a.Bags[0].ID, Lab: [3]float64{50, 2.6772, -79.7751}, Error: 3}}
	b.Readings = []batch.ColourReading{{Subject: b.Bags[0].ID, Lab: [3]float64{50, 0, -82.7485}, Error: 4}}
	if read := Compare(a, b, "", "", e); read.ColourDistanceText != "ΔE 2 between the colours that were read, within the ± of 5" || read.Rows[len(read.Rows)-1].Label != "colour" {
		t.Errorf("the colours: %+v", read)
	}
	// Two bags of one batch, chosen by their ids.
	late := a.Bags[0]
	late.ID, late.Number, late.OpenedAt = testID(77), 2, late.OpenedAt.Add(40*zone.Hour)
	a.Bags = append(a.Bags, late)
	two := Compare(a, a, a.Bags[0].ID, late.ID, e)
	if two.FirstDifference != "cure" || two.A.Bag != a.Bags[0].ID || two.B.Name != "test, bag\u00a02" || len(two.A.Bags) != 2 || two.B.Bags[1].Number != "2" {
		t.Errorf("two bags: %+v", two)
	}
}

// Results are found by colour, fold, kind, rating and date; what rests on too few is not told.
func TestFindResults(t *testing.T) {
	e := ViewEnv{Now: whyStart.Add(10 * zone.Day), Zone: lisbon}
	var states []batch.State
	for i := range 3 {
		d := good()
		d.cureHours = 24 + 4*float64(i)
		s, bag := d.state(t)
		s.Results = []batch.Result{{Subject: bag, Overall: 3 + i, Bright: 4, WhiteShare: pointer(0.)}}
		states = append(states, s)
	}
	for _, row := range []struct {
		why  string
		q    ResultQuery
		want int
	}{
		{"all", ResultQuery{}, 3}, {"by name", ResultQuery{Colour: "Amber"}, 3}, {"by a near colour", ResultQuery{Colour: "#b03828"}, 3}, {"by a far colour", ResultQuery{Colour: "#2030a0"}, 0},
		{"by fold", ResultQuery{Fold: "spiral"}, 3}, {"another fold", ResultQuery{Fold: "rings"}, 0}, {"by kind", ResultQuery{PieceKind: "tee-m"}, 3}, {"another kind", ResultQuery{PieceKind: "scarf"}, 0},
		{"at least 4 of 5", ResultQuery{MinRating: 4}, 2}, {"from", ResultQuery{ClosedFrom: whyStart + 1}, 0}, {"to", ResultQuery{ClosedBefore: whyStart}, 0}, {"that day", ResultQuery{ClosedFrom: whyStart, ClosedBefore: whyStart + 1}, 3},
	} {
		if v := FindResults(states, nil, row.q, e); len(v.Cards) != row.want {
			t.Errorf("%s: %d, want %d", row.why, len(v.Cards), row.want)
		}
	}
	v := FindResults(states, nil, ResultQuery{}, e)
	if len(v.Folds) != 1 || len(v.Kinds) != 1 || len(v.OwnFigures) != 2 {
		t.Errorf("%+v", v)
	}
	if _, err := json.Marshal(v); err != nil {
		t.Error(err)
	}
}
