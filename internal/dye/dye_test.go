package dye

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/reftest"
	"coldbatch/internal/unit"
)

func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol }

const mlIn8Ounces = 236.5882365 // mL in 8 US fl oz: NIST Handbook 44, Appendix C

// gramsPer8Ounces makes a strength of g per 8 fl oz.
func gramsPer8Ounces(g float64) unit.Concentration {
	return unit.GramsPerLitre(unit.Mass(g), mlIn8Ounces)
}

func TestPowder(t *testing.T) {
	for _, row := range reftest.Load(t, "bottle-strengths.tsv") {
		m := BottleMix{Strength: gramsPer8Ounces(row.Number(t, "per_8_fl_oz")), BottleVolume: mlIn8Ounces / 4, BottleCount: 3, Depth: 1}
		want := row.Number(t, "per_2_fl_oz")
		if got := float64(m.PowderPerBottle()); !near(got, want, 1e-9) {
			t.Errorf("%s g per 8 fl oz: %.6f g per 2 fl oz, want %g", row["per_8_fl_oz"], got, want)
		}
		if got := float64(m.TotalPowder()); !near(got, 3*want, 1e-9) {
			t.Errorf("three bottles: %g g, want %g", got, 3*want)
		}
	}
}

// A 1 g scale at 6.2 g per 8 fl oz: 20 g is needed for 5 %, which is 763 mL.
func TestSmallest(t *testing.T) {
	m := BottleMix{Strength: gramsPer8Ounces(6.2), BottleVolume: mlIn8Ounces / 4, BottleCount: 1, Depth: 1}
	if got := float64(m.SmallestVolume(1)); !near(got, 763, 0.5) {
		t.Errorf("good from %.1f mL, want 763", got)
	}
	if got := (BottleMix{}).SmallestVolume(1); got != 0 {
		t.Errorf("no strength: good from %g mL", float64(got))
	}
}

func TestDeviation(t *testing.T) {
	m := BottleMix{Strength: gramsPer8Ounces(18), BottleVolume: mlIn8Ounces / 4, BottleCount: 1, Depth: 1}
	middle, low, high := m.Deviation(5, 0.1)
	if !near(float64(middle), 0.111, 0.0005) || !near(float64(low), 4.9/4.5-1, 1e-9) || !near(float64(high), 5.1/4.5-1, 1e-9) {
		t.Errorf("5 g for 4.5 g is off by %.4f (%.4f to %.4f)", float64(middle), float64(low), float64(high))
	}
}

func TestAdvice(t *testing.T) {
	litre := BottleMix{Strength: 20, BottleVolume: 250, BottleCount: 4, Depth: 1} // 20 g in 1 L
	weak := BottleMix{gramsPer8Ounces(6.2), mlIn8Ounces / 4, 1, 1}                // 1.55 g in 59 mL
	one := func(g unit.Mass) *unit.Mass { return &g }
	for _, row := range []struct {
		why      string
		mix      BottleMix
		holds    unit.Volume
		division unit.Mass
		weighed  *unit.Mass
		want     AdviceStep
		says     string
	}{
		{"a fine scale", litre, 0, 0.1, nil, StepWeigh, "weigh 20 g"},
		{"5 % or more, but under 10 %: said", litre, 0, 1.5, nil, StepWeigh, "8 %"},
		{"10 g on a 1 g scale is the last that is weighed", BottleMix{20, 500, 1, 1}, 0, 1, nil, StepWeigh, "10 %"},
		{"the worked example: 20 g into 400 mL", BottleMix{20, 60, 1, 1}, 0, 1, nil, StepByStock, "weigh 20 g, make it up to 400 mL in a jug, take 24 mL"},
		{"1.2 g on a 1 g scale, and which scale can", BottleMix{20, 60, 1, 1}, 0, 1, nil, StepByStock, "1.2 g is too little for a scale with steps of 1 g: a scale with steps of 0.1 g weighs it to 8 %; or weigh 20 g"},
		{"20 g weighed as told is for the stock, and was called 1567 % too much", BottleMix{20, 60, 1, 1}, 0, 1, one(20), StepByStock, "20 g is more than a jug needs: make it up to 400 mL in a jug, take 24 mL"},
		{"a stock states its error: 1 g of 20, and half a millilitre of 24", BottleMix{20, 60, 1, 1}, 0, 1, nil, StepByStock, "good to 7 %, 5 % of it by the scale and 2 % by the syringe"},
		{"25 g weighed, too strong for a stock", BottleMix{80, 60, 1, 1}, 0, 1, one(25), StepBiggerJug, "25 g made up to 313 mL, and take 60 mL from it; that is good to 4 %"},
		{"stronger than the stock", BottleMix{80, 60, 1, 1}, 0, 1, nil, StepBiggerJug, "20 g made up to 250 mL"},
		{"good enough", litre, 0, 0.1, one(20.9), StepUseIt, "use it"},
		{"good enough, as far as the scale can tell", litre, 0, 2, one(20), StepUseIt, "give or take 10 %"},
		{"too much, bottles with room", litre, 500, 0.1, one(24), StepMakeUp, "1.2 L"},
		{"room to the millilitre: 4 × 85 % of 353 mL", litre, 353, 0.1, one(24), StepMakeUp, "1.2 L"},
		{"no room", litre, 300, 0.1, one(24), StepFillBottles, "1.02 L"},
		{"fuller than 85 % already", litre, 260, 0.1, one(24), StepFillBottles, "1 L"},
		{"too little", litre, 0, 0.1, one(16), StepTopUp, "another 4 g"},
		{"less missing than the scale shows", litre, 0, 1, one(18.5), StepTopUp, "less than this scale can weigh"},
		{"2 g on a 1 g scale is 1 to 3 g: not judged", weak, 0, 1, one(2), StepByStock, "may be off by 50 %, too much to rely on; 1.55 g is too little for a scale with steps of 1 g: a scale with steps of 0.1 g weighs it to 6 %; or weigh 20 g"},
		{"nor called right when it seems to be", BottleMix{20, 100, 1, 1}, 0, 1, one(2), StepByStock, "counts towards the 20 g"},
		{"11 divisions are judged, for what they are", BottleMix{20, 400, 1, 1}, 0, 1, one(11), StepMakeUp, "right, give or take 9 %"},
		{"no room, and only as sure as the scale", litre, 300, 1, one(24), StepFillBottles, "stronger than wanted, give or take 4 %"},
		{"a first spoon on a coarse scale: the whole can be weighed, so the rest is", litre, 0, 1, one(5), StepTopUp, "paler, give or take 20 %, or weigh another 15 g"},
		{"1.55 g is none of a 0.1 g scale's weights: 59.1 mL × 1.6 / 1.55", weak, 0, 0.1, nil, StepWeigh, "weigh 1.6 g into a jug, wet it with a little water to a smooth paste, and make up to 61 mL; 59 mL is wanted, the rest is spare"},
		{"a scale that shows 1.55 g", weak, 0, 0.01, nil, StepWeigh, "weigh 1.55 g into a jug, wet it with a little water to a smooth paste, and make up to 59 mL"},
		{"a step of 2 g: up to 22 g, though 20 g is nearer", BottleMix{20.5, 1000, 1, 1}, 0, 2, nil, StepWeigh, "weigh 22 g"},
		{"0.55 g missing on a 0.1 g scale", weak, 0, 0.1, one(1), StepTopUp, "another 0.6 g"},
	} {
		got := row.mix.Advise(row.holds, row.division, row.weighed, unit.Style{})
		if got.Step != row.want || !strings.Contains(got.Sentence, row.says) {
			t.Errorf("%s: %s, %q; want %s saying %q", row.why, got.Step, got.Sentence, row.want, row.says)
		}
	}
}

// Powder goes up in step with volume, strength, depth and number of bottles.
func TestScales(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMix(t)
		k := rapid.Float64Range(0.1, 10).Draw(t, "k")
		want := float64(m.TotalPowder()) * k
		for what, scaled := range map[string]BottleMix{
			"strength": {m.Strength * unit.Concentration(k), m.BottleVolume, m.BottleCount, m.Depth},
			"bottle":   {m.Strength, m.BottleVolume * unit.Volume(k), m.BottleCount, m.Depth},
			"count":    {m.Strength, m.BottleVolume, m.BottleCount * unit.Count(k), m.Depth},
			"depth":    {m.Strength, m.BottleVolume, m.BottleCount, m.Depth * unit.Share(k)},
		} {
			if got := float64(scaled.TotalPowder()); !near(got, want, want*1e-12) {
				t.Fatalf("%s × %g: %g g, want %g", what, k, got, want)
			}
		}
	})
}

// Whatever was weighed, the advice can be done: it never asks for more volume
// than the bottles take, and what it makes up is at the strength it says.
func TestAdviceCanBeDone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMix(t)
		holds := unit.Volume(float64(m.BottleVolume) * rapid.Float64Range(1.2, 4).Draw(t, "holds")) // 85 % of it takes the bottle
		w := unit.Mass(float64(m.TotalPowder()) * rapid.Float64Range(0.1, 5).Draw(t, "weighed"))
		a := m.Advise(holds, 0.01, &w, unit.Style{})
		room := float64(holds) * BottleFillShare.Value * float64(m.BottleCount)
		if float64(a.MakeUpTo) > room*(1+1e-9) {
			t.Fatalf("%s: make up to %g mL, the bottles take %g", a.Step, float64(a.MakeUpTo), room)
		}
		if a.Step == StepMakeUp {
			if got, want := float64(unit.GramsPerLitre(w, a.MakeUpTo)), float64(m.MadeUpStrength()); !near(got, want, want*1e-5) {
				t.Fatalf("made up it is %g g/L, want %g", got, want)
			}
		}
		if a.Step == StepTopUp {
			if got, want := float64(w+a.AddPowder), float64(m.TotalPowder()); !near(got, want, want*1e-9) {
				t.Fatalf("with the rest it is %g g, want %g", got, want)
			}
		}
		if s := a.Sentence; strings.Contains(s, "NaN") || strings.Contains(s, "Inf") || s == "" {
			t.Fatalf("says %q", s)
		}
	})
}

// What is to be weighed, the scale can show; made up as told it is of the right
// strength, and the jug holds what is wanted and less than a division's more.
func TestWeighedAsTheScaleShows(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMix(t)
		division := unit.Mass(rapid.SampledFrom([]float64{0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5}).Draw(t, "division"))
		grams, to := m.roundToScale(division, unit.Style{})
		if got, want := float64(unit.GramsPerLitre(grams, to)), float64(m.MadeUpStrength()); !near(got, want, want*1e-9) {
			t.Fatalf("made up it is %g g/L, want %g", got, want)
		}
		if to < m.JugVolume() || grams > (m.TotalPowder()+division)*(1+1e-9) {
			t.Fatalf("%g g in %g mL for %g g in %g mL", float64(grams), float64(to), float64(m.TotalPowder()), float64(m.JugVolume()))
		}
		if n := unit.Round(unit.KindMass, float64(grams)) / float64(division); float64(grams) < 10 && !near(n, math.Round(n), 1e-6) {
			t.Fatalf("%g g on a scale of %g g", float64(grams), float64(division))
		}
	})
}

// The stock gives the powder that is due.
func TestStock(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawMix(t)
		a := m.Advise(0, unit.Mass(rapid.Float64Range(0.01, 10).Draw(t, "division")), nil, unit.Style{})
		if a.Step == StepByStock {
			if got, want := float64(a.Syringe)*StockStrength.Value/1000, float64(m.TotalPowder()); !near(got, want, want*1e-9) {
				t.Fatalf("%g mL of the stock hold %g g, want %g", float64(a.Syringe), got, want)
			}
			if a.Syringe > m.JugVolume()*(1+1e-9) {
				t.Fatalf("%g mL of stock into %g mL", float64(a.Syringe), float64(m.JugVolume()))
			}
		}
	})
}

func drawMix(t *rapid.T) BottleMix {
	return BottleMix{
		Strength:     unit.Concentration(rapid.Float64Range(0.1, 200).Draw(t, "strength")),
		BottleVolume: unit.Volume(rapid.Float64Range(10, 2000).Draw(t, "bottle")),
		BottleCount:  unit.Count(rapid.IntRange(1, 20).Draw(t, "count")),
		Depth:        unit.Share(rapid.Float64Range(0.05, 3).Draw(t, "depth")),
	}
}

func TestClasses(t *testing.T) {
	for _, i := range Classes() {
		if got, err := ParseClass(string(i.Class)); err != nil || got != i.Class || i.Class.Info() != i {
			t.Errorf("%s: read as %s (%v)", i.Class, got, err)
		}
		if i.Words == "" || i.Advice == "" || i.Source.Text == "" {
			t.Errorf("%s lacks words or a source", i.Class)
		}
	}
	if got, err := ParseClass("acid"); err == nil || got != UnknownClass || !strings.Contains(err.Error(), "dichlorotriazine") {
		t.Errorf("acid: %s, %v", got, err)
	}
	if Class("acid").Info().Class != UnknownClass {
		t.Error("a class that is not listed is not unknown")
	}
}
