package batchview

import (
	"encoding/json"
	"math/rand"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// lisbon is Europe/Lisbon around the two changes of 2026 (IANA time zone
// database: clocks go forward on 29 March at 01:00 UTC and back on 25 October).
var lisbon = zone.Table{Name: "Europe/Lisbon", Changes: []zone.Change{
	{From: zone.Date(2025, 10, 26).Add(zone.Hour), Offset: 0},
	{From: zone.Date(2026, 3, 29).Add(zone.Hour), Offset: 3600},
	{From: zone.Date(2026, 10, 25).Add(zone.Hour), Offset: 0},
}}

var noon = zone.Date(2026, 5, 2).Add(11 * zone.Hour) // Saturday 12:00 in Lisbon

// testingT is a *testing.T, *testing.B or *rapid.T.
type testingT interface {
	Helper()
	Fatal(...any)
}

// testBatch is a device that writes facts of one batch and one place.
type testBatch struct {
	t     testingT
	a     journal.Author
	batch journal.Scope
	facts []journal.Fact
}

func newTestBatch(t testingT, seed int64, at zone.Instant) *testBatch {
	r := rand.New(rand.NewSource(seed))
	y := &testBatch{t: t, a: journal.Author{TZ: "Europe/Lisbon", Now: at, Random: func(b []byte) { r.Read(b) }}}
	y.a.Device = y.a.NewID()
	id := y.a.NewID()
	y.batch = journal.BatchScope(id)
	y.add(id, journal.KindBatchStarted, journal.BatchStarted{Name: "spring market", Secret: y.a.NewID()})
	return y
}

func (y *testBatch) add(subject journal.ID, kind string, body any) journal.Fact {
	y.t.Helper()
	b, err := json.Marshal(body)
	if err != nil {
		y.t.Fatal(err)
	}
	facts, err := y.a.MakeFacts([]journal.Draft{{Scope: y.batch, Subject: subject, Kind: kind, Body: b}})
	if err != nil {
		y.t.Fatal(err)
	}
	y.facts = append(y.facts, facts...)
	return facts[0]
}

func (y *testBatch) env(now zone.Instant) ViewEnv {
	return ViewEnv{Now: now, Zone: lisbon, Host: "coldbatch.local:8443", Device: y.a.Device, NumberLetter: "H"}
}

// bag closes a bag of one apron in one colour of that class at celsius.
func (y *testBatch) bag(class string, celsius float64) journal.Fact {
	p := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "apron", Count: 1, Grams: 180, Fibre: "cotton"})
	c := y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "rust", CapLetters: "RU", RGB: "#b5372a", Class: class, Strength: 34, Depth: 1})
	return y.add("", journal.KindBagClosed, journal.BagClosed{Number: 1, Pieces: []journal.PieceInBag{{Piece: p.Subject, Count: 1}},
		Colours: []journal.ColourInBag{{Colour: c.Subject, Share: 1}}, Celsius: &celsius})
}

func (y *testBatch) view(now zone.Instant) BatchView {
	return ViewBatch(batch.Build(y.facts), y.env(now))
}

func exampleFacts(t testing.TB, now zone.Instant, seed int64) []journal.Fact {
	t.Helper()
	r := rand.New(rand.NewSource(seed))
	facts, err := Example(now, "Europe/Lisbon", func(b []byte) { r.Read(b) })
	if err != nil {
		t.Fatal(err)
	}
	return facts
}

// byScope sorts facts into their scopes.
func byScope(facts []journal.Fact) map[journal.Scope][]journal.Fact {
	m := map[journal.Scope][]journal.Fact{}
	for _, f := range facts {
		m[f.Scope] = append(m[f.Scope], f)
	}
	return m
}

// withoutNames is a state without what names it in a cache, and without numbers, which
// also withdrawn bags hold.
func withoutNames(s batch.State) batch.State {
	s.FactCount, s.LastFact = 0, ""
	return s
}

// Any order and any repetition of the same facts gives the same state, with
// withdrawals among them.
func TestAnyOrderGivesTheSameState(t *testing.T) {
	facts := exampleFacts(t, noon, 1)
	rapid.Check(t, func(rt *rapid.T) {
		for scope, list := range byScope(facts) {
			a := journal.Author{Device: list[0].Device, Now: noon, LatestStamp: journal.LatestStamp(journal.Stamp{}, facts, journal.MaxTime), TZ: "Europe/Lisbon",
				Random: func(b []byte) { copy(b, rapid.SliceOfN(rapid.Byte(), len(b), len(b)).Draw(rt, "random")) }}
			for range rapid.IntRange(0, 4).Draw(rt, "undos") {
				target := rapid.SampledFrom(list).Draw(rt, "target")
				kind := rapid.SampledFrom([]string{journal.KindFactWithdrawn, journal.KindFactRestored}).Draw(rt, "kind")
				body, _ := json.Marshal(journal.FactTarget{Target: target.ID})
				more, err := a.MakeFacts([]journal.Draft{{Scope: scope, Kind: kind, Body: body}})
				if err != nil {
					rt.Fatal(err)
				}
				list = append(list, more...)
			}
			shuffled := append([]journal.Fact(nil), list...)
			for range rapid.IntRange(0, 8).Draw(rt, "repeats") {
				shuffled = append(shuffled, rapid.SampledFrom(list).Draw(rt, "again"))
			}
			shuffled = rapid.Permutation(shuffled).Draw(rt, "order")
			if got, want := batch.Build(shuffled), batch.Build(list); !reflect.DeepEqual(got, want) {
				rt.Fatalf("%s: another order gave another state", scope)
			}
			if got, want := batch.BuildPlace(shuffled), batch.BuildPlace(list); !reflect.DeepEqual(got, want) {
				rt.Fatalf("%s: another order gave another place", scope)
			}
		}
	})
}

func TestWithdrawThenRestoreIsNothing(t *testing.T) {
	facts := exampleFacts(t, noon, 2)
	rapid.Check(t, func(rt *rapid.T) {
		target := rapid.SampledFrom(facts).Draw(rt, "target")
		list := byScope(facts)[target.Scope]
		a := journal.Author{Device: target.Device, Now: noon, LatestStamp: journal.LatestStamp(journal.Stamp{}, list, journal.MaxTime), TZ: "Europe/Lisbon",
			Random: func(b []byte) { copy(b, rapid.SliceOfN(rapid.Byte(), len(b), len(b)).Draw(rt, "random")) }}
		body, _ := json.Marshal(journal.FactTarget{Target: target.ID})
		undo, err := a.MakeFacts([]journal.Draft{{Scope: target.Scope, Kind: journal.KindFactWithdrawn, Body: body}, {Scope: target.Scope, Kind: journal.KindFactRestored, Body: body}})
		if err != nil {
			rt.Fatal(err)
		}
		after := append(append([]journal.Fact(nil), list...), undo...)
		if !reflect.DeepEqual(withoutNames(batch.Build(after)), withoutNames(batch.Build(list))) {
			rt.Fatalf("%s: withdrawn and restored, the batch is another", target.Kind)
		}
		gone := append(append([]journal.Fact(nil), list...), undo[0])
		if target.Kind == journal.KindBagClosed && len(batch.Build(gone).Bags) != len(batch.Build(list).Bags)-1 {
			rt.Fatal("a bag whose closing was taken back is still there")
		}
	})
}

// Two phones change different properties of one thing: both hold. They change
// the same one: the later stamp holds, whoever is read first.
func TestLaterStampPerProperty(t *testing.T) {
	y := newTestBatch(t, 3, noon)
	p := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "apron", Count: 2, Grams: 180, WeightAssumed: true})
	grams, no, three, four := 171.0, false, 3, 4
	y.add(p.Subject, journal.KindPieceChanged, journal.PieceChanged{Grams: &grams, WeightAssumed: &no})
	y.add(p.Subject, journal.KindPieceChanged, journal.PieceChanged{Count: &three})
	y.add(p.Subject, journal.KindPieceChanged, journal.PieceChanged{Count: &four})
	got := batch.Build(y.facts).Pieces[0]
	if got.Count != 4 || got.Grams != 171 || got.WeightAssumed || got.Kind != "apron" {
		t.Errorf("the piece came out as %+v", got)
	}
}

func TestFactThatDependsOnWithdrawnFactNoLongerApplies(t *testing.T) {
	y := newTestBatch(t, 4, noon)
	b := y.bag("dichlorotriazine", 21)
	y.add(b.Subject, journal.KindBagOpened, journal.BagOpened{})
	y.add(y.a.NewID(), journal.KindFactWithdrawn, journal.FactTarget{Target: b.ID})
	v := y.view(noon)
	if len(v.Bags) != 0 || len(v.Unapplied) != 1 || !strings.Contains(v.Unapplied[0].Text, "no longer applies") {
		t.Errorf("bags %d, misfits %v", len(v.Bags), v.Unapplied)
	}
}

// A fact that needs a newer program is kept, and its bag is not computed: number
// and last known time are shown, and "update". Other bags are.
func TestNewerFactsAreNotGuessedAt(t *testing.T) {
	y := newTestBatch(t, 5, noon)
	b := y.bag("dichlorotriazine", 21)
	y.bag("dichlorotriazine", 21)
	y.add(b.Subject, journal.KindBagPrinted, journal.BagPrinted{Code: "X", Ready: noon.Add(zone.Day)})
	f := y.add(b.Subject, journal.KindBagLooked, journal.BagLooked{})
	newer := strings.Replace(strings.Replace(string(f.Text()), journal.KindBagLooked, "bag.steamed", 1), `"need":1`, `"need":99`, 1)
	newer = strings.Replace(newer, string(f.ID), string(y.a.NewID()), 1)
	var x journal.Fact
	if err := json.Unmarshal([]byte(newer), &x); err != nil {
		t.Fatal(err)
	}
	y.facts = append(y.facts, x)
	v := y.view(noon)
	got := v.Bags[0]
	if !got.NeedsNewerApp || got.Number != "1" || got.ReadyAt != 0 || !strings.Contains(got.ReadyText, "Sun 12:00") || got.Headline != "update the app" {
		t.Errorf("the bag shows as %+v", got)
	}
	if v.Bags[1].NeedsNewerApp || v.Bags[1].ReadyAt == 0 {
		t.Errorf("another bag is held up too: %+v", v.Bags[1])
	}
	if v.UnknownFactsText == "" {
		t.Error("nothing is said of the entry that is not known")
	}
}

// A cure over a night when the clocks change takes as many hours as over any
// other, and the clock time shown is right to the minute.
func TestCureOverClockChanges(t *testing.T) {
	for _, c := range []struct {
		why    string
		closed zone.Instant
		clock  string
	}{
		{"clocks go forward: closed Sat 12:00, 24 h later it is 13:00", zone.Date(2026, 3, 28).Add(12 * zone.Hour), "Sun 13:00"},
		{"clocks go back: closed Sat 12:00, 24 h later it is 11:00", zone.Date(2026, 10, 24).Add(11 * zone.Hour), "Sun 11:00"},
		{"no change", noon, "Sun 12:00"},
	} {
		y := newTestBatch(t, 6, c.closed)
		y.bag("dichlorotriazine", 21)
		v := y.view(c.closed)
		b := v.Bags[0]
		if d := b.ReadyAt.Sub(c.closed); d != 24*zone.Hour {
			t.Errorf("%s: ready after %s", c.why, d.Words())
		}
		if b.ReadyText != "about "+c.clock {
			t.Errorf("%s: shown %q", c.why, b.ReadyText)
		}
		shown, err := ViewLabel(b.Address, ViewEnv{Now: c.closed})
		if err != nil || shown.Bag.ReadyText != "about "+c.clock {
			t.Errorf("%s: the label alone shows %q, %v", c.why, shown.Bag.ReadyText, err)
		}
	}
}

// A phone three hours slow closes a bag. It finds out at the next exchange; the
// time shown is put right and says so.
func TestSlowClockIsPutRight(t *testing.T) {
	y := newTestBatch(t, 7, noon.Add(-3*zone.Hour))
	y.bag("dichlorotriazine", 21)
	if b := y.view(noon).Bags[0]; b.ClosedAt != noon.Add(-3*zone.Hour) {
		t.Fatalf("closed at %d before anything was measured", b.ClosedAt)
	}
	y.add(y.a.Device, journal.KindClockMeasured, journal.ClockMeasured{Offset: 3 * zone.Hour})
	b := y.view(noon).Bags[0]
	if b.ClosedAt != noon || !strings.Contains(strings.Join(b.Notes, "|"), "3 h slow") {
		t.Errorf("closed at %d, notes %q", b.ClosedAt, b.Notes)
	}
	// Measured two hours before the bag was closed, the clock was set wrong, and
	// found out ten minutes after.
	set := newTestBatch(t, 14, noon.Add(-3*zone.Hour))
	set.a.OffsetMeasured = set.a.Now.Add(-2 * zone.Hour)
	set.bag("dichlorotriazine", 21)
	set.a.Now = set.a.Now.Add(10 * zone.Minute)
	set.add(set.a.Device, journal.KindClockMeasured, journal.ClockMeasured{Offset: 3 * zone.Hour})
	if b := set.view(noon).Bags[0]; b.ClosedAt != noon {
		t.Errorf("a clock that was set wrong in between: closed at %d", b.ClosedAt)
	}
	known := newTestBatch(t, 8, noon.Add(3*zone.Hour))
	known.a.Offset, known.a.OffsetMeasured = -3*zone.Hour, known.a.Now.Add(-zone.Hour)
	known.bag("dichlorotriazine", 21)
	if b := known.view(noon).Bags[0]; b.ClosedAt != noon || !strings.Contains(strings.Join(b.Notes, "|"), "3 h fast") {
		t.Errorf("a phone that knew it was fast: closed at %d, notes %q", b.ClosedAt, b.Notes)
	}
}
