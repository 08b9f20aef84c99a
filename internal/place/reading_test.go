package place

import (
	"math"
	"slices"
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"

	"pgregory.net/rapid"
)

// noon is an arbitrary day: 2 May 2026, 12:00 UTC.
var noon = zone.Date(2026, 5, 2).Add(12 * zone.Hour)

func readingAt(hours float64, c unit.Temperature) Reading {
	return Reading{At: noon.Add(zone.Span(hours * float64(zone.Hour))), Celsius: c}
}

func TestCheckReading(t *testing.T) {
	for _, row := range []struct {
		why string
		r   Reading
		ok  bool
	}{
		{"a room", Reading{noon, 21, 1.5}, true},
		{"no error known", Reading{noon, 21, 0}, true},
		{"the coldest", Reading{noon, MinTemperature, 1}, true},
		{"below the coldest", Reading{noon, MinTemperature - 0.1, 1}, false},
		{"the hottest", Reading{noon, MaxTemperature, 1}, true},
		{"above the hottest", Reading{noon, MaxTemperature + 0.1, 1}, false},
		{"70 °F typed as °C is a day in the sun, not refused", Reading{noon, 70, 1}, true},
		{"400 °C", Reading{noon, 400, 1}, false},
		{"a broken sensor", Reading{noon, unit.Temperature(math.NaN()), 1}, false},
		{"infinitely hot", Reading{noon, unit.Temperature(math.Inf(1)), 1}, false},
		{"a negative error", Reading{noon, 21, -0.1}, false},
		{"an error that is no number", Reading{noon, 21, unit.TemperatureDifference(math.NaN())}, false},
		{"an error so large that nothing was read", Reading{noon, 21, 20.1}, false},
		{"a time beyond any clock", Reading{math.MaxInt64, 21, 1}, false},
		{"a time before any clock", Reading{math.MinInt64, 21, 1}, false},
	} {
		err := row.r.Check()
		if (err == nil) != row.ok {
			t.Errorf("%s: Check(%v) = %v", row.why, row.r, err)
		}
		if err != nil && !fault.Is(err, fault.Input) {
			t.Errorf("%s: not an input fault: %v", row.why, err)
		}
	}
}

func TestThin(t *testing.T) {
	for _, row := range []struct {
		why  string
		in   []Reading
		want []Reading
	}{
		{"nothing", nil, []Reading{}},
		{"one", []Reading{readingAt(0, 20)}, []Reading{readingAt(0, 20)}},
		{"the same in between goes", []Reading{readingAt(0, 20), readingAt(1, 20), readingAt(2, 20)}, []Reading{readingAt(0, 20), readingAt(2, 20)}},
		{"half a degree off the line goes", []Reading{readingAt(0, 20), readingAt(1, 20.5), readingAt(2, 20)}, []Reading{readingAt(0, 20), readingAt(2, 20)}},
		{"more stays", []Reading{readingAt(0, 20), readingAt(1, 20.51), readingAt(2, 20)}, []Reading{readingAt(0, 20), readingAt(1, 20.51), readingAt(2, 20)}},
		{"on a slope goes", []Reading{readingAt(0, 20), readingAt(1, 22), readingAt(3, 26)}, []Reading{readingAt(0, 20), readingAt(3, 26)}},
		{"the night's low stays", []Reading{readingAt(0, 20), readingAt(18, 12), readingAt(24, 20)}, []Reading{readingAt(0, 20), readingAt(18, 12), readingAt(24, 20)}},
		{"twice the same is one", []Reading{readingAt(0, 20), readingAt(0, 20)}, []Reading{readingAt(0, 20)}},
		{"at one instant the colder counts", []Reading{readingAt(0, 20), readingAt(0, 18)}, []Reading{readingAt(0, 18)}},
		{"a broken sensor goes", []Reading{readingAt(0, 20), readingAt(1, 400), readingAt(2, 20)}, []Reading{readingAt(0, 20), readingAt(2, 20)}},
		{"a better thermometer stays though it reads the same",
			[]Reading{readingAt(0, 20), {noon.Add(zone.Hour), 20, 0.2}, readingAt(2, 20)},
			[]Reading{readingAt(0, 20), {noon.Add(zone.Hour), 20, 0.2}, readingAt(2, 20)}},
	} {
		if got := ThinReadings(row.in); !slices.Equal(got, row.want) {
			t.Errorf("%s: Thin(%v) = %v, want %v", row.why, row.in, got, row.want)
		}
	}
}

// TestThinDay thins a sensor's day: a reading every five minutes, a daily wave
// of 6 °C and a jitter of 0.2 °C.
func TestThinDay(t *testing.T) {
	var all []Reading
	for i := range 288 {
		h := float64(i) / 12
		all = append(all, readingAt(h, unit.Temperature(18+6*math.Sin(h/24*2*math.Pi)+0.2*math.Sin(float64(i*i)))))
	}
	if n := len(ThinReadings(all)); n > 20 {
		t.Errorf("a day of 288 readings thins to %d, want at most 20", n)
	}
}

// readingsGenerator draws readings of three days, some at the same instant.
func readingsGenerator(least int) *rapid.Generator[[]Reading] {
	one := rapid.Custom(func(t *rapid.T) Reading {
		return Reading{
			At:      noon.Add(zone.Span(rapid.IntRange(0, 72*4).Draw(t, "quarter")) * 15 * zone.Minute),
			Celsius: unit.Temperature(rapid.IntRange(-50, 350).Draw(t, "tenths")) / 10,
			Error:   unit.TemperatureDifference(rapid.SampledFrom([]float64{0, 0.5, 1, 1.5, 3}).Draw(t, "error")),
		}
	})
	return rapid.SliceOfN(one, least, 60)
}

// TestThinHolds checks, at every reading left out and so everywhere, that both
// edges of the band stay where they were to ThinErrorShare of the reading's error.
func TestThinHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := readingsGenerator(1).Draw(t, "readings")
		out := ThinReadings(in)
		if again := ThinReadings(out); !slices.Equal(again, out) {
			t.Fatalf("thinning again changes %v to %v", out, again)
		}
		if other := ThinReadings(rapid.Permutation(in).Draw(t, "other order")); !slices.Equal(other, out) {
			t.Fatalf("another order gives %v, want %v", other, out)
		}
		const err = 1.5 // ReadingError, for readings without
		first := in[0].At
		for _, r := range in {
			first = min(first, r.At)
		}
		full := Build(in, nil, zone.UTC(), first, noon, noon.Add(80*zone.Hour), err)
		thin := Build(out, nil, zone.UTC(), first, noon, noon.Add(80*zone.Hour), err)
		for _, r := range in {
			a, b := full.At(r.At), thin.At(r.At)
			may := float64(r.errorOr(err))*ThinErrorShare + 1e-9
			if a.Spread != r.errorOr(err) || a.Celsius != r.Celsius {
				continue // another reading counts at that instant
			}
			for _, side := range []float64{-1, 1} {
				x, y := float64(a.Celsius)+side*float64(a.Spread), float64(b.Celsius)+side*float64(b.Spread)
				if math.Abs(x-y) > may {
					t.Fatalf("at %v the edge moved from %g to %g, may by %g", r, x, y, may)
				}
			}
		}
	})
}
