package recipe

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

func TestParse(t *testing.T) {
	for typed, want := range map[string]RecipeItem{
		"rust 5 g":              {"rust", unit.KindMass, 5},
		"rust: 5 g":             {"rust", unit.KindMass, 5},
		"soda ash 50 g/L":       {"soda ash", unit.KindConcentration, 50},
		"soda 7.5 g per 250 mL": {"soda", unit.KindConcentration, 30},
		"bath 40 °C":            {"bath", unit.KindTemperature, 40},
		"stir 1 h 30 min":       {"stir", unit.KindDuration, 5400},
		"bottles 4":             {"bottles", unit.KindCount, 4},
		"rust 2 1 1/2 cups":     {"rust 2", unit.KindVolume, 354.88235475},
		"depth 2 %":             {"depth", unit.KindShare, 0.02},
		"bath pH 11.4":          {"bath", unit.KindPH, 11.4},
		"red no 2 5 g":          {"red no 2", unit.KindMass, 5},
	} {
		got, err := Parse(typed)
		if err != nil || len(got) != 1 || got[0].Name != want.Name || got[0].Kind != want.Kind || math.Abs(got[0].Amount-want.Amount) > 1e-9 {
			t.Errorf("%q: %+v, %v; want %+v", typed, got, err, want)
		}
	}
	for typed, says := range map[string]string{
		"": "nothing", ";;": "nothing", "rust": "rust", "5 g": "5 g", "rust 5": "", "rust 5 bananas": "bananas",
		"rust 5 g; Rust 3 g": "twice", "rust 0.5": "0.5", strings.Repeat("x", 41) + " 5 g": "longer", strings.Repeat("a 5 g;", 2): "twice",
	} {
		_, err := Parse(typed)
		if typed == "rust 5" { // five of them
			if err != nil {
				t.Errorf("%q: %v", typed, err)
			}
			continue
		}
		if !fault.Is(err, fault.Input) || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want %q", typed, err, says)
		}
	}
}

// What is mixed twice as large has the same strengths; there and back is where it
// began; what does not scale stays.
func TestScaled(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.Float64Range(0.001, 1000).Draw(t, "factor")
		powder := RecipeItem{"rust", unit.KindMass, rapid.Float64Range(0.1, 1000).Draw(t, "powder")}
		water := RecipeItem{"water", unit.KindVolume, rapid.Float64Range(10, 1e5).Draw(t, "water")}
		before := unit.GramsPerLitre(unit.Mass(powder.Amount), unit.Volume(water.Amount))
		after := unit.GramsPerLitre(unit.Mass(powder.Scaled(k).Amount), unit.Volume(water.Scaled(k).Amount))
		if math.Abs(float64(after/before)-1) > 1e-12 {
			t.Fatalf("%g g/L became %g g/L", float64(before), float64(after))
		}
		if back := powder.Scaled(k).Scaled(1 / k).Amount; math.Abs(back/powder.Amount-1) > 1e-12 {
			t.Fatalf("%g came back as %g", powder.Amount, back)
		}
		for _, kind := range []unit.Kind{unit.KindTemperature, unit.KindDuration, unit.KindConcentration, unit.KindShare, unit.KindPH} {
			if i := (RecipeItem{"x", kind, powder.Amount}); i.Scaled(k) != i {
				t.Fatalf("%s scales", kind)
			}
		}
	})
}

// FuzzParse reads, writes and reads again.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"rust 5 g; soda ash 50 g/L; water 1 L; bath 40 °C", "a 1 1/2 tsp", "b: 2,5 kg", "c 1 lb 4 oz", "x", ":", "a : b 5 g"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		items, err := Parse(typed)
		if err != nil {
			if fault.AsFault(err).Code != fault.Input {
				t.Fatal(err)
			}
			return
		}
		for _, i := range items {
			if math.IsNaN(i.Amount) || math.IsInf(i.Amount, 0) || i.Name == "" {
				t.Fatalf("%q: %+v", typed, i)
			}
		}
	})
}
