package calibration

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func near(a, b, tolerance float64) bool { return math.Abs(a-b) <= tolerance }

// Worked by hand: (4 × 2.2 + n × median) / (4 + n).
func TestMedian(t *testing.T) {
	for _, row := range []struct {
		why      string
		measured []float64
		want     float64
		results  int
	}{
		{"nothing measured", nil, 2.2, 0},
		{"one", []float64{1.7}, 2.1, 1},
		{"as many as the usual counts for: half way", []float64{1.8, 1.8, 1.8, 1.8}, 2.0, 4},
		{"an odd one among five", []float64{1.8, 1.8, 1.8, 1.8, 9}, (4*2.2 + 5*1.8) / 9, 5},
		{"beyond the bounds", []float64{30}, (4*2.2 + 4) / 5, 1},
		{"no number", []float64{math.NaN()}, 2.2, 0},
	} {
		if f := Median(2.2, 1.4, 4, row.measured); !near(f.Value, row.want, 1e-9) || f.Results != row.results {
			t.Errorf("%s: %+v, want %g of %d", row.why, f, row.want, row.results)
		}
	}
	if (Figure{1, 2}).IsEnough() || !(Figure{1, 3}).IsEnough() {
		t.Error("three results are enough, two are not")
	}
}

// With many results it comes to what is true; it never leaves the span of the usual figure and of
// what was measured; a single odd result moves it no further than to its neighbours.
func TestMedianProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		truth := rapid.Float64Range(1.5, 3.5).Draw(t, "truth")
		noise := rapid.SliceOfN(rapid.Float64Range(0, 0.3), 250, 250).Draw(t, "noise")
		var many []float64
		for _, x := range noise { // as often above as below
			many = append(many, truth+x, truth-x)
		}
		if f := Median(2.2, 1.4, 4, many); !near(f.Value, truth, 0.02) {
			t.Fatalf("%d results about %g give %g", len(many), truth, f.Value)
		}
		n := rapid.IntRange(5, 40).Draw(t, "n")
		few := many[:n]
		odd := rapid.SampledFrom([]float64{0, 100}).Draw(t, "odd")
		before, after := Median(2.2, 1.4, 4, few), Median(2.2, 1.4, 4, append(append([]float64{}, few...), odd))
		if !near(before.Value, after.Value, 0.35) {
			t.Fatalf("one odd result of %d moves it from %g to %g", n, before.Value, after.Value)
		}
		if low, high := min(2.2, truth-0.31), max(2.2, truth+0.31); before.Value < low || before.Value > high {
			t.Fatalf("%g is outside %g to %g", before.Value, low, high)
		}
	})
}

// With many results it comes to what is true; none says 1; one odd piece among several moves it little.
func TestFactor(t *testing.T) {
	if f := MeanFactor(0.4, 1.6, []float64{0.8}); !near(f.Value, math.Sqrt(0.8), 1e-9) || f.Results != 1 {
		t.Errorf("%+v", f)
	}
	if f := MeanFactor(0.4, 1.6, []float64{0, -1, math.NaN()}); f.Value != 1 || f.Results != 0 {
		t.Errorf("no factor: %+v", f)
	}
	rapid.Check(t, func(t *rapid.T) {
		truth := rapid.Float64Range(0.5, 1.4).Draw(t, "truth")
		var many []float64
		for range 300 {
			many = append(many, truth*1.1, truth/1.1)
		}
		if f := MeanFactor(0.4, 1.6, many); !near(f.Value, truth, 0.01) {
			t.Fatalf("%d results of %g give %g", len(many), truth, f.Value)
		}
		some := many[:rapid.IntRange(6, 30).Draw(t, "n")]
		odd := rapid.Float64Range(0.01, 9).Draw(t, "odd")
		before, after := MeanFactor(0.4, 1.6, some), MeanFactor(0.4, 1.6, append(append([]float64{}, some...), odd))
		if !near(before.Value, after.Value, 0.2) {
			t.Fatalf("one odd of %d moves it from %g to %g", len(some), before.Value, after.Value)
		}
	})
}

func outcomes(enough bool, had ...float64) (list []Outcome) {
	for _, h := range had {
		list = append(list, Outcome{h, enough})
	}
	return list
}

func TestThreshold(t *testing.T) {
	join := func(a, b []Outcome) []Outcome { return append(append([]Outcome{}, a...), b...) }
	for _, row := range []struct {
		why  string
		had  []Outcome
		want float64
	}{
		{"nothing known", nil, 1},
		{"whoever waits longer than usual learns nothing", outcomes(true, 1.2, 1.5, 1.5, 2, 2, 3), 1},
		{"one short one", outcomes(true, 0.8), 1},
		{"three short ones", outcomes(true, 0.8, 0.8, 0.8), 0.8},
		{"and one that came out pale at the same", join(outcomes(true, 0.8, 0.8, 0.8), outcomes(false, 0.8)), 1},
		{"an odd one at a half does not bring it there", join(outcomes(true, 0.8, 0.8, 0.8, 0.8), outcomes(true, 0.5)), 0.8},
		{"pale although the usual time had passed", outcomes(false, 1.1, 1.1, 1.1), 1.11},
		{"never beyond the bounds", outcomes(true, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1), 1},
		{"no number", []Outcome{{math.NaN(), true}, {math.Inf(1), false}}, 1},
	} {
		if f := EnoughThreshold(0.5, 2, row.had); !near(f.Value, row.want, 1e-9) {
			t.Errorf("%s: %+v, want %g", row.why, f, row.want)
		}
	}
}

// With many results it comes to what is true, and an odd one then moves it hardly; with few it lies
// between 1 and what is true, and an odd one moves it by no more than twice Spread.
func TestThresholdProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		truth := rapid.Float64Range(0.6, 1.8).Draw(t, "truth")
		n := rapid.SampledFrom([]int{4, 12, 40, 400}).Draw(t, "n")
		shift := rapid.Float64Range(0, 1).Draw(t, "shift")
		var all []Outcome
		for i := range n { // spread evenly, so that some lie near what is true
			had := 0.4 + 1.6*(float64(i)+shift)/float64(n)
			all = append(all, Outcome{had, had >= truth})
		}
		f := EnoughThreshold(0.5, 2, all)
		if f.Results != n || f.Value < min(1, truth)-0.01 || f.Value > max(1, truth)+0.02 {
			t.Fatalf("%d outcomes about %g give %+v", n, truth, f)
		}
		odd := Outcome{rapid.Float64Range(0.4, 2).Draw(t, "odd"), rapid.Bool().Draw(t, "enough")}
		moved := math.Abs(f.Value - EnoughThreshold(0.5, 2, append(append([]Outcome{}, all...), odd)).Value)
		if moved > 2*Spread.Value {
			t.Fatalf("one odd of %d moves it by %g from %g", n, moved, f.Value)
		}
		if n == 400 && (!near(f.Value, truth, 0.02) || moved > 0.03) {
			t.Fatalf("%d outcomes about %g give %g, and one odd one moves it by %g", n, truth, f.Value, moved)
		}
	})
}
