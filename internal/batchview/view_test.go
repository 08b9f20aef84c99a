package batchview

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// buildExample folds the example's batches and places.
func buildExample(t testing.TB, facts []journal.Fact, now zone.Instant) ([]batch.State, ViewEnv) {
	e := ViewEnv{Now: now, Zone: lisbon, Host: "coldbatch.local:8443", Device: facts[0].Device, Places: map[journal.ID]batch.PlaceState{}}
	var states []batch.State
	for scope, list := range byScope(facts) {
		if id := scope.Place(); id != "" {
			e.Places[id] = batch.BuildPlace(list)
		} else if scope.Batch() != "" {
			states = append(states, batch.Build(list))
		}
	}
	return states, e
}

// The example shows a bag at every stage whatever the hour it is opened, has
// nothing that does not fit, and is marked as invented.
func TestExampleIsWholeAtAnyHour(t *testing.T) {
	for h := range 24 {
		now := noon.Add(zone.Span(h) * zone.Hour)
		states, e := buildExample(t, exampleFacts(t, now, int64(h)), now)
		if len(states) != 3 {
			t.Fatalf("%d batches", len(states))
		}
		v := ViewToday(states, 0, e)
		keys := map[string]int{}
		for _, g := range v.Groups {
			keys[g.Key] = len(g.Bags)
		}
		if keys["cure"] == 0 || keys["rinse"] == 0 || keys["ready"]+keys["probably"] == 0 {
			t.Errorf("at %d h the groups are %v", h, keys)
		}
		for _, s := range states {
			if len(s.Unapplied) > 0 || s.UnknownFacts > 0 || !strings.Contains(s.Note, "invented") {
				t.Errorf("batch %s: misfits %v, unknown %d, note %q", s.Name, s.Unapplied, s.UnknownFacts, s.Note)
			}
		}
	}
}

// What a screen shows holds no empty list that JSON would write as null, and no
// number that is not one.
func TestViewsEncode(t *testing.T) {
	facts := exampleFacts(t, noon, 9)
	states, e := buildExample(t, facts, noon)
	for _, s := range states {
		s2 := batch.State{}
		b, err := json.Marshal(s)
		if err != nil || json.Unmarshal(b, &s2) != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(ViewBatch(s, e), ViewBatch(s2, e)) {
			t.Errorf("%s: a state that was cached shows otherwise", s.Name)
		}
		b, err = json.Marshal(ViewBatch(s, e))
		if err != nil || strings.Contains(string(b), "null") {
			t.Errorf("%s: %v %s", s.Name, err, b)
		}
	}
	if b, err := json.Marshal(ViewBatch(batch.Build(nil), e)); err != nil || strings.Contains(string(b), "null") {
		t.Errorf("an empty batch: %v %s", err, b)
	}
	if b, err := json.Marshal(ViewToday(nil, 0, ViewEnv{})); err != nil || strings.Contains(string(b), "null") {
		t.Errorf("an empty day: %v %s", err, b)
	}
}

// From a pile of cloth to a dry piece: each step shows as done when it was done.
func TestTheJobStepByStep(t *testing.T) {
	y := newTestBatch(t, 10, noon)
	now := func() string {
		for _, s := range y.view(y.a.Now).Steps {
			if s.IsNext {
				return s.Key
			}
		}
		return ""
	}
	expect := func(want string) {
		t.Helper()
		if got := now(); got != want {
			t.Fatalf("the step is %q, want %q", got, want)
		}
	}
	expect("pieces")
	p := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "pillowcase", Count: 2, Grams: 140, WeightAssumed: true, Fibre: "cotton"})
	expect("scour")
	y.add(p.Subject, journal.KindPieceScoured, journal.PieceScoured{})
	expect("colours")
	c := y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "rust", CapLetters: "RU", RGB: "#b5372a", Class: "dichlorotriazine", Strength: 34.24, Depth: 1})
	expect("soak")
	v := y.view(noon)
	if v.Soak.WaterML != 2000 || v.Soak.SodaG != 100 || !strings.Contains(v.Soak.PH, "11.6") {
		t.Errorf("the soak is planned as %+v", v.Soak)
	}
	if v.WeightText != "280 g dry, assumed" {
		t.Errorf("the weight is told as %q", v.WeightText)
	}
	s := y.add("", journal.KindSoakMixed, journal.SoakMixed{WaterML: 2000, SodaGrams: 100})
	y.add(s.Subject, journal.KindSoakBegun, journal.SoakPieces{})
	y.add(s.Subject, journal.KindSoakEnded, journal.SoakPieces{})
	expect("jugs")
	if j := v.Jugs[0]; j.Powder != "17.1 g" || !strings.Contains(j.ScaleNote, "weigh 17.1 g") || !strings.Contains(j.ScaleNote, "make up to 500 mL") || strings.Contains(j.ScaleNote, "spare") {
		t.Errorf("the jug is planned as %s in %s: %s", j.Powder, j.Volume, j.ScaleNote)
	}
	y.add("", journal.KindJugMixed, journal.JugMixed{Colour: c.Subject, PowderGrams: v.Jugs[0].PowderG * 1.08, VolumeML: v.Jugs[0].VolumeML})
	if j := y.view(noon).Jugs[0]; !strings.Contains(j.Advice, "too much") {
		t.Errorf("8 %% too much powder is told as %q", j.Advice)
	}
	expect("bags")
	celsius := 21.0
	for n := range 2 {
		d, err := DraftBag(batch.Build(y.facts), y.env(noon), journal.BagClosed{Pieces: []journal.PieceInBag{{Piece: p.Subject, Count: 1}},
			Colours: []journal.ColourInBag{{Colour: c.Subject}}, Celsius: &celsius}, "")
		if err != nil || d.Closed.Number != n+1 || d.Closed.Letter != "H" || d.Closed.Colours[0].Share != 1 {
			t.Fatalf("the draft is %+v, %v", d, err)
		}
		y.add("", journal.KindBagClosed, d.Closed)
	}
	expect("cure")
	v = y.view(noon.Add(50 * zone.Hour))
	for _, b := range v.Bags {
		if b.Verdict != "ready" {
			t.Errorf("after 50 h near 21 °C bag %s is %s", b.Number, b.Verdict)
		}
		y.add(b.ID, journal.KindBagOpened, journal.BagOpened{})
	}
	expect("rinse")
	if w := strings.Join(y.view(noon.Add(51 * zone.Hour)).Bags[0].WashSteps, "|"); !strings.Contains(w, "cold baths of 5 L") {
		t.Errorf("the way to wash it out is %q", w)
	}
	for _, b := range v.Bags {
		y.add(b.ID, journal.KindBagRinsed, journal.BagRinsed{Baths: 5})
	}
	expect("dry")
	for _, b := range v.Bags {
		y.add(b.ID, journal.KindBagDone, journal.BagDone{})
	}
	expect("")
	if v := y.view(noon); v.Stage != "done" || !v.IsOpen {
		t.Errorf("the stage is %s, open %v; it stays open until somebody says that it is done", v.Stage, v.IsOpen)
	}
}

// A bag carried from a cold shed into a warm kitchen is ready sooner than one
// left there, and later than one that was always warm.
func TestMovedBags(t *testing.T) {
	ready := func(act func(y *testBatch, bag journal.ID)) zone.Instant {
		y := newTestBatch(t, 11, noon)
		b := y.bag("dichlorotriazine", 13)
		y.a.Now = noon.Add(6 * zone.Hour)
		act(y, b.Subject)
		return y.view(noon.Add(7 * zone.Hour)).Bags[0].ReadyAt
	}
	warm := 24.0
	left := ready(func(*testBatch, journal.ID) {})
	moved := ready(func(y *testBatch, bag journal.ID) { y.add(bag, journal.KindBagMoved, journal.BagMoved{Celsius: &warm}) })
	if moved >= left || moved <= noon.Add(17*zone.Hour) {
		t.Errorf("left in the cold it is ready at %d, moved at %d", left, moved)
	}
}

// A bag is ready when its slowest colour is, and dye added later begins then.
func TestSlowestColourHolds(t *testing.T) {
	y := newTestBatch(t, 12, noon)
	b := y.bag("dichlorotriazine", 21)
	before := y.view(noon).Bags[0].ReadyAt
	more := y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "lemon", CapLetters: "LE", RGB: "#f2d22e", Class: "dichlorotriazine", Strength: 26, Depth: 1})
	y.a.Now = noon.Add(5 * zone.Hour)
	y.add(b.Subject, journal.KindBagDyed, journal.BagDyed{Colours: []journal.ColourInBag{{Colour: more.Subject, Share: 0.2}}})
	if after := y.view(y.a.Now).Bags[0].ReadyAt; after != before.Add(5*zone.Hour) {
		t.Errorf("dye added 5 h later is ready %s later", after.Sub(before).Words())
	}
	y.bag("unknown", 21)
	if v := y.view(y.a.Now).Bags[1]; v.Verdict != "unknown" || v.ReadyText != "" || v.Tone != "care" {
		t.Errorf("a bag of an unknown class says %q %q", v.Verdict, v.ReadyText)
	}
	y.bag("monochlorotriazine", 21)
	if v := y.view(y.a.Now).Bags[2]; v.Verdict != "needs-heat" || v.ReadyAt != 0 {
		t.Errorf("monochlorotriazine in the cold says %q", v.Verdict)
	}
}

// A label shows with nothing but itself what the bag's own page shows.
func TestLabelAlone(t *testing.T) {
	y := newTestBatch(t, 13, noon)
	y.bag("dichlorotriazine", 18)
	at := noon.Add(3 * zone.Hour)
	b := y.view(at).Bags[0]
	for _, address := range []string{b.Address, strings.ToLower(b.Address), "http://localhost:8090/b/" + b.Code, "/b/" + strings.ToLower(b.Code), b.Code} {
		got, err := ViewLabel(address, ViewEnv{Now: at})
		if err != nil {
			t.Fatalf("%s: %v", address, err)
		}
		l := got.Bag
		if l.Number != b.Number || l.ReadyText != b.ReadyText || l.Headline != b.Headline || len(l.Colours) != 1 || l.Colours[0].CapLetters != "RU" ||
			l.AsPrintedNote == "" || got.ID != b.TypedID || l.ClosedText != b.ClosedText {
			t.Errorf("%s shows %+v, the bag's page %+v", address, l, b)
		}
		if s := batch.Build(y.facts); s.Bags[0].Token != got.Token {
			t.Errorf("the token is %s, the bag's is %s", got.Token, s.Bags[0].Token)
		}
	}
	if _, err := ViewLabel("https://example.org/menu", ViewEnv{}); err == nil || !strings.Contains(err.Error(), "example.org") {
		t.Errorf("a foreign code: %v", err)
	}
}

func TestCaps(t *testing.T) {
	for _, c := range []struct {
		name, taken, want string
	}{
		{"black", "", "BK"}, {"blue", "BK", "BE"}, {"brown", "BK BE", "BN"}, {"rust", "", "RT"}, {"deep yellow", "", "DY"}, {"blue-green", "BK BE", "BG"},
		{"red", "RD", "RA"}, {"green", "GN", "GR"}, {"orange", "OF", "OG"}, {"t", "", "TA"}, {"青", "", "CR"},
	} {
		got, err := ChooseColourCaps(c.name, strings.Fields(c.taken))
		if err != nil || got != c.want {
			t.Errorf("%q: %q, %v, want %q", c.name, got, err, c.want)
		}
	}
	rapid.Check(t, func(rt *rapid.T) {
		var taken []string
		for range 20 {
			c, err := ChooseColourCaps(rapid.StringMatching(`[a-zé -]{0,12}`).Draw(rt, "name"), taken)
			if err != nil {
				return
			}
			for _, x := range taken {
				if plainShape(x) == plainShape(c) {
					rt.Fatalf("%s was given beside %s", c, x)
				}
			}
			taken = append(taken, c)
		}
	})
}

// Stays come in the order of their stamps, which need not be that of their times:
// the bag's course goes by the times.
func TestStaysByTheirTimes(t *testing.T) {
	y := newTestBatch(t, 15, noon)
	b := y.bag("dichlorotriazine", 18)
	warm, cool := 24.0, 15.0
	y.a.Now = noon.Add(2 * zone.Hour)
	y.add(b.Subject, journal.KindBagMoved, journal.BagMoved{Celsius: &warm})
	y.a.Now = noon.Add(zone.Hour)
	y.add(b.Subject, journal.KindBagMoved, journal.BagMoved{Celsius: &cool})
	if v := y.view(noon.Add(3 * zone.Hour)).Bags[0]; v.ReadyAt == 0 || v.Verdict != "keep-wet" {
		t.Errorf("moved in another order the bag is %s, ready %d", v.Verdict, v.ReadyAt)
	}
}

// A bag that was found dry 2 h after closing and never wetted used to become ready.
func TestFoundDry(t *testing.T) {
	after := func(h float64) zone.Instant { return noon.Add(zone.HoursSpan(h)) }
	type event struct {
		hour   float64
		kind   string
		wetted bool
	}
	for _, row := range []struct {
		why     string
		events  []event
		now     float64
		verdict string
		ready   float64 // hours after closing; 0 for never
		note    string
	}{
		{"found dry and left so", []event{{2, journal.KindBagDried, false}}, 200, "dry", 0, "wet it with soda-ash water"},
		{"and wetted: the hours before may have been dry", []event{{2, journal.KindBagDried, true}}, 20, "keep-wet", 26, "these hours do not count"},
		{"ready when the rest has passed", []event{{2, journal.KindBagDried, true}}, 26, "probably-ready", 26, "do not count"},
		{"a look saw it wet", []event{{8, journal.KindBagLooked, false}, {10, journal.KindBagDried, true}}, 25, "keep-wet", 26, "do not count"},
		{"dry, and wetted later", []event{{2, journal.KindBagDried, false}, {12, journal.KindBagDried, true}}, 30, "keep-wet", 36, "do not count"},
		{"dry again after it was wetted", []event{{2, journal.KindBagDried, true}, {5, journal.KindBagDried, true}}, 20, "keep-wet", 29, "do not count"},
		{"wet long enough before", []event{{25, journal.KindBagLooked, false}, {40, journal.KindBagDried, false}}, 41, "probably-ready", 24, "do not count"},
	} {
		y := newTestBatch(t, 41, noon)
		b := y.bag("dichlorotriazine", 21)
		for _, e := range row.events {
			y.a.Now = after(e.hour)
			var body any = journal.BagFoundDry{WasWetted: e.wetted}
			if e.kind == journal.KindBagLooked {
				body = journal.BagLooked{}
			}
			y.add(b.Subject, e.kind, body)
		}
		v := y.view(after(row.now)).Bags[0]
		want := zone.Instant(0)
		if row.ready > 0 {
			want = after(row.ready)
		}
		if v.Verdict != row.verdict || v.ReadyAt != want || !strings.Contains(strings.Join(v.Notes, "; "), row.note) {
			t.Errorf("%s: %s, ready after %g h, %q; want %s, %g h", row.why, v.Verdict, v.ReadyAt.Sub(noon).Hours(), v.Notes, row.verdict, row.ready)
		}
		if v.Verdict == "dry" && (v.ReadyText != "" || v.TimeLeft != "" || v.Tone != "care" || v.Headline != "dry: wet it with soda-ash water") {
			t.Errorf("%s: %q, %q left, %q", row.why, v.Headline, v.TimeLeft, v.ReadyText)
		}
	}
}

// One state says one thing: a frozen bag shows no hours left, a slow one says where it
// is ready sooner, and a vinyl sulfone is never called ready.
func TestStatesSayOneThing(t *testing.T) {
	for _, row := range []struct {
		class    string
		celsius  float64
		hour     float64
		headline string
		left     bool
		note     string
	}{
		{"dichlorotriazine", -4, 5, "frozen: nothing bonds", false, "carry it to a room at 21 °C now → "},
		{"dichlorotriazine", 6, 5, "slow: carry it to a warmer place", true, "carry it to a room at 21 °C now → "},
		{"dichlorotriazine", 21, 5, "keep wet and warm", true, ""},
		{"vinyl-sulfone", 21, 24 * 40, "probably ready", false, "keep it at 25 °C or warmer"},
	} {
		y := newTestBatch(t, 42, noon)
		y.bag(row.class, row.celsius)
		v := y.view(noon.Add(zone.HoursSpan(row.hour))).Bags[0]
		if v.Headline != row.headline || (v.TimeLeft != "") != row.left || !strings.Contains(strings.Join(v.Notes, "; "), row.note) {
			t.Errorf("%s at %g °C: %q, %q left, %q", row.class, row.celsius, v.Headline, v.TimeLeft, v.Notes)
		}
	}
}

// The label prints the late time where the bag page says to wait for it, and a reader
// without the batch is told no more than the bag page tells.
func TestVinylSulfoneLabelPrintsTheLateTime(t *testing.T) {
	y := newTestBatch(t, 43, noon)
	b := y.bag("vinyl-sulfone", 25)
	s, e := batch.Build(y.facts), y.env(noon)
	v := y.view(noon).Bags[0]
	l, err := BagLabel(s, b.Subject, e)
	if err != nil || v.LateReadyAt == 0 || l.Time != e.Zone.FormatClockWithDate(v.LateReadyAt, false) || l.TimeLead != "keep wet and warm until" {
		t.Fatalf("the label says %q %q, the late time is %q; %v", l.TimeLead, l.Time, v.PrintTimes.SafeTime, err)
	}
	e.Now = v.LateReadyAt.Add(zone.Day)
	if read, err := ViewLabel(v.Address, e); err != nil || read.Bag.Verdict != "probably-ready" {
		t.Errorf("a reader of the label is told %+v, %v", read.Bag.Verdict, err)
	}
}

// A bag whose class is not known is what needs a hand, not nothing.
func TestTodayTellsOfCare(t *testing.T) {
	y := newTestBatch(t, 16, noon)
	y.bag("unknown", 21)
	if v := ViewToday([]batch.State{batch.Build(y.facts)}, 0, y.env(noon)); v.Headline != "1 bag needs a look" {
		t.Errorf("the headline is %q", v.Headline)
	}
}
