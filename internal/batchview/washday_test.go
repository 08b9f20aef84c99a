package batchview

import (
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

func (y calendarYard) washDay(now zone.Instant, o WashOrder) WashDay {
	e := y.env(now)
	e.Places = map[journal.ID]batch.PlaceState{y.shed: batch.BuildPlace(byScope(y.facts)[journal.PlaceScope(y.shed)])}
	return ViewWashDay([]batch.State{batch.Build(y.facts)}, o, e)
}

func (y *calendarYard) dye(name, rgb string) {
	y.colour = y.add("", journal.KindColourChosen, journal.ColourChosen{Name: name, CapLetters: "XX", RGB: rgb, Class: "dichlorotriazine", Strength: 34, Depth: 1}).Subject
}

// A wash day from the closed bags to the machine: light ones share a tub and come first, a
// dark one is alone; baths are counted bath by bath, a rag that is not clean asks for one
// more, and a bag that is not ready waits.
func TestWashDay(t *testing.T) {
	y := newCalendarYard(t)
	y.dye("black", "#1d1d22")
	black := y.close(1, noon)
	y.dye("yellow", "#e9c21b")
	one := y.close(2, noon)
	y.dye("cream", "#f3e5b5")
	two := y.close(3, noon.Add(zone.Hour))
	y.close(4, noon.Add(40*zone.Hour)) // not ready
	now := noon.Add(48 * zone.Hour)
	order := WashOrder{Tub: "20 L", Machine: "6 kg"}
	v := y.washDay(now, order)
	if v.Headline != "3 bags in 2 tubs" || len(v.Tubs) != 2 || len(v.Pieces) != 3 || len(v.Places) != 1 || v.Places[0].Bags != 3 {
		t.Fatalf("%+v", v)
	}
	light, dark := v.Tubs[0], v.Tubs[1]
	if light.Title != "light colours" || len(light.Bags) != 2 || light.Bags[0].ID != two || light.NextStep != "open" || dark.Title != "dark, alone" || dark.Bags[0].ID != black {
		t.Fatalf("%+v", v.Tubs)
	}
	// By hand: 2 × 180 g at 20 L/kg are 7.2 L, so 8 L; the plan of package rinse for that.
	if p, _ := rinsingTub(360).Plan(0.001); light.ColdBaths != p.ColdBaths || light.HotBaths != p.HotBaths || light.BathML != 8000 || light.Weight != "360 g dry" {
		t.Errorf("%+v", light)
	}

	y.a.Now = now
	for _, id := range []journal.ID{one, two} {
		y.add(id, journal.KindBagOpened, journal.BagOpened{})
	}
	bath := func(tub TubView, hot bool) {
		y.a.Now = y.a.Now.Add(10 * zone.Minute)
		b := journal.RinseDone{Tub: tub.Key, Water: tub.BathML}
		for _, bag := range tub.Bags {
			b.Bags = append(b.Bags, bag.ID)
		}
		if hot {
			warm := 60.0
			b.Celsius, b.Soap = &warm, true
		}
		y.add(y.batch.Batch(), journal.KindRinseDone, b)
	}
	tub := func() TubView { return y.washDay(y.a.Now, order).Tubs[0] }
	for n := range light.ColdBaths {
		if got := tub(); got.NextStep != "cold" || got.ColdBathsDone != n || len(got.Bags) != 2 || got.Key != light.Key && n > 0 {
			t.Fatalf("before cold bath %d: %+v", n+1, got)
		}
		bath(tub(), false)
	}
	for range light.HotBaths {
		if got := tub(); got.NextStep != "hot" {
			t.Fatalf("%+v", got)
		}
		bath(tub(), true)
	}
	rag := func(showed string) {
		y.a.Now = y.a.Now.Add(zone.Minute)
		for _, id := range []journal.ID{one, two} {
			y.add(id, journal.KindRagTested, journal.RagTested{Showed: showed})
		}
	}
	if got := tub(); got.NextStep != "rag" {
		t.Fatalf("%+v", got)
	}
	rag("tinted")
	if got := tub(); got.NextStep != "hot" || got.Text != "one more hot bath, then the rag again" {
		t.Fatalf("%+v", got)
	}
	bath(tub(), true)
	if got := tub(); got.NextStep != "rag" {
		t.Fatalf("after one more bath: %+v", got)
	}
	rag("clean")
	if got := tub(); got.NextStep != "clear" {
		t.Fatalf("%+v", got)
	}
	for _, id := range []journal.ID{one, two} {
		y.add(id, journal.KindBagRinsed, journal.BagRinsed{Baths: light.ColdBaths + light.HotBaths + 1})
	}
	v = y.washDay(y.a.Now, order)
	if len(v.Tubs) != 1 || v.Tubs[0].Bags[0].ID != black || len(v.Machine) != 1 || len(v.Machine[0].Bags) != 2 || v.Machine[0].Weight != "360 g dry" {
		t.Fatalf("%+v", v)
	}
	if other := y.washDay(y.a.Now, WashOrder{Tub: "20 L", Machine: "6 kg", Place: y.a.NewID()}); len(other.Tubs) != 0 || other.Headline != "Nothing to wash" {
		t.Errorf("in another place: %+v", other)
	}
}

// A bath that was undone does not count, and a tub that is too small makes more tubs.
func TestWashDayUndoAndSmallTub(t *testing.T) {
	y := newCalendarYard(t)
	y.dye("yellow", "#e9c21b")
	one := y.close(1, noon)
	y.close(2, noon)
	y.close(3, noon)
	now := noon.Add(48 * zone.Hour)
	if v := y.washDay(now, WashOrder{Tub: "7.2 L"}); len(v.Tubs) != 2 || len(v.Tubs[0].Bags) != 2 {
		t.Errorf("tubs of 7.2 L hold 360 g each: %+v", v.Tubs)
	}
	y.a.Now = now
	y.add(one, journal.KindBagOpened, journal.BagOpened{})
	bath := y.add(y.batch.Batch(), journal.KindRinseDone, journal.RinseDone{Bags: []journal.ID{one}, Tub: one, Water: 5000})
	if tub := y.washDay(now, WashOrder{}).Tubs[0]; tub.ColdBathsDone != 1 || tub.Bags[0].ID != one {
		t.Errorf("%+v", tub)
	}
	y.add("", journal.KindFactWithdrawn, journal.FactTarget{Target: bath.ID})
	if tub := y.washDay(now, WashOrder{}).Tubs[0]; tub.ColdBathsDone != 0 {
		t.Errorf("%+v", tub)
	}
}
