package immersion

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/dye"
	"coldbatch/internal/reftest"
	"coldbatch/internal/unit"
)

func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol }

func TestSaltAndSoda(t *testing.T) {
	for _, row := range reftest.Load(t, "immersion.tsv") {
		depth := unit.Share(row.Number(t, "depth") / 100)
		if got, want := SaltStrength(depth).Value, row.Number(t, "salt"); !near(got, want, 1e-9) {
			t.Errorf("%v: salt %g", row, got)
		}
		if got, want := SodaStrength(dye.Monochlorotriazine, depth).Value, row.Number(t, "soda_ash"); !near(got, want, 1e-9) {
			t.Errorf("%v: soda ash %g", row, got)
		}
	}
	if got := SaltStrength(0.01).Value; !near(got, 35, 1e-9) {
		t.Errorf("half-way from 20 to 50: %g", got)
	}
}

// A worked example in print (textilecalculation.blogspot.com, dyeing calculation in
// lab dip, 2015): 5 g of cloth at 1 : 10 are 50 mL; 1.5 % is 0.075 g of dye; 40 g/L
// is 2 g of salt and 10 g/L is 0.5 g of soda ash.
func TestLabDip(t *testing.T) {
	b := Bath{Cloth: 5, Depth: 0.015, LiquorRatio: 10}
	if b.Water() != 50 || !near(float64(b.Powder()), 0.075, 1e-12) {
		t.Errorf("%g mL, %g g", float64(b.Water()), float64(b.Powder()))
	}
	for strength, want := range map[float64]float64{40: 2, 10: 0.5} {
		v := coldSodaStrength
		v.Value = strength
		if got, _, _ := b.MassInBath(v); !near(float64(got), want, 1e-12) {
			t.Errorf("%g g/L: %g g, want %g", strength, float64(got), want)
		}
	}
}

// Deeper never takes less salt or soda ash, nothing jumps, and a hotter class is
// never given less heat.
func TestDeeperTakesMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := unit.Share(rapid.Float64Range(0, 0.2).Draw(t, "depth"))
		step := SaltStrength(d+1e-4).Value - SaltStrength(d).Value
		if step < 0 || step > 0.5 || SodaStrength(dye.VinylSulfone, d+1e-4).Value < SodaStrength(dye.VinylSulfone, d).Value {
			t.Fatalf("at %g salt changes by %g", float64(d), step)
		}
	})
	last := 0.0
	for _, c := range []dye.Class{dye.Dichlorotriazine, dye.VinylSulfone, dye.Monochlorotriazine} {
		v, ok := BathTemperature(c)
		if !ok || v.Value <= last || v.Low > v.Value || v.High < v.Value {
			t.Errorf("%s: %+v", c, v)
		}
		last = v.Value
	}
	if _, ok := BathTemperature(dye.UnknownClass); ok {
		t.Error("a class that is not known has a temperature")
	}
	for _, v := range Values() {
		if v.Low > v.Value || v.High != 0 && v.High < v.Value || v.Source.Text == "" {
			t.Errorf("%+v", v)
		}
	}
}
