package rinse

import (
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/unit"
)

// The published stages less two cold ones: three at 2 %, four at 5 %.
func TestHotBaths(t *testing.T) {
	for depth, want := range map[unit.Share]float64{0.001: 2, 0.005: 2, 0.0051: 3, 0.02: 3, 0.0201: 4, 0.05: 4, 0.4: 4} {
		if got := HotBaths(depth); got.Value != want || got.Low >= got.Value || got.High <= got.Value {
			t.Errorf("%g: %+v, want %g", float64(depth), got, want)
		}
	}
}

// By hand: 2.5 kg at 20 L/kg are 50 L a bath; 1 g/L of detergent in one is 50 g; a
// machine for 5 kg is filled with 2.5 kg.
func TestLoad(t *testing.T) {
	l := HotWash{Cloth: 2500, Depth: 0.02, LiquorRatio: 20}
	if l.BathVolume() != 50_000 || l.TotalWater(3) != 150_000 {
		t.Errorf("%g mL a bath, %g mL in all", float64(l.BathVolume()), float64(l.TotalWater(3)))
	}
	if m, low, high := l.DetergentMass(); m != 50 || low != 25 || high != 100 {
		t.Errorf("%g (%g–%g) g of detergent", float64(m), float64(low), float64(high))
	}
	for rated, want := range map[unit.Mass]unit.Count{5000: 1, 4999: 2, 2500: 2, 1e6: 1, 0: 0} {
		if got := l.MachineLoads(rated); got != want {
			t.Errorf("a machine for %g g: %g loads, want %g", float64(rated), float64(got), float64(want))
		}
	}
}

// Deeper never takes fewer baths; twice the cloth takes twice of everything.
func TestWashScales(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		depth := unit.Share(rapid.Float64Range(0, 0.5).Draw(t, "depth"))
		if HotBaths(depth*1.5).Value < HotBaths(depth).Value {
			t.Fatalf("%g takes more baths than deeper", float64(depth))
		}
		one := HotWash{Cloth: unit.Mass(rapid.Float64Range(1, 1e5).Draw(t, "cloth")), LiquorRatio: unit.SpecificVolume(rapid.Float64Range(3, 50).Draw(t, "ratio"))}
		two := one
		two.Cloth *= 2
		a, _, _ := one.DetergentMass()
		b, _, _ := two.DetergentMass()
		if two.BathVolume() != 2*one.BathVolume() || !near(float64(b), 2*float64(a), 1e-9*float64(a)) {
			t.Fatalf("%+v does not scale", one)
		}
	})
}
