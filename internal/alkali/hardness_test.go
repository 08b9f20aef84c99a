package alkali

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/reftest"
	"coldbatch/internal/unit"
)

func TestWaterOf(t *testing.T) {
	for _, row := range reftest.Load(t, "hardness-classes.tsv") {
		for _, end := range []string{"from", "to"} {
			if row[end] == "-" {
				continue
			}
			if got := ClassifyWater(unit.Hardness(row.Number(t, end))); string(got) != row["class"] {
				t.Errorf("%s mg/L is %s, want %s", row[end], got, row["class"])
			}
		}
	}
}

// 100 mg/L of hardness in a litre: 0.2 g of softener at least, and 0.106 g of
// soda ash lost; in 10 L ten times that.
func TestHardnessWorked(t *testing.T) {
	middle, low, high := SoftenerMass(100, 1000)
	if math.Abs(float64(low)-2*0.204) > 0.001 || math.Abs(float64(high)-3*0.204) > 0.001 || middle != (low+high)/2 {
		t.Errorf("softener %.4f g (%.4f to %.4f)", float64(middle), float64(low), float64(high))
	}
	if got := float64(SodaLost(100, 10000)); math.Abs(got-1.06) > 0.002 {
		t.Errorf("soda ash lost: %.4f g, want 1.06", got)
	}
	if m, l, h := SoftenerMass(60, 1000); m != 0 || l != 0 || h != 0 {
		t.Error("soft water needs no softener")
	}
}

func TestHardnessProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := unit.Hardness(rapid.Float64Range(0, 1000).Draw(t, "hardness"))
		v := unit.Volume(rapid.Float64Range(1, 1e6).Draw(t, "volume"))
		k := rapid.Float64Range(1, 10).Draw(t, "k")
		middle, low, high := SoftenerMass(h, v)
		if !(low >= 0 && low <= middle && middle <= high) {
			t.Fatalf("softener %g (%g to %g)", float64(middle), float64(low), float64(high))
		}
		if many, _, _ := SoftenerMass(h, v*unit.Volume(k)); math.Abs(float64(many)-k*float64(middle)) > 1e-9*float64(many) {
			t.Fatalf("%g times the water takes %g g for %g", k, float64(many), float64(middle))
		}
		if harder, _, _ := SoftenerMass(h*unit.Hardness(k), v); harder < middle || SodaLost(h*unit.Hardness(k), v) < SodaLost(h, v) {
			t.Fatal("harder water takes less")
		}
	})
}
