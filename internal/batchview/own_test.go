package batchview

import (
	"math"
	"strings"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/goods"
	"coldbatch/internal/journal"
	"coldbatch/internal/plan"
	"coldbatch/internal/shelf"
	"coldbatch/internal/zone"
)

// ratedBags makes batches of one bag each, as good() with a cure that lasted so many hours at 21 °C,
// rated so bright.
func ratedBags(t *testing.T, hours []float64, bright int) (states []batch.State) {
	t.Helper()
	for _, h := range hours {
		d := good()
		d.cureHours, d.celsius = h, 21
		s, bag := d.state(t)
		s.Results = []batch.Result{{Subject: bag, Bright: bright}}
		states = append(states, s)
	}
	return states
}

func ownFigure(t *testing.T, states []batch.State, tried []batch.DesignResult, key string, e ViewEnv) OwnFigure {
	t.Helper()
	f, ok := find(OwnFigures(states, tried, e), func(f OwnFigure) bool { return f.Key == key })
	if !ok {
		t.Fatalf("no figure %s", key)
	}
	return f
}

// Bags that were opened early and came out bright shorten the cure; those that waited longer say
// nothing, nor do those that nobody rated. With the figure in use bags are ready sooner, and why goes
// on by the usual time.
func TestOwnCure(t *testing.T) {
	e := ViewEnv{Now: whyStart.Add(10 * zone.Day), Zone: lisbon}
	if f := ownFigure(t, ratedBags(t, []float64{30, 40, 50, 60}, 5), nil, ownCure, e); f.Value != 1 || f.Results != 4 || f.Text != "your bags agree with the usual time" {
		t.Errorf("long cures: %+v", f)
	}
	states := ratedBags(t, []float64{17, 17, 17.5, 17, 30}, 5)
	f := ownFigure(t, states, nil, ownCure, e)
	if math.Abs(f.Value-17./24) > 0.03 || f.Results != 5 || !f.IsEnough || f.Used != 0 {
		t.Fatalf("short cures that were enough: %+v", f)
	}
	if f := ownFigure(t, append(states, ratedBags(t, []float64{17, 17, 17, 17}, 2)...), nil, ownCure, e); f.Value < 0.9 {
		t.Errorf("as many came out pale: %+v", f)
	}
	odd := good()
	odd.cureHours, odd.celsius, odd.soda, odd.ph = 60, 21, 40, 11.1 // pale for another reason
	s, bag := odd.state(t)
	s.Results = []batch.Result{{Subject: bag, Bright: 1}}
	if g := ownFigure(t, append(states, s), nil, ownCure, e); g.Results != f.Results || g.Value != f.Value {
		t.Errorf("a bag that is pale from a weak soak counts: %+v", g)
	}
	if g := ownFigure(t, append(states, ratedBags(t, []float64{6}, 0)...), nil, ownCure, e); g.Results != f.Results {
		t.Errorf("a bag without a rating counts: %+v", g)
	}

	own := e
	own.Kit = shelf.Kit{Cure: journal.OwnFigure{Value: f.Value, Results: f.Results}}
	one := states[0]
	usual, tuned := bagReadyTime(one, one.Bags[0], e).readyAt.Sub(one.Bags[0].ClosedAt), bagReadyTime(one, one.Bags[0], own).readyAt.Sub(one.Bags[0].ClosedAt)
	if got := float64(tuned) / float64(usual); math.Abs(got-f.Value) > 0.01 {
		t.Errorf("ready after %g of the usual time, want %g", got, f.Value)
	}
	if g := ownFigure(t, states, nil, ownCure, own); g.Value != f.Value || g.Used != f.Value || !strings.Contains(g.UsedText, "5 results") {
		t.Errorf("in use it is drawn from another time: %+v", g)
	}
	v, err := ViewBag(one, one.Bags[0].ID, own)
	if err != nil || !strings.Contains(v.TimeShare, "your own bags (5 results)") {
		t.Errorf("%q %v", v.TimeShare, err)
	}
}

// What weighed bags hold becomes the pick-up of the plan; a bag that weighs less than its dry pieces
// says nothing.
func TestOwnPickUp(t *testing.T) {
	e := ViewEnv{Now: whyStart.Add(10 * zone.Day), Zone: lisbon}
	var states []batch.State
	for _, times := range []float64{2.8, 2.8, 2.9, 2.8, 0.5} {
		s, _ := good().state(t)
		s.Bags[0].WeighedGrams = bagGrams(s, s.Bags[0]) * (1 + times)
		if times < 1 {
			s.Bags[0].WeighedGrams = 20
		}
		states = append(states, s)
	}
	f := ownFigure(t, states, nil, ownPickUp, e)
	if want := roundOwn((4*goods.HeldWhenFull.Value + 4*2.8) / 8); f.Value != want || f.Results != 4 || !f.IsEnough {
		t.Errorf("%+v, want %g", f, want)
	}
	if few := ownFigure(t, states[:2], nil, ownPickUp, e); few.IsEnough || !strings.Contains(few.UsedText, "3 results") {
		t.Errorf("two results: %+v", few)
	}
	if none := ownFigure(t, nil, nil, ownPickUp, e); none.Value != goods.HeldWhenFull.Value || none.Results != 0 {
		t.Errorf("none: %+v", none)
	}
	s := states[0]
	usual := plan.WornBy(s, s.Colours[0].ID, shelf.Kit{}).Need
	tuned := plan.WornBy(s, s.Colours[0].ID, shelf.Kit{PickUp: journal.OwnFigure{Value: 2.75, Results: 4}}).Need
	if got := float64(tuned) / float64(usual); math.Abs(got-(2.75-1.1)/(2.2-1.1)) > 1e-9 {
		t.Errorf("the plan takes %g times the dye", got)
	}
	// The weight tells how much dye the cloth got.
	s.Pieces[0].DyePuts = nil
	if v := dyePerGram(s, s.Bags[0]); v == nil || math.Abs(*v-1.7) > 1e-9 {
		t.Errorf("dye for a gram: %v", v)
	}
}

// What pieces of designs say of white inside is listed fold by fold.
func TestOwnWhite(t *testing.T) {
	var own []OwnFigure
	tried := []batch.DesignResult{{Fold: "spiral", Effect: 0.8}, {Fold: "rings", Effect: 1}, {Fold: "spiral", Effect: 0.8}}
	for _, f := range OwnFigures(nil, tried, ViewEnv{}) {
		if f.Key == ownWhite {
			own = append(own, f)
		}
	}
	if len(own) != 2 || own[0].Fold != "rings" || own[0].Value != 1 || own[1].Results != 2 || own[1].Value != roundOwn(math.Pow(0.8, 2./3)) {
		t.Errorf("%+v", own)
	}
}
