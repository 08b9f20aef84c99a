package batchview

import (
	"strings"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// kitchen adds a warm place to a testBatch and returns its id.
func (y calendarYard) kitchen(celsius float64) journal.ID {
	k := y
	k.shed = y.a.NewID()
	k.testBatch.a = y.a
	k.place(journal.KindPlaceNamed, journal.PlaceNamed{Name: "kitchen"})
	k.place(journal.KindPlaceRead, journal.TemperatureReading{Celsius: celsius})
	return k.shed
}

func (y calendarYard) today(now zone.Instant, finished int) TodayView {
	e := y.env(now)
	e.Places = map[journal.ID]batch.PlaceState{}
	for scope, facts := range byScope(y.facts) {
		if id := scope.Place(); id != "" {
			e.Places[id] = batch.BuildPlace(facts)
		}
	}
	return ViewToday([]batch.State{batch.Build(y.facts)}, finished, e)
}

func groupKeys(v TodayView) (keys []string) {
	for _, g := range v.Groups {
		keys = append(keys, g.Key)
	}
	return keys
}

// A bag in a cold place needs a look, also when the reading is old and the usual day is
// warm; the place comes first in the line of places, with what carrying it in brings. Once
// the bag is ready, nobody is told to move it.
func TestColdBagNeedsALook(t *testing.T) {
	y := newCalendarYard(t)
	y.close(1, noon)
	y.place(journal.KindPlaceUsual, journal.UsualTemperatures{Low: 8, High: 19})
	y.kitchen(21)
	y.read(noon.Add(2*zone.Hour), 8)
	for _, row := range []struct {
		why   string
		after zone.Span
	}{
		{"just read", 3 * zone.Hour},
		{"the next afternoon, which is usually warm: the reading is old", 27 * zone.Hour},
	} {
		v := y.today(noon.Add(row.after), 0)
		if keys := groupKeys(v); len(keys) != 1 || keys[0] != "care" || v.Headline != "1 bag needs a look" {
			t.Errorf("%s: %v, %s", row.why, keys, v.Headline)
			continue
		}
		p := v.Places[0]
		if p.Name != "shed" || !p.InTrouble || !strings.HasPrefix(p.Advice, "carry it to “kitchen” now → ") || !strings.Contains(p.Advice, "; leave it → ") {
			t.Errorf("%s: %+v", row.why, p)
		}
		if b := v.Groups[0].Bags[0]; b.CarryIn == nil || b.CarryIn.Ready >= b.CarryIn.Leave && b.CarryIn.Leave != 0 || b.CarryIn.Ready < noon.Add(row.after) {
			t.Errorf("%s: %+v", row.why, b.CarryIn)
		}
	}
	for days := 1; days < 30; days++ {
		v := y.today(noon.Add(zone.Span(days)*zone.Day), 0)
		for _, g := range v.Groups {
			for _, b := range g.Bags {
				if g.Key == "ready" || g.Key == "probably" {
					if b.IsCold || b.CarryIn != nil || strings.Contains(strings.Join(b.Notes, " "), "carry") || v.Places[0].Advice != "" {
						t.Fatalf("day %d: a bag that is ready is told to move: %+v", days, b)
					}
				}
			}
		}
	}
}

// A bag that was opened or is done is told nothing about its place.
func TestFinishedBagIsNotToldToMove(t *testing.T) {
	y := newCalendarYard(t)
	bag := y.close(1, noon)
	one := 1
	y.add(y.piece, journal.KindPieceChanged, journal.PieceChanged{Count: &one})
	y.read(noon.Add(zone.Hour), 3)
	for _, kind := range []string{journal.KindBagOpened, journal.KindBagRinsed, journal.KindBagDone} {
		y.a.Now = y.a.Now.Add(zone.Hour)
		y.add(bag, kind, struct{}{})
		e := y.env(y.a.Now.Add(zone.Hour))
		e.Places = map[journal.ID]batch.PlaceState{y.shed: batch.BuildPlace(byScope(y.facts)[journal.PlaceScope(y.shed)])}
		b := ViewBatch(batch.Build(y.facts), e).Bags[0]
		if b.IsCold || b.CarryIn != nil || strings.Contains(strings.Join(b.Notes, " "), "warmer") {
			t.Errorf("after %s: %+v", kind, b.Notes)
		}
	}
	if v := y.today(y.a.Now, 0); len(v.Batches) != 1 || v.Batches[0].Open {
		t.Errorf("all bags are done, and the batch is under open ones: %+v", v.Batches)
	}
}

// Bags of one place stand together, the place whose first bag is ready first comes first.
func TestTodayOrdersByPlace(t *testing.T) {
	y := newCalendarYard(t)
	kitchen := y.kitchen(24)
	shed := y.shed
	y.close(1, noon)
	y.shed = kitchen
	y.close(2, noon.Add(zone.Hour))
	y.shed = shed
	y.close(3, noon.Add(-zone.Hour))
	y.shed = kitchen
	y.close(4, noon.Add(2*zone.Hour))
	v := y.today(noon.Add(3*zone.Hour), 0)
	var order []string
	for _, b := range v.Groups[0].Bags {
		order = append(order, b.PlaceName+" "+b.Number)
	}
	if got := strings.Join(order, ", "); got != "kitchen 2, kitchen 4, shed 3, shed 1" {
		t.Errorf("the order is %s", got)
	}
	if v.Places[0].Name != "kitchen" || !strings.HasPrefix(v.Places[0].Waiting, "2 bags, ready Sun ") || v.Places[0].Advice != "" {
		t.Errorf("%+v", v.Places[0])
	}
}

// How to begin is only said before the first batch.
func TestOnlyTheFirstIsToldHowToBegin(t *testing.T) {
	if v := ViewToday(nil, 0, ViewEnv{}); !v.IsFirst || v.Headline != "Nothing is dyeing yet" {
		t.Errorf("%+v", v)
	}
	if v := ViewToday(nil, 100, ViewEnv{}); v.IsFirst || v.Headline != "Nothing is dyeing now" {
		t.Errorf("after a hundred batches: %+v", v)
	}
}

// Last night's low moves the ready time of every bag there.
func TestExtremesMoveBags(t *testing.T) {
	y := newCalendarYard(t)
	y.close(1, noon)
	y.close(2, noon.Add(zone.Hour))
	now := noon.Add(21 * zone.Hour) // 09:00 the next day
	before := y.today(now, 0).Groups[0].Bags
	y.a.Now = now
	x := DateExtremes(y.env(now))
	if x.LowAt != noon.Add(18*zone.Hour) || x.HighAt != noon.Add(3*zone.Hour) {
		t.Errorf("%+v", x)
	}
	y.place(journal.KindPlaceExtremes, journal.PlaceExtremes{Low: 11, High: 19, LowAt: x.LowAt, HighAt: x.HighAt, Where: "dummy"})
	after := y.today(now, 0).Groups[0].Bags
	for i := range before {
		if after[i].ReadyAt <= before[i].ReadyAt {
			t.Errorf("bag %s is not later: %d, before %d", after[i].Number, after[i].ReadyAt, before[i].ReadyAt)
		}
	}
}
