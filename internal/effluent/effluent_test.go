package effluent

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/alkali"
	"coldbatch/internal/reftest"
	"coldbatch/internal/unit"
)

func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol }

// The acid that PHREEQC was given brings the bath to the pH that PHREEQC found: to
// within the error of the model, which a twentieth of the soda ash covers.
func TestAcid(t *testing.T) {
	for _, row := range reftest.Load(t, "alkali-reserve.tsv") {
		f, c := row.Number(t, "acid"), row.Number(t, "grams_per_litre")
		if f < 0.1 {
			continue
		}
		b := Bath{Volume: 1000, Soda: unit.Concentration(c), Temperature: 21}
		want := f * c / 105.988
		if got := b.AcidTo(unit.PH(row.Number(t, "ph"))); !near(got, want, 0.05*c/105.988) {
			t.Errorf("%g g/L to pH %s: %.4f mol, PHREEQC had %.4f", c, row["ph"], got, want)
		}
	}
}

// By hand: 0.6 mol of acid are 0.2 mol of citric acid, 42.03 g, or 36.03 g of
// acetic acid, 721 mL at 50 g/L.
func TestAmounts(t *testing.T) {
	if got := CitricAcidMass(0.6); !near(float64(got), 42.0276, 1e-4) {
		t.Errorf("%g g of citric acid", float64(got))
	}
	v, low, high := VinegarVolume(0.6)
	if !near(float64(v), 720.624, 1e-3) || !near(float64(low), 600.52, 1e-2) || !near(float64(high), 900.78, 1e-2) {
		t.Errorf("%g (%g–%g) mL of vinegar", float64(v), float64(low), float64(high))
	}
}

// By hand: 1 L of 50 g/L in 10 L is 5 g/L; 9 L of 120 mg/L bring 9 × 2.398 mmol.
func TestThinned(t *testing.T) {
	b := Bath{Volume: 1000, Soda: 50, Temperature: 21}.Diluted(9000, 120)
	if !near(float64(b.Soda), 5, 1e-9) || !near(b.Bicarbonate, 0.9*0.12*2/100.087, 1e-9) || b.Volume != 10_000 {
		t.Errorf("%+v", b)
	}
	soft := Bath{Volume: 1000, Soda: 50, Temperature: 21}.Diluted(9000, 0)
	ph, _ := soft.PH()
	if want, _ := alkali.PH(5, 21, 0); ph != want {
		t.Errorf("with soft water pH %g, want %g", float64(ph), float64(want))
	}
}

// More water, or harder water above pH 9, never raises the pH, nor the acid that is needed, the
// soda ash stays, and a limit above the pH needs no acid.
func TestThinning(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := Bath{Volume: unit.Volume(rapid.Float64Range(100, 1e5).Draw(t, "volume")), Soda: unit.Concentration(rapid.Float64Range(1, 100).Draw(t, "soda")), Temperature: 21}
		water := unit.Volume(rapid.Float64Range(0, 1e6).Draw(t, "water"))
		h := unit.Hardness(rapid.Float64Range(0, 400).Draw(t, "hardness"))
		one, more := b.Diluted(water, h), b.Diluted(water*2+10, h)
		p, _ := one.PH()
		q, _ := more.PH()
		if q > p+1e-6 {
			t.Fatalf("more water raises pH %g to %g", float64(p), float64(q))
		}
		if harder, _ := b.Diluted(water, h+50).PH(); p > 9 && harder > p+1e-6 {
			t.Fatalf("harder water raises pH %g to %g", float64(p), float64(harder))
		}
		if was, is := b.Soda.MassIn(b.Volume), one.Soda.MassIn(one.Volume); !near(float64(was), float64(is), 1e-9*float64(was)) {
			t.Fatalf("%g g became %g g", float64(was), float64(is))
		}
		if acid := one.AcidTo(p + 0.01); acid > 1e-6*float64(b.Volume) {
			t.Fatalf("%g mol for a limit above the pH", acid)
		}
		if low, high := one.AcidTo(9), one.AcidTo(10); low < high {
			t.Fatalf("pH 9 takes %g mol, pH 10 %g", low, high)
		}
	})
}
