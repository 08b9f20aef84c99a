package liquor

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

func TestParseParts(t *testing.T) {
	parts, err := ParseParts(" rust : 2 at 25 g/L; black:1@40 g/L ;cream: 1 at 2 %;white:0.5 ")
	if err != nil || len(parts) != 4 {
		t.Fatal(parts, err)
	}
	for i, want := range []MixturePart{
		{Name: "rust", Share: 2 / 4.5, Strength: 25, Typed: "25 g/L"}, {Name: "black", Share: 1 / 4.5, Strength: 40, Typed: "40 g/L"},
		{Name: "cream", Share: 1 / 4.5, Depth: 0.02, Typed: "2 %"}, {Name: "white", Share: 0.5 / 4.5},
	} {
		if parts[i] != want {
			t.Errorf("%+v, want %+v", parts[i], want)
		}
	}
	for typed, says := range map[string]string{
		"": "no colour", "rust:2": "one colour", "rust;black:1": "rust", "rust:2 at;black:1": "2 at", "rust:2 at 5 bananas;black:1": "5 bananas",
		"rust:2 at 0 g/L;black:1": "no strength", "rust:2;RUST:1": "twice", "rust:2 at 25 g/L at 3;black:1": "25 g/L at 3",
	} {
		if _, err := ParseParts(typed); !fault.Is(err, fault.Input) || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want %q", typed, err, says)
		}
	}
}

// By hand: 2 parts of 25 g/L and 1 of 40 g/L in 240 mL are 160 mL × 25 g/L = 4 g
// and 80 mL × 40 g/L = 3.2 g.
func TestPowders(t *testing.T) {
	parts := []MixturePart{{Share: 2. / 3, Strength: 25}, {Share: 1. / 3, Strength: 40}}
	for _, row := range []struct {
		why   string
		by    PartsMeasure
		depth unit.Share
		want  [2]float64
	}{
		{"parts of dye", ByLiquor, 1, [2]float64{4, 3.2}},
		{"at half depth", ByLiquor, 0.5, [2]float64{2, 1.6}},
		{"parts of powder: 30 g/L of it all, in 240 mL 7.2 g", ByPowder, 1, [2]float64{4.8, 2.4}},
	} {
		got := Powders(parts, row.by, 30, 240, row.depth)
		if !isNearly(float64(got[0]), row.want[0]) || !isNearly(float64(got[1]), row.want[1]) {
			t.Errorf("%s: %v, want %v", row.why, got, row.want)
		}
	}
}

// Mixed from jugs of each colour at its own strength, or weighed at once: the same
// powder. And colours of one strength mix to that strength, in any parts.
func TestMixedAsLiquor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 6).Draw(t, "n")
		var parts []MixturePart
		sum := unit.Share(0)
		for range n {
			p := MixturePart{Share: unit.Share(rapid.Float64Range(0.1, 5).Draw(t, "parts")), Strength: unit.Concentration(rapid.Float64Range(1, 80).Draw(t, "strength"))}
			sum += p.Share
			parts = append(parts, p)
		}
		v := unit.Volume(rapid.Float64Range(10, 5000).Draw(t, "volume"))
		poured, total := 0.0, 0.0
		for i := range parts {
			parts[i].Share /= sum
			poured += float64(parts[i].Strength.MassIn(v * unit.Volume(parts[i].Share)))
		}
		for _, m := range Powders(parts, ByLiquor, 0, v, 1) {
			total += float64(m)
		}
		if !isNearly(total, poured) {
			t.Fatalf("%g g weighed, %g g poured", total, poured)
		}
		for i := range parts {
			parts[i].Strength = 25
		}
		total = 0
		for _, m := range Powders(parts, ByLiquor, 0, v, 1) {
			total += float64(m)
		}
		if !isNearly(total, float64(unit.Concentration(25).MassIn(v))) {
			t.Fatalf("%g g at 25 g/L in %g mL", total, float64(v))
		}
	})
}
