package alkali

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/reftest"
	"coldbatch/internal/unit"
)

// near says whether two figures differ by at most tol; NaN never passes.
func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol }

// The pH of fresh baths against the program of the U.S. Geological Survey. The
// database phreeqc.dat is the reference; pitzer.dat, an entirely
// different activity model, must be close too.
func TestPHAgainstPHREEQC(t *testing.T) {
	worst := 0.0
	for _, row := range reftest.Load(t, "ph-soda-ash.tsv") {
		c, warm, want := row.Number(t, "grams_per_litre"), row.Number(t, "celsius"), row.Number(t, "ph")
		got, extrapolated := PH(unit.Concentration(c), unit.Temperature(warm), 0)
		tol := 0.05
		if c > 50 {
			tol = 0.1
		}
		if !near(float64(got), want, tol) || extrapolated {
			t.Errorf("%s: %g g/L at %g °C: pH %.3f, want %.3f ± %.2f", row["database"], c, warm, got, want, tol)
		}
		if row["database"] == "phreeqc.dat" {
			worst = max(worst, math.Abs(float64(got)-want))
		}
	}
	if worst > 0.015 {
		t.Errorf("worst difference from phreeqc.dat is %.3f; it was 0.013 when the model was chosen", worst)
	}
}

// What the acid that dye sets free does to a bath.
func TestAlkaliReserve(t *testing.T) {
	for _, row := range reftest.Load(t, "alkali-reserve.tsv") {
		c, f, want := row.Number(t, "grams_per_litre"), row.Number(t, "acid"), row.Number(t, "ph")
		got, extrapolated := PH(unit.Concentration(c), 21, unit.Share(f))
		if !near(float64(got), want, 0.05) || extrapolated {
			t.Errorf("%g g/L, acid %g: pH %.3f, want %.2f ± 0.05", c, f, got, want)
		}
	}
}

// A buffer of known pH from 0 to 40 °C checks how the model moves with
// temperature, apart from PHREEQC.
func TestCarbonateBuffer(t *testing.T) {
	for _, row := range reftest.Load(t, "carbonate-buffer.tsv") {
		warm, want := row.Number(t, "celsius"), row.Number(t, "ph")
		got := solvePH(0.075, 0.05, 0, unit.Temperature(warm))
		if !near(float64(got), want, 0.015) {
			t.Errorf("%g °C: pH %.3f, want %.3f ± 0.015", warm, got, want)
		}
	}
}

func TestDissociation(t *testing.T) {
	for _, row := range reftest.Load(t, "dissociation.tsv") {
		c := unit.Temperature(row.Number(t, "celsius"))
		for column, got := range map[string]float64{"pk1": -logK1.valueAt(c), "pk2": -logK2.valueAt(c), "pkw": -logKw.valueAt(c)} {
			if want := row.Number(t, column); !near(got, want, 0.0006) {
				t.Errorf("%s at %g °C: %.4f, want %.3f", column, float64(c), got, want)
			}
		}
	}
}

// Why activities are needed, and why not those of Davies: the comment in
// activity.go says so, and this holds it to that.
func TestOtherActivityModelsFail(t *testing.T) {
	for _, row := range reftest.Load(t, "activity-models.tsv") {
		c := row.Number(t, "grams_per_litre")
		got, _ := PH(unit.Concentration(c), 25, 0)
		if ideal := row.Number(t, "ideal"); ideal-float64(got) < 0.2 {
			t.Errorf("%g g/L: ideal %.3f is near %.3f", c, ideal, got)
		}
		if davies := row.Number(t, "davies"); c >= 50 && davies-float64(got) < 0.25 {
			t.Errorf("%g g/L: Davies %.3f is near %.3f", c, davies, got)
		}
	}
}

func TestDebyeHuckel(t *testing.T) {
	// R. A. Robinson and R. H. Stokes, Electrolyte Solutions, 1959, appendix
	// 7.1, molal scale, from memory: 0.4918, 0.5115, 0.5373 at 0, 25, 50 °C for
	// A; PHREEQC's own are 0.4 % lower. B 0.3286 at 25 °C.
	for _, row := range []struct{ celsius, a float64 }{{0, 0.4918}, {25, 0.5115}, {50, 0.5373}} {
		a, _ := debyeHuckel(unit.Temperature(row.celsius))
		if !near(a/row.a, 1, 0.01) {
			t.Errorf("A at %g °C is %.4f, want %.4f within 1 %%", row.celsius, a, row.a)
		}
	}
	if _, b := debyeHuckel(25); !near(b, 0.3286, 0.001) {
		t.Errorf("B at 25 °C is %.4f", b)
	}
}

func TestDensity(t *testing.T) {
	for _, row := range reftest.Load(t, "density-soda-ash.tsv") {
		want := row.Number(t, "density")
		c := row.Number(t, "percent") * 10 * want // % by mass to g/L
		if got := Density(unit.Concentration(c), 20); !near(got/want, 1, 0.001) {
			t.Errorf("%s %%: %.4f g/mL, want %.4f", row["percent"], got, want)
		}
	}
	// Water: CRC Handbook, from memory.
	for celsius, want := range map[float64]float64{0: 0.99984, 20: 0.99820, 40: 0.99222} {
		if got := Density(0, unit.Temperature(celsius)); !near(got, want, 0.0002) {
			t.Errorf("water at %g °C: %.5f g/mL, want %.5f", celsius, got, want)
		}
	}
}

func TestSolubility(t *testing.T) {
	for _, row := range reftest.Load(t, "solubility-soda-ash.tsv") {
		got, want := Solubility(unit.Temperature(row.Number(t, "celsius"))).Value, row.Number(t, "grams")
		tol := 0.005 // B is our table
		if row["table"] != "B" {
			tol = 0.05 // the others must agree as far as we claim
		}
		if !near(got/want, 1, tol) {
			t.Errorf("%s at %s °C: %.1f g, want %.1f", row["table"], row["celsius"], got, want)
		}
	}
	// A saturated bath must hold what its own solubility says.
	for _, warm := range []unit.Temperature{0, 5, 20, 30, 60} {
		c := float64(SolubilityLimit(warm))
		water := Density(unit.Concentration(c), warm)*1000 - c
		if got, want := c/water*100, Solubility(warm).Value; !near(got, want, 0.01) {
			t.Errorf("at %g °C the limit %.1f g/L is %.2f g per 100 g of water, want %.2f", float64(warm), c, got, want)
		}
	}
}

func TestSodaAshForms(t *testing.T) {
	const cup = 236.5882365 // NIST Handbook 44, Appendix C
	for _, row := range reftest.Load(t, "soda-ash-powder.tsv") {
		form, grade := Anhydrous, AnyGrade
		switch row["powder"] {
		case "anhydrous light":
			grade = LightGrade
		case "anhydrous dense":
			grade = DenseGrade
		default:
			form = Form(row["powder"])
		}
		if got, want := form.PerAnhydrous().Value, row.Number(t, "per_anhydrous"); !near(got, want, 0.0005) {
			t.Errorf("%s: %.4f g for one of anhydrous, want %.3f", form, got, want)
		}
		if grade == AnyGrade {
			continue
		}
		_, low, high := grade.MassOf(cup)
		if !near(float64(low), row.Number(t, "cup_low"), 0.5) || !near(float64(high), row.Number(t, "cup_high"), 0.5) {
			t.Errorf("a cup of %s ash is %.0f–%.0f g", grade, low, high)
		}
	}
	// A cup is a cup again, and the range goes the other way round.
	for _, grade := range []PowderGrade{AnyGrade, LightGrade, DenseGrade} {
		m, low, high := grade.MassOf(cup)
		if v, least, most := grade.VolumeOf(m); !near(float64(v), cup, 1e-9) || !(least <= v && v <= most) {
			t.Errorf("%.0f g of %s ash are %.0f mL (%.0f–%.0f)", m, grade, v, least, most)
		}
		_, least, _ := grade.VolumeOf(high)
		_, _, most := grade.VolumeOf(low)
		if !near(float64(least), cup, 1e-9) || !near(float64(most), cup, 1e-9) {
			t.Errorf("the ends of a cup of %s ash are %.3f and %.3f mL", grade, least, most)
		}
	}
	// Of a grade that nobody knows the range spans both.
	_, low, high := AnyGrade.MassOf(cup)
	if low > 136 || high < 247 {
		t.Errorf("a cup of any ash is %.0f–%.0f g", low, high)
	}
}

// The bounds of the checked range, at the bound and just outside.
func TestExtrapolated(t *testing.T) {
	for _, row := range []struct {
		c, warm, acid float64
		want          bool
	}{
		{5, 25, 0, false}, {4.99, 25, 0, true},
		{100, 25, 0, false}, {100.1, 25, 0, true},
		{50, 5, 0, false}, {50, 4.9, 0, true},
		{50, 45, 0, false}, {50, 45.1, 0, true},
		{50, 25, 1, false}, {50, 25, 1.01, true},
	} {
		if _, got := PH(unit.Concentration(row.c), unit.Temperature(row.warm), unit.Share(row.acid)); got != row.want {
			t.Errorf("%g g/L, %g °C, acid %g: extrapolated %v", row.c, row.warm, row.acid, got)
		}
	}
}

// Nothing typed, however absurd, makes a NaN or leaves the scale.
func TestPHIsAlwaysANumber(t *testing.T) {
	odd := []float64{math.Inf(-1), -1e9, -1, 0, 1e-9, 25, 1e9, math.Inf(1), math.NaN()}
	for _, c := range odd {
		for _, warm := range odd {
			for _, acid := range odd {
				ph, _ := PH(unit.Concentration(c), unit.Temperature(warm), unit.Share(acid))
				if !(ph >= 0 && ph <= 15) || !(OHActivity(ph, unit.Temperature(warm)) >= 0) {
					t.Fatalf("%g g/L, %g °C, acid %g: pH %g", c, warm, acid, float64(ph))
				}
			}
		}
		if v := SolubilityLimit(unit.Temperature(c)); !(v > 0 && v < 500) {
			t.Errorf("limit at %g °C is %g", c, float64(v))
		}
	}
}

// More soda ash never makes a bath less alkaline; acid and warmth never more.
func TestPHMoves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64Range(1, 200).Draw(t, "c")
		warm := rapid.Float64Range(0, 60).Draw(t, "warm")
		acid := rapid.Float64Range(0, 1).Draw(t, "acid")
		at := func(c, warm, acid float64) float64 {
			ph, _ := PH(unit.Concentration(c), unit.Temperature(warm), unit.Share(acid))
			return float64(ph)
		}
		const slack = 1e-6
		ph := at(c, warm, acid)
		if less, more := at(c, warm, 0), at(c*1.1, warm, 0); more < less-slack {
			t.Fatalf("more soda ash: %g to %g", less, more)
		}
		if at(c, warm, acid+0.05) > ph+slack {
			t.Fatalf("more acid: %g to %g", ph, at(c, warm, acid+0.05))
		}
		if at(c, warm+1, acid) > ph+slack {
			t.Fatalf("warmer: %g to %g", ph, at(c, warm+1, acid))
		}
	})
}

// Weighed and Pure are inverse for every form.
func TestForms(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.SampledFrom(Forms()).Draw(t, "form")
		m := rapid.Float64Range(0.001, 1e6).Draw(t, "m")
		if got := f.AnhydrousIn(f.MassFor(unit.Mass(m))); !near(float64(got)/m, 1, 1e-12) {
			t.Fatalf("%g g of %s comes back as %g", m, f, got)
		}
		if f.MassFor(unit.Mass(m)) < unit.Mass(m) {
			t.Fatalf("%s weighs less than anhydrous", f)
		}
	})
}

// Spent is the inverse of PH.
func TestSpent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := unit.Concentration(rapid.Float64Range(1, 300).Draw(t, "c"))
		warm := unit.Temperature(rapid.Float64Range(0, 60).Draw(t, "warm"))
		acid := rapid.Float64Range(0, 1.4).Draw(t, "acid")
		ph, _ := PH(c, warm, unit.Share(acid))
		if got := SpentShare(c, warm, ph); !near(float64(got), acid, 1e-5) {
			t.Fatalf("%g spent of %g g/L at %g °C is pH %g, and that %g", acid, float64(c), float64(warm), float64(ph), float64(got))
		}
	})
	for _, odd := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, 0} {
		for _, ph := range []float64{math.NaN(), math.Inf(1), -3, 0, 14} {
			if got := SpentShare(unit.Concentration(odd), unit.Temperature(odd), unit.PH(ph)); !(got >= 0 && got <= 1.5) {
				t.Errorf("%g g/L at pH %g: %g", odd, ph, float64(got))
			}
		}
	}
}
