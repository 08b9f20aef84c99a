package rinse

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/reftest"
	"coldbatch/internal/unit"
)

func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol }

// The worked checks of the closed form, to the digits that are printed.
func TestLeft(t *testing.T) {
	ways := map[float64]Clings{0: Not, 5: Middling, 50: Strongly}
	for _, row := range reftest.Load(t, "rinse.tsv") {
		r := unit.SpecificVolume(row.Number(t, "r"))
		tub := Tub{Goods: 1000, Bath: unit.Volume(1000 * row.Number(t, "l")), Held: r, After: r, Clings: ways[row.Number(t, "k")]}
		n, want := int(row.Number(t, "baths")), row.Number(t, "left")
		if got := tub.Left(n); !near(float64(got), want, want*0.005) {
			t.Errorf("%v: %g, want %g", row, float64(got), want)
		}
	}
}

// Worked by hand from the balance.
func TestRinses(t *testing.T) {
	for _, row := range []struct {
		why    string
		tub    Tub
		target unit.Share
		want   int
		ok     bool
	}{
		{"a tenth a bath: exactly three leave a thousandth", Tub{1000, 10_000, 1, 1, Not}, 0.001, 3, true},
		{"a little less may be left: four", Tub{1000, 10_000, 1, 1, Not}, 0.000999, 4, true},
		{"one is the least", Tub{1000, 10_000, 1, 1, Not}, 0.5, 1, true},
		{"the first bath gets more: 0.11, then 0.06", Tub{1000, 20_000, 2.2, 1.2, Not}, 0.001, 3, true},
		{"middling: 0.288, then 0.248", Tub{1000, 20_000, 2.2, 1.2, Middling}, 0.001, 6, true},
		{"strongly: 0.746, then 0.731", Tub{1000, 20_000, 2.2, 1.2, Strongly}, 0.001, 23, true},
		{"a bath that hardly thins", Tub{1000, 2300, 2.2, 2.2, Strongly}, 0.001, Most, false},
	} {
		if n, ok := row.tub.Rinses(row.target); n != row.want || ok != row.ok {
			t.Errorf("%s: %d (%v), want %d", row.why, n, ok, row.want)
		}
	}
}

func TestRunning(t *testing.T) {
	tub := Tub{1000, 20_000, 2.2, 1.2, Not}
	left, water := tub.Running(6, unit.Minutes(10))
	if !near(float64(left), math.Exp(-3), 1e-12) || water != 60_000 {
		t.Errorf("60 L through 20 L leave %g with %g mL", float64(left), float64(water))
	}
	tub.Clings = Middling // as if the tub were 5 L larger
	if left, _ = tub.Running(6, unit.Minutes(10)); !near(float64(left), math.Exp(-60./25), 1e-12) {
		t.Errorf("middling: %g", float64(left))
	}
}

func draw(t *rapid.T) Tub {
	tub := Tub{
		Goods:  unit.Mass(rapid.Float64Range(1, 1e5).Draw(t, "goods")),
		Held:   unit.SpecificVolume(rapid.Float64Range(0.3, 5).Draw(t, "held")),
		After:  unit.SpecificVolume(rapid.Float64Range(0.3, 5).Draw(t, "after")),
		Clings: rapid.SampledFrom([]Clings{Not, Middling, Strongly}).Draw(t, "clings"),
	}
	most := max(tub.Held, tub.After)
	tub.Bath = unit.Volume(float64(tub.Goods) * float64(most) * rapid.Float64Range(1.01, 50).Draw(t, "bath"))
	return tub
}

// More rinses, more water, less held and a larger bath never leave more; and
// Rinses is the smallest number that does.
func TestMoreNeverLeavesMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tub := draw(t)
		n := rapid.IntRange(0, 40).Draw(t, "n")
		left := tub.Left(n)
		if tub.Left(n+1) > left {
			t.Fatalf("%d baths leave %g, one more %g", n, float64(left), float64(tub.Left(n+1)))
		}
		larger, drier := tub, tub
		larger.Bath *= 1.5
		drier.After *= 0.9
		if larger.Left(n) > left || drier.Left(n) > left {
			t.Fatalf("%g; in a larger bath %g, better wrung %g", float64(left), float64(larger.Left(n)), float64(drier.Left(n)))
		}
		target := unit.Share(rapid.Float64Range(1e-4, 0.5).Draw(t, "target"))
		if r, ok := tub.Rinses(target); ok && (tub.Left(r) > target*1.000001 || r > 1 && tub.Left(r-1) <= target) {
			t.Fatalf("%d baths for %g: %g, with one less %g", r, float64(target), float64(tub.Left(r)), float64(tub.Left(r-1)))
		}
		flow, long := unit.Flow(rapid.Float64Range(0, 50).Draw(t, "flow")), unit.Duration(rapid.Float64Range(0, 7200).Draw(t, "time"))
		short, _ := tub.Running(flow, long)
		if longer, _ := tub.Running(flow, long*2); longer > short {
			t.Fatalf("longer leaves more: %g, %g", float64(short), float64(longer))
		}
	})
}

// Nothing is lost, bath by bath: what goods and drained water hold at the end is
// what the goods brought, and the water that is counted is the water that is
// filled in.
func TestBalanceCloses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tub := draw(t)
		n := rapid.IntRange(1, 30).Draw(t, "n")
		m, k := float64(tub.Goods), tub.Clings.K().Value
		r, c := float64(tub.Held), 1.0
		brought := (k + r) * m
		drained, filled := 0.0, 0.0
		for range n {
			filled += float64(tub.Bath) - r*m
			c *= (k + r) * m / (k*m + float64(tub.Bath))
			r = float64(tub.After)
			drained += c * (float64(tub.Bath) - r*m)
		}
		if held := (k + r) * m * c; !near(drained+held, brought, 1e-6*brought) {
			t.Fatalf("%g drained and %g held of %g", drained, held, brought)
		}
		if left := float64(tub.Left(n)); !near(left, c, 1e-9) {
			t.Fatalf("left %g, bath by bath %g", left, c)
		}
		if water := float64(tub.Water(n)); !near(water, filled, 1e-6*filled) {
			t.Fatalf("water %g, bath by bath %g", water, filled)
		}
	})
}

// Twice the goods in twice the bath: the same rinses with twice the water.
func TestScales(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tub := draw(t)
		double := tub
		double.Goods, double.Bath = 2*tub.Goods, 2*tub.Bath
		n := rapid.IntRange(1, 30).Draw(t, "n")
		if !near(float64(double.Left(n)), float64(tub.Left(n)), 1e-12) || !near(float64(double.Water(n)), 2*float64(tub.Water(n)), 1e-6*float64(tub.Water(n))) {
			t.Fatalf("%+v does not scale", tub)
		}
	})
}

func TestSteps(t *testing.T) {
	for _, c := range []Clings{Not, Middling, Strongly, "?"} {
		if v := c.K(); v.Source.Text == "" || v.Name == "" {
			t.Errorf("%s: %+v", c, v)
		}
	}
	if got := Steps("3 cold baths"); len(got) != 7 || got[3][:12] != "3 cold baths" {
		t.Error(got)
	}
}
