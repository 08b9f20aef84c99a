package place

import (
	"math"
	"slices"
	"testing"

	"coldbatch/internal/unit"
	"coldbatch/internal/zone"

	"pgregory.net/rapid"
)

// lisbon holds the two clock changes of 2026 of mainland Portugal (by the rule of
// Directive 2000/84/EC: the last Sundays of March and October, 01:00 UTC).
var lisbon = zone.Table{Name: "Europe/Lisbon", Changes: []zone.Change{
	{From: zone.Date(2025, 10, 26).Add(zone.Hour), Offset: 0},
	{From: zone.Date(2026, 3, 29).Add(zone.Hour), Offset: 3600},
	{From: zone.Date(2026, 10, 25).Add(zone.Hour), Offset: 0},
}}

func TestBuild(t *testing.T) {
	at := func(h float64) zone.Instant { return readingAt(h, 0).At }
	two := []Reading{readingAt(0, 20), readingAt(4, 24)}
	shed := &UsualTemperatures{Low: 10, High: 19}
	for _, row := range []struct {
		why      string
		readings []Reading
		usual    *UsualTemperatures
		hour     float64
		want     CoursePoint
	}{
		{"at a reading", two, nil, 0, CoursePoint{Celsius: 20, Spread: 1.5, IsRead: true}},
		{"between readings it is straight", two, nil, 1, CoursePoint{Celsius: 21, Spread: 1.5, IsRead: true}},
		{"the first holds for six hours before", two, nil, -6, CoursePoint{Celsius: 20, Spread: 1.5, IsRead: true}},
		{"and less surely before that", two, nil, -6.1, CoursePoint{Celsius: 20, Spread: 4}},
		{"the last holds for six hours after", two, nil, 9.99, CoursePoint{Celsius: 24, Spread: 1.5, IsRead: true}},
		{"and less surely after that", two, nil, 10, CoursePoint{Celsius: 24, Spread: 4}},
		{"as far as it was asked for", two, nil, 71, CoursePoint{Celsius: 24, Spread: 4}},
		{"with a usual day: the low at six", two, shed, 18, CoursePoint{Celsius: 10, Spread: 3}},
		{"the high at three", two, shed, 27, CoursePoint{Celsius: 19, Spread: 3}},
		{"straight between", two, shed, 22.5, CoursePoint{Celsius: 14.5, Spread: 3}},
		{"again the next day", two, shed, 42, CoursePoint{Celsius: 10, Spread: 3}},
		{"before the readings too", two, shed, -9, CoursePoint{Celsius: 19 - 9.*12/15, Spread: 3}},
		{"but the last reading first", two, shed, 9.99, CoursePoint{Celsius: 24, Spread: 1.5, IsRead: true}},
		{"no readings: the usual day", nil, shed, 3, CoursePoint{Celsius: 19, Spread: 3}},
		{"no readings: from the start", nil, shed, -12, CoursePoint{Celsius: 19 - 9.*9/15, Spread: 3}},
		{"a foreseen reading counts as given", []Reading{readingAt(0, 20), readingAt(10, 12)}, nil, 10, CoursePoint{Celsius: 12, Spread: 1.5, IsRead: true}},
		{"a reading's own error", []Reading{{noon, 20, 0.5}}, nil, 0, CoursePoint{Celsius: 20, Spread: 0.5, IsRead: true}},
		{"an error larger than straying", []Reading{{noon, 20, 5}}, nil, 20, CoursePoint{Celsius: 20, Spread: 5}},
		{"a usual upside down is left out", two, &UsualTemperatures{Low: 19, High: 10}, 18, CoursePoint{Celsius: 24, Spread: 4}},
		{"a broken reading is left out", []Reading{readingAt(0, 20), readingAt(1, 400)}, nil, 1, CoursePoint{Celsius: 20, Spread: 1.5, IsRead: true}},
		{"readings long past", []Reading{readingAt(-1000, 20)}, nil, 0, CoursePoint{Celsius: 20, Spread: 4}},
	} {
		c := Build(row.readings, row.usual, zone.UTC(), at(-12), at(5), at(72), 1.5)
		if err := c.Check(); err != nil {
			t.Errorf("%s: %v", row.why, err)
		}
		got, want := c.At(at(row.hour)), row.want
		want.At = at(row.hour)
		if got.At != want.At || math.Abs(float64(got.Celsius-want.Celsius)) > 1e-9 || got.Spread != want.Spread || got.IsRead != want.IsRead {
			t.Errorf("%s: at %g h: %+v, want %+v", row.why, row.hour, got, want)
		}
	}
	if c := Build(nil, nil, zone.UTC(), at(0), at(1), at(2), 1.5); !c.IsEmpty() {
		t.Errorf("without readings or a usual day the course says %v", c)
	}
}

func TestAge(t *testing.T) {
	c := Build([]Reading{readingAt(0, 20), readingAt(9, 15)}, nil, zone.UTC(), noon, readingAt(8, 0).At, readingAt(72, 0).At, 1.5)
	for _, row := range []struct {
		why  string
		hour float64
		age  zone.Span
		old  bool
	}{
		{"just read", 0, 0, false},
		{"before the reading", -1, 0, false},
		{"six hours is not old", 6, 6 * zone.Hour, false},
		{"a minute more is; the foreseen reading at nine is no look", 6 + 1./60, 6*zone.Hour + zone.Minute, true},
	} {
		now := noon.Add(zone.Span(math.Round(row.hour*60)) * zone.Minute)
		age, any := c.ReadingAge(now)
		if age != row.age || !any || c.IsOld(now) != row.old {
			t.Errorf("%s: Age %v %v, Old %v", row.why, age, any, c.IsOld(now))
		}
	}
	if _, any := SteadyCourse(20, 1.5).ReadingAge(noon); any || !SteadyCourse(20, 1.5).IsOld(noon) {
		t.Error("an assumed temperature was never read")
	}
}

// TestUsualClock: the low comes at six by the clock on the wall, on the days on
// both sides of both clock changes.
func TestUsualClock(t *testing.T) {
	u := &UsualTemperatures{Low: 8, High: 17}
	for _, row := range []struct {
		why              string
		month, day, hour int
		utc              int
		want             unit.Temperature
	}{
		{"the day before clocks go forward", 3, 28, 6, 6, 8},
		{"the day they do", 3, 29, 6, 5, 8},
		{"its afternoon", 3, 29, 15, 14, 17},
		{"the day before clocks go back", 10, 24, 15, 14, 17},
		{"the day they do", 10, 25, 6, 6, 8},
	} {
		at := zone.Date(2026, row.month, row.day).Add(zone.Span(row.utc) * zone.Hour)
		if l := lisbon.Local(at); l.Hour != row.hour {
			t.Fatalf("%s: the table says %d o'clock", row.why, l.Hour)
		}
		from := at.Add(-30 * zone.Hour)
		c := Build(nil, u, lisbon, from, from, at.Add(zone.Day), 1.5)
		if got := c.At(at).Celsius; got != row.want {
			t.Errorf("%s at %d:00: %v °C, want %v", row.why, row.hour, got, row.want)
		}
	}
}

// TestBuildBounds: whatever a phone sends, a course stays small and in order.
func TestBuildBounds(t *testing.T) {
	u := &UsualTemperatures{Low: 8, High: 17}
	old := []Reading{{At: -8.64e15, Celsius: 20}, {At: 8.64e15, Celsius: 20}}
	for _, rs := range [][]Reading{nil, old, old[:1], old[1:]} {
		c := Build(rs, u, lisbon, noon, noon, 8.64e15, 1.5)
		if len(c.Points) > 2*400+10 {
			t.Errorf("%v: %d nodes", rs, len(c.Points))
		}
		if err := c.Check(); err != nil && len(rs) == 0 {
			t.Errorf("%v: %v", rs, err)
		}
	}
	if c := Build([]Reading{readingAt(0, 20)}, u, lisbon, noon.Add(zone.Hour), noon, noon, 1.5); c.At(noon).Celsius != 20 {
		t.Errorf("an end before the start: %+v", c)
	}
}

func TestBuildProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := readingsGenerator(1).Draw(t, "readings")
		var usual *UsualTemperatures
		if rapid.Bool().Draw(t, "usual") {
			low := unit.Temperature(rapid.IntRange(-5, 20).Draw(t, "low"))
			usual = &UsualTemperatures{low, low + unit.Temperature(rapid.IntRange(0, 15).Draw(t, "swing"))}
		}
		hour := func(what string) zone.Instant {
			return noon.Add(zone.Span(rapid.IntRange(-100, 200).Draw(t, what)) * zone.Hour)
		}
		from, now, until := hour("from"), hour("now"), hour("until")
		c := Build(in, usual, lisbon, from, now, until, 1.5)
		if err := c.Check(); err != nil {
			t.Fatal(err)
		}
		if other := Build(rapid.Permutation(in).Draw(t, "other order"), usual, lisbon, from, now, until, 1.5); !slices.Equal(other.Points, c.Points) {
			t.Fatalf("another order gives %v, want %v", other, c)
		}

		// Warmer readings and a warmer usual day are nowhere colder; a wider error is
		// nowhere narrower.
		warm := slices.Clone(in)
		for i := range warm {
			warm[i].Celsius += 2
		}
		warmUsual := usual
		if usual != nil {
			warmUsual = &UsualTemperatures{usual.Low + 2, usual.High + 2}
		}
		w := Build(warm, warmUsual, lisbon, from, now, until, 1.5)
		wide := Build(in, usual, lisbon, from, now, until, 2.5)
		for i := from; i <= until; i = i.Add(37 * zone.Minute) {
			if w.At(i).Celsius < c.At(i).Celsius {
				t.Fatalf("warmer readings are colder at %v", i)
			}
			if wide.At(i).Spread < c.At(i).Spread {
				t.Fatalf("a wider error is narrower at %v", i)
			}
		}

		// The stretches are the course: end to end, and equal to At inside.
		a := from
		for x, y := range c.Segments(from, until) {
			if x.At != a || y.At <= x.At {
				t.Fatalf("a stretch from %v to %v begins after %v", x.At, y.At, a)
			}
			mid := x.At.Add(y.At.Sub(x.At) / 2)
			want := float64(interpolate(x, y, mid).Celsius)
			if got := float64(c.At(mid).Celsius); math.Abs(got-want) > 1e-9 {
				t.Fatalf("at %v: %g, on the stretch %g", mid, got, want)
			}
			a = y.At
		}
		if from < until && a != until {
			t.Fatalf("the stretches end at %v, want %v", a, until)
		}
	})
}
