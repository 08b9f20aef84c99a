package liquor

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/unit"
)

// The rule is common practice and judgement, no source.
func TestUrea(t *testing.T) {
	for _, row := range []struct {
		why      string
		strength unit.Concentration
		dry      bool
		want     unit.Mass
	}{
		{"bagged wet", 20, false, 0},
		{"bagged wet, the last strength without", 40, false, 0},
		{"the same, typed as 10 g per 250 mL in another way", unit.GramsPerLitre(9.463529460, 236.5882365), false, 0},
		{"just stronger", 40.01, false, 50},
		{"dry air", 20, true, 50},
		{"both: not twice", 80, true, 50},
	} {
		if got := UreaMass(1000, row.strength, row.dry); math.Abs(float64(got-row.want)) > 1e-9 {
			t.Errorf("%s: %g g, want %g", row.why, float64(got), float64(row.want))
		}
	}
}

func TestAuxiliariesScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(1, 1e6).Draw(t, "volume")
		k := rapid.Float64Range(0, 10).Draw(t, "k")
		c := unit.Concentration(rapid.Float64Range(0, 200).Draw(t, "strength"))
		dry := rapid.Bool().Draw(t, "dry")
		one, many := UreaMass(unit.Volume(v), c, dry), UreaMass(unit.Volume(k*v), c, dry)
		if math.Abs(float64(many)-k*float64(one)) > 1e-9*(1+float64(many)) {
			t.Fatalf("%g times the liquor takes %g g of urea for %g", k, float64(many), float64(one))
		}
		last := unit.Mass(0)
		for _, u := range ThickenerUses() {
			middle, low, high := AlginateMass(unit.Volume(v), u)
			if !(low <= middle && middle <= high && low >= last) {
				t.Fatalf("%s: %g g (%g to %g) after %g", u, float64(middle), float64(low), float64(high), float64(last))
			}
			last = high
			if many, _, _ := AlginateMass(unit.Volume(k*v), u); math.Abs(float64(many)-k*float64(middle)) > 1e-9*(1+float64(many)) {
				t.Fatalf("%g times the liquor takes %g g for %g", k, float64(many), float64(middle))
			}
		}
	})
}
