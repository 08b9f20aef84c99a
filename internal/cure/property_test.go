package cure

import (
	"math"
	"reflect"
	"slices"
	"testing"
	"time"
	_ "time/tzdata"

	"coldbatch/internal/dye"
	"coldbatch/internal/place"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"

	"pgregory.net/rapid"
)

// drawReadings draws readings of four days around noon.
func drawReadings(t *rapid.T) []place.Reading {
	one := rapid.Custom(func(t *rapid.T) place.Reading {
		return place.Reading{
			At:      noon.Add(zone.Span(rapid.IntRange(-24*4, 72*4).Draw(t, "quarter")) * 15 * zone.Minute),
			Celsius: unit.Temperature(rapid.IntRange(-50, 350).Draw(t, "tenths")) / 10,
		}
	})
	return rapid.SliceOfN(one, 1, 30).Draw(t, "readings")
}

func drawUsual(t *rapid.T) *place.UsualTemperatures {
	if !rapid.Bool().Draw(t, "has a usual day") {
		return nil
	}
	low := unit.Temperature(rapid.IntRange(2, 20).Draw(t, "low"))
	return &place.UsualTemperatures{Low: low, High: low + unit.Temperature(rapid.IntRange(0, 15).Draw(t, "swing"))}
}

func buildCourse(rs []place.Reading, u *place.UsualTemperatures, e unit.TemperatureDifference) place.TemperatureCourse {
	return place.Build(rs, u, zone.UTC(), noon, atHour(24), noon.Add(Horizon), e)
}

// isNotLater reports whether a comes no later than b, where zero is never.
func isNotLater(a, b zone.Instant) bool { return b == 0 || a != 0 && a <= b }

func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rs, u := drawReadings(t), drawUsual(t)
		must := func(b BagConditions) Outlook {
			o, err := Evaluate(b)
			if err != nil {
				t.Fatal(err)
			}
			return o
		}
		now := atHour(float64(rapid.IntRange(0, 200).Draw(t, "now")))
		o := must(dichlorotriazineBag(buildCourse(rs, u, 1.5), now))

		if !isNotLater(o.Early, o.Ready) || !isNotLater(o.Ready, o.Late) || !isNotLater(o.Late, o.NoGainAfter) && o.NoGainAfter != 0 {
			t.Fatalf("early %v, ready %v, late %v, past %v are not in order", o.Early, o.Ready, o.Late, o.NoGainAfter)
		}
		if !(o.DoneShareLow <= o.DoneShare && o.DoneShare <= o.DoneShareHigh) {
			t.Fatalf("done %v, %v–%v", o.DoneShare, o.DoneShareLow, o.DoneShareHigh)
		}
		if o.NeededTimeLow > o.NeededTime || o.NeededTimeHigh != 0 && o.NeededTime > o.NeededTimeHigh {
			t.Fatalf("needed %v, %v–%v", o.NeededTime, o.NeededTimeLow, o.NeededTimeHigh)
		}

		if other := must(dichlorotriazineBag(buildCourse(rapid.Permutation(rs).Draw(t, "other order"), u, 1.5), now)); !reflect.DeepEqual(other, o) {
			t.Fatalf("another order of readings gives %+v, want %+v", other, o)
		}

		// More heat never cures later.
		warm := slices.Clone(rs)
		for i := range warm {
			warm[i].Celsius += unit.Temperature(rapid.IntRange(0, 40).Draw(t, "warmer")) / 10
		}
		wu := u
		if u != nil {
			wu = &place.UsualTemperatures{Low: u.Low + 1, High: u.High + 1}
		}
		// Of two readings at one instant the colder counts, so that warming each still
		// warms the course.
		w := must(dichlorotriazineBag(buildCourse(warm, wu, 1.5), now))
		if !isNotLater(w.Early, o.Early) || !isNotLater(w.Ready, o.Ready) || !isNotLater(w.Late, o.Late) || w.DoneShare < o.DoneShare {
			t.Fatalf("warmer is later: %+v, was %+v", w, o)
		}

		// A wider reading error never narrows the range, and leaves the middle.
		e := unit.TemperatureDifference(1.5 + float64(rapid.IntRange(0, 50).Draw(t, "wider"))/10)
		wide, wider := must(dichlorotriazineBag(buildCourse(rs, u, e), now)), dichlorotriazineBag(buildCourse(rs, u, 1.5), now)
		wider.ReadingError = e
		for _, x := range []Outlook{wide, must(wider)} {
			if !isNotLater(x.Early, o.Early) || !isNotLater(o.Late, x.Late) || x.Ready != o.Ready ||
				x.DoneShareLow > o.DoneShareLow || x.DoneShareHigh < o.DoneShareHigh || x.NeededTimeLow > o.NeededTimeLow ||
				x.NeededTimeHigh != 0 && (o.NeededTimeHigh == 0 || x.NeededTimeHigh < o.NeededTimeHigh) {
				t.Fatalf("a wider error narrows: %+v, was %+v", x, o)
			}
		}

		// Thinned readings move the ready time by no more than moving the whole
		// course by what thinning may move it.
		may := unit.Temperature(place.ReadingError.Value * place.ThinErrorShare)
		shifted := func(by unit.Temperature) Outlook {
			c := buildCourse(rs, u, 1.5)
			c.Points = slices.Clone(c.Points)
			for i := range c.Points {
				c.Points[i].Celsius += by
			}
			return must(dichlorotriazineBag(c, now))
		}
		thin := must(dichlorotriazineBag(buildCourse(place.ThinReadings(rs), u, 1.5), now))
		if a, b := shifted(may+1e-9), shifted(-may-1e-9); !isNotLater(a.Ready, thin.Ready) || !isNotLater(thin.Ready, b.Ready) {
			t.Fatalf("thinned: ready %v, want %v–%v", thin.Ready, a.Ready, b.Ready)
		}
	})
}

// TestIntegral compares with adding up slices of twenty seconds, to 0.1 %. On a
// steep line the slices are the worse of the two; TestTotalMatchesExactIntegral is sharper.
func TestIntegral(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := buildCourse(drawReadings(t), drawUsual(t), 1.5)
		to := atHour(float64(rapid.IntRange(1, 60).Draw(t, "hours")))
		r := practiceTimesFor(dye.Dichlorotriazine, PracticeRule{})
		for _, m := range []rateModel{r.middleModel(), r.earlyModels()[2], r.lateModels()[2]} {
			const slice = 20 * zone.Second
			want := 0.0
			for i := noon; i < to; i = i.Add(slice) {
				want += m.rate(c.At(i.Add(slice/2))) * 20
			}
			got := m.total(c, []wetSpan{{noon, to}}, to)
			// At freezing a slice counts whole or not at all.
			if math.Abs(got-want) > 1e-3*want+20 {
				t.Fatalf("%+v: %g s, want %g", m, got, want)
			}
		}
	})
}

// TestContinuous: from just above freezing to 45 °C a tenth of a degree changes no
// figure by more than 2 %, and warmer is never later.
func TestContinuous(t *testing.T) {
	at := func(class dye.Class, tenths int) [3]float64 {
		r := practiceTimesFor(class, PracticeRule{})
		n := place.CoursePoint{Celsius: unit.Temperature(tenths) / 10, Spread: 1.5}
		out := [3]float64{math.Inf(1), r.middleModel().practiceSeconds / r.middleModel().rate(n), 0}
		for _, m := range r.earlyModels() {
			out[0] = min(out[0], m.practiceSeconds/m.rate(n))
		}
		for _, m := range r.lateModels() {
			out[2] = max(out[2], m.practiceSeconds/m.rate(n))
		}
		return out
	}
	for _, class := range []dye.Class{dye.Dichlorotriazine, dye.VinylSulfone} {
		for tenths := 1; tenths < 450; tenths++ {
			a, b := at(class, tenths), at(class, tenths+1)
			for i, figure := range []string{"early", "middle", "late"} {
				if s := a[i]/b[i] - 1; !(s >= 0 && s <= 0.02) {
					t.Errorf("%s, from %.1f °C the %s figure steps by %.2f %%", class, float64(tenths)/10, figure, 100*s)
				}
			}
		}
	}
}

// TestEvaluateIsContinuous: the same of what Evaluate returns, for a course that is
// a tenth of a degree warmer throughout, as far as the minute allows; and the share
// done never falls with time.
func TestEvaluateIsContinuous(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tenths := rapid.IntRange(1, 449).Draw(t, "tenths")
		hour := float64(rapid.IntRange(0, 400).Draw(t, "hour"))
		at := func(tenths int, hour float64) Outlook {
			o, err := Evaluate(dichlorotriazineBag(place.SteadyCourse(unit.Temperature(tenths)/10, 1.5), atHour(hour)))
			if err != nil {
				t.Fatal(err)
			}
			return o
		}
		o, warmer, later := at(tenths, hour), at(tenths+1, hour), at(tenths, hour+1)
		for i, pair := range [][2]zone.Instant{{o.Early, warmer.Early}, {o.Ready, warmer.Ready}, {o.Late, warmer.Late}} {
			a, b := pair[0].Sub(noon).Hours(), pair[1].Sub(noon).Hours()
			if pair[0] == 0 || pair[1] == 0 || a < b || a > 1.02*b+1./60 {
				t.Fatalf("at %g and %g °C figure %d is %g and %g h", float64(tenths)/10, float64(tenths+1)/10, i, a, b)
			}
		}
		if later.DoneShare < o.DoneShare || later.DoneShareLow < o.DoneShareLow || later.DoneShareHigh < o.DoneShareHigh || warmer.DoneShare < o.DoneShare {
			t.Fatalf("done %v, an hour later %v, warmer %v", o.DoneShare, later.DoneShare, warmer.DoneShare)
		}
	})
}

// TestTotalMatchesExactIntegral compares the total with the exact integral over a steady
// rise or fall of the temperature, by the exponential integral E1 (Abramowitz and Stegun 1964, 5.1; series 5.1.11 and
// continued fraction 5.1.22, from memory): the antiderivative of exp(-b/T) is
// T exp(-b/T) - b E1(b/T).
func TestTotalMatchesExactIntegral(t *testing.T) {
	b := ActivationEnergy.High / gasConstant.Value
	// With exp(-b/T) taken out, as it would underflow: T exp(-x)(1 - x exp(x)E1(x)).
	antiderivative := func(k float64) float64 {
		x := b / k
		f := x + 200 // continued fraction of exp(x)E1(x), from the tail
		for n := 200.0; n >= 1; n-- {
			f = x + n/(1+n/f)
		}
		return k * math.Exp(-x+b/294.15) * (1 - x/f)
	}
	for _, ends := range [][2]float64{{5, 35}, {35, 5}, {20, 21}, {1, 60}} {
		c := place.TemperatureCourse{Points: []place.CoursePoint{{At: noon, Celsius: unit.Temperature(ends[0])}, {At: atHour(10), Celsius: unit.Temperature(ends[1])}}}
		got := rateModel{energy: ActivationEnergy.High, practiceCelsius: 21}.total(c, []wetSpan{{noon, atHour(10)}}, atHour(10))
		ka, kb := ends[0]+273.15, ends[1]+273.15
		want := 36000 / (kb - ka) * (antiderivative(kb) - antiderivative(ka))
		if math.Abs(got-want) > 1e-5*want {
			t.Errorf("from %g to %g °C: %.6f s, want %.6f", ends[0], ends[1], got, want)
		}
	}
}

// zoneTableOf makes the zone's table over a year from Go's own.
func zoneTableOf(t *testing.T, loc *time.Location, from time.Time) zone.Table {
	t.Helper()
	var out zone.Table
	for at := from.Truncate(time.Hour); at.Before(from.AddDate(1, 0, 0)); at = at.Add(30 * time.Minute) {
		_, offset := at.In(loc).Zone()
		if n := len(out.Changes); n == 0 || out.Changes[n-1].Offset != offset {
			out.Changes = append(out.Changes, zone.Change{From: zone.Instant(at.UnixMilli()), Offset: offset})
		}
	}
	return out
}

// TestClockChanges: a cure over both nights on which clocks change is right to the
// minute, in zones of both hemispheres. The reference takes the clock from Go's
// time package and adds up minutes.
func TestClockChanges(t *testing.T) {
	for _, row := range []struct {
		name       string
		month, day int // of the night before
	}{
		{"Europe/Lisbon", 3, 28}, {"Europe/Lisbon", 10, 24},
		{"America/Chicago", 3, 7}, {"America/Chicago", 10, 31},
		{"Australia/Lord_Howe", 4, 4}, {"Australia/Lord_Howe", 10, 3},
		{"Asia/Kolkata", 5, 2},
	} {
		loc, err := time.LoadLocation(row.name)
		if err != nil {
			t.Fatal(err)
		}
		closed := time.Date(2026, time.Month(row.month), row.day, 20, 0, 0, 0, loc)
		table := zoneTableOf(t, loc, closed.AddDate(0, -1, 0))
		at := zone.Instant(closed.UnixMilli())

		// At 21 °C it takes 24 hours, whatever the clock on the wall does.
		o := evaluate(t, BagConditions{Class: dye.Dichlorotriazine, Closed: at, Now: at, Course: place.SteadyCourse(21, 1.5)})
		if want := closed.Add(24 * time.Hour); o.Ready != zone.Instant(want.UnixMilli()) {
			t.Errorf("%s: ready at %d, want %s", row.name, o.Ready, want)
		} else if got := table.Local(o.Ready); got.Hour != want.Hour() || got.Minute != want.Minute() || got.Day != want.Day() {
			t.Errorf("%s: the clock shows %+v, want %s", row.name, got, want)
		}

		// With usual nights and days, whose low comes at six by that clock.
		u := &place.UsualTemperatures{Low: 12, High: 23}
		c := place.Build(nil, u, table, at, at, at.Add(Horizon), 1.5)
		o = evaluate(t, BagConditions{Class: dye.Dichlorotriazine, Closed: at, Now: at, Course: c})
		want, worth := closed, 0.0
		for worth < 24*60 {
			kelvin := usualTemperatureAt(want.Add(30*time.Second), 12, 23) + 273.15
			worth += math.Exp(75000 / 8.314462618 * (1/294.15 - 1/kelvin))
			want = want.Add(time.Minute)
		}
		if d := time.UnixMilli(int64(o.Ready)).Sub(want); d > time.Minute || d < -time.Minute {
			t.Errorf("%s, usual days: ready at %s, want %s", row.name, time.UnixMilli(int64(o.Ready)).In(loc), want)
		}
	}
}

// usualTemperatureAt returns the temperature of the usual day at a time of Go's clock.
func usualTemperatureAt(at time.Time, low, high float64) float64 {
	turn := func(day, hour int) time.Time {
		return time.Date(at.Year(), at.Month(), at.Day()+day, hour, 0, 0, 0, at.Location())
	}
	line := func(a, b time.Time, x, y float64) float64 {
		return x + (y-x)*float64(at.Sub(a))/float64(b.Sub(a))
	}
	switch {
	case at.Before(turn(0, 6)):
		return line(turn(-1, 15), turn(0, 6), high, low)
	case at.Before(turn(0, 15)):
		return line(turn(0, 6), turn(0, 15), low, high)
	}
	return line(turn(0, 15), turn(1, 6), high, low)
}
