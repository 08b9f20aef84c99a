package dilution

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/dye"
	"coldbatch/internal/reftest"
	"coldbatch/internal/unit"
)

func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol }

func TestTake(t *testing.T) {
	for _, row := range reftest.Load(t, "stock.tsv") {
		s := StockSolution{Strength: unit.Concentration(row.Number(t, "stock"))}
		wanted, made := unit.Concentration(row.Number(t, "wanted")), unit.Volume(row.Number(t, "made"))
		if got, want := s.StockVolume(wanted, made), row.Number(t, "take"); !near(float64(got), want, 1e-9) {
			t.Errorf("%v: take %g mL", row, float64(got))
		}
	}
	if (StockSolution{}).StockVolume(5, 100) != 0 {
		t.Error("something is taken from a stock of nothing")
	}
}

// By hand: 5 g on a 0.1 g scale is good to 2 %; 10 mL read to half a millilitre
// are 9.5 to 10.5 mL.
func TestMade(t *testing.T) {
	s := StockSolution{Strength: 25, Volume: 200, ScaleStep: 0.1}
	if !near(float64(s.StrengthError()), 0.02, 1e-12) || !near(float64(s.Powder()), 5, 1e-12) {
		t.Errorf("%g g, error %g", float64(s.Powder()), float64(s.StrengthError()))
	}
	c, low, high := s.ResultStrength(10, 1, 100)
	if !near(float64(c), 2.5, 1e-12) || !near(float64(low), 0.095*25*0.98, 1e-12) || !near(float64(high), 0.105*25*1.02, 1e-12) {
		t.Errorf("%g (%g–%g) g/L", float64(c), float64(low), float64(high))
	}
}

func TestOnStep(t *testing.T) {
	for _, row := range [][3]float64{{7.4, 1, 7}, {7.5, 1, 8}, {0.2, 1, 1}, {7.26, 0.5, 7.5}, {3, 0, 3}} {
		if got := RoundToStep(unit.Volume(row[0]), unit.Volume(row[1])); !near(float64(got), row[2], 1e-9) {
			t.Errorf("%g in steps of %g: %g, want %g", row[0], row[1], float64(got), row[2])
		}
	}
	if got := SmallestVolume(1); readingError(got, 1) != dye.MaxGoodError.Value {
		t.Errorf("%g mL is the smallest", float64(got))
	}
}

func TestSeries(t *testing.T) {
	for _, row := range reftest.Load(t, "steps.tsv") {
		s := Series{FirstStrength: unit.Concentration(row.Number(t, "first")), Ratio: row.Number(t, "ratio"), JugCount: int(row.Number(t, "count")), JugVolume: unit.Volume(row.Number(t, "each"))}
		j := s.Jugs()[int(row.Number(t, "jug"))-1]
		for _, pair := range [][2]float64{
			{float64(j.Strength), row.Number(t, "strength")}, {float64(j.TakenBefore), row.Number(t, "taken")},
			{float64(j.MadeUp), row.Number(t, "made_up")}, {float64(s.Powder()), row.Number(t, "powder")},
		} {
			if !near(pair[0], pair[1], 1e-9) {
				t.Errorf("%v: %g, want %g", row, pair[0], pair[1])
			}
		}
	}
}

// By hand: 18 g on a 0.1 g scale, then 1 mL steps read to a half: 450; 210, 420.
func TestErrorsAddUp(t *testing.T) {
	s := Series{FirstStrength: 40, Ratio: 0.5, JugCount: 4, JugVolume: 240, SyringeStep: 1, ScaleStep: 0.1}
	jugs := s.Jugs()
	first := 0.1/18 + 0.5/450
	if got := float64(jugs[0].Error); !near(got, first, 1e-12) {
		t.Errorf("first jug %g, want %g", got, first)
	}
	if got, want := float64(jugs[1].Error), first+0.5/210+0.5/420; !near(got, want, 1e-12) {
		t.Errorf("second jug %g, want %g", got, want)
	}
	if got, want := float64(s.ErrorFromFirstJug()), first+0.5/30+0.5/240; !near(got, want, 1e-12) {
		t.Errorf("last jug from the first one %g, want %g", got, want)
	}
}

// No dye is lost: the powder is what stands in all jugs at the end. Strengths fall
// by the ratio, errors only grow, and the row ends where it was asked to.
func TestSeriesKeepsTheDye(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Series{
			FirstStrength: unit.Concentration(rapid.Float64Range(0.1, 200).Draw(t, "first")),
			Ratio:         rapid.Float64Range(0.05, 0.95).Draw(t, "ratio"),
			JugCount:      rapid.IntRange(1, 12).Draw(t, "count"),
			JugVolume:     unit.Volume(rapid.Float64Range(10, 5000).Draw(t, "each")),
			SyringeStep:   1, ScaleStep: 0.1,
		}
		standing, jugs := 0.0, s.Jugs()
		for i, j := range jugs {
			standing += float64(j.Strength.MassIn(s.JugVolume))
			if i == 0 {
				continue
			}
			before := jugs[i-1]
			if !near(float64(j.TakenBefore+s.JugVolume), float64(before.MadeUp), 1e-6) || j.Error <= before.Error {
				t.Fatalf("jug %d: %+v after %+v", i+1, j, before)
			}
			if in, out := before.Strength.MassIn(j.TakenBefore), j.Strength.MassIn(j.MadeUp); !near(float64(in), float64(out), 1e-9*float64(out)) {
				t.Fatalf("jug %d gets %g g and holds %g g", i+1, float64(in), float64(out))
			}
		}
		if powder := float64(s.Powder()); !near(powder, standing, 1e-9*powder) {
			t.Fatalf("%g g weighed, %g g in the jugs", powder, standing)
		}
		if s.JugCount > 1 {
			if got := RatioBetween(s.FirstStrength, jugs[s.JugCount-1].Strength, s.JugCount); !near(got, s.Ratio, 1e-9) {
				t.Fatalf("ratio %g, want %g", got, s.Ratio)
			}
		}
	})
	if RatioBetween(40, 5, 1) != 0 || len((Series{}).Jugs()) != 0 || (Series{}).Powder() != 0 {
		t.Error("a row of no jugs has a figure")
	}
}

// By hand: 2 mL in steps of 1 mL may be a quarter off; five times weaker it is
// 10 mL, good to 5 %.
func TestWeaken(t *testing.T) {
	for _, row := range []struct {
		why           string
		take, step, v unit.Volume
		times         float64
		ok            bool
	}{
		{"enough as it is", 10, 1, 100, 1, true},
		{"five times", 2, 1, 100, 5, true},
		{"rounded up", 3, 1, 100, 4, true},
		{"just room", 2, 1, 10, 5, true},
		{"no room", 3, 1, 11, 4, false},
		{"a finer syringe", 2, 0.2, 11, 1, true},
	} {
		if times, ok := StockDilution(row.take, row.step, row.v); times != row.times || ok != row.ok {
			t.Errorf("%s: %g, %t", row.why, times, ok)
		}
	}
}
