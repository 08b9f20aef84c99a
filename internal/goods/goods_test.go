package goods

import (
	"math"
	"testing"

	"coldbatch/internal/provenance"
	"coldbatch/internal/reftest"
)

// The codes stand in printed labels: this list may grow, never change.
func TestCodesAreForever(t *testing.T) {
	want := []Kind{"tee-s", "tee-m", "tee-l", "tee-xl", "tee-child", "pillowcase", "apron", "tea-towel",
		"napkin", "bandana", "socks", "scarf", "tote", "bodysuit", "cloth-metre", "other"}
	all := Kinds()
	if len(all) != len(want) {
		t.Fatalf("%d kinds, want %d", len(all), len(want))
	}
	for code, k := range want {
		i := all[code]
		if i.Kind != k || int(i.Code) != code || KindOf(uint8(code)) != k || k.Info() != i {
			t.Errorf("code %d is %s (%d), want %s", code, i.Kind, i.Code, k)
		}
	}
	for _, code := range []uint8{15, 16, 255} {
		if KindOf(code) != Other {
			t.Errorf("code %d is %s, want other", code, KindOf(code))
		}
	}
}

func TestKinds(t *testing.T) {
	for _, i := range Kinds() {
		if i.Words == "" || i.Plural == "" {
			t.Errorf("%s has no words", i.Kind)
		}
		if i.Kind == Other {
			if i.Kind.DryWeight() != 0 {
				t.Error("a weight is made up for a piece that nobody knows")
			}
			continue
		}
		for _, v := range []provenance.Value{i.Area, i.Density, i.Grams} {
			if !(v.Low > 0 && v.Low < v.Value && v.Value < v.High) || v.Unit == "" || v.Source.Text == "" {
				t.Errorf("%s: %+v", i.Kind, v)
			}
		}
		if math.Abs(i.Area.Value*i.Density.Value-i.Grams.Value) > 1e-9 {
			t.Errorf("%s: %g m² at %g g/m² is not %g g", i.Kind, i.Area.Value, i.Density.Value, i.Grams.Value)
		}
	}
}

// The worked examples lie within the range of the stand-in weight, or, for a
// cloth heavier or lighter than the range of the jersey, keep its area.
func TestTeeWeights(t *testing.T) {
	for _, row := range reftest.Load(t, "tee-weights.tsv") {
		i := Kind(row["kind"]).Info()
		if got, want := i.Area.Value, row.Number(t, "square_metres"); got != want {
			t.Errorf("%s: %g m², want %g", i.Kind, got, want)
		}
		density, grams := row.Number(t, "grams_per_square_metre"), row.Number(t, "grams")
		if math.Abs(i.Area.Value*density-grams) > 0.5 {
			t.Errorf("%s at %g g/m²: %g g, want %g", i.Kind, density, i.Area.Value*density, grams)
		}
		if density >= i.Density.Low && density <= i.Density.High && !(grams >= i.Grams.Low && grams <= i.Grams.High) {
			t.Errorf("%s: %g g is outside %g–%g", i.Kind, grams, i.Grams.Low, i.Grams.High)
		}
	}
}

func TestFibres(t *testing.T) {
	for _, i := range Fibres() {
		if i.Words == "" || i.Advice == "" || i.Source.Text == "" {
			t.Errorf("%s lacks words or a source", i.Fibre)
		}
		if got, ok := i.Fibre.Info(); !ok || got != i {
			t.Errorf("%s is not found", i.Fibre)
		}
	}
	for f, want := range map[Fibre]Affinity{Cotton: AffinityDyes, Viscose: AffinityDyes, Silk: AffinityNeedsOtherBath, Wool: AffinityNeedsOtherBath, Polyester: AffinityStaysWhite, Polyamide: AffinityStains} {
		if got, _ := f.Info(); got.Affinity != want {
			t.Errorf("%s %s, want %s", f, got.Affinity, want)
		}
	}
	if _, ok := Fibre("stone").Info(); ok {
		t.Error("stone is a fibre")
	}
}

func TestHolds(t *testing.T) {
	if got := LiquidHeld(1000, 1.1); got != 1100 {
		t.Errorf("1 kg at 110 %% holds %g mL", float64(got))
	}
	for _, v := range []provenance.Value{HeldAfterWringing, HeldAfterSpinning, HeldWhenFull, MinHeldAfterSpinning} {
		if !(v.Low <= v.Value && v.Value <= v.High) || v.Source.Text == "" {
			t.Errorf("%+v", v)
		}
	}
	if !(MinHeldAfterSpinning.Value < HeldAfterSpinning.Low && HeldAfterSpinning.High < HeldAfterWringing.Low && HeldAfterWringing.High < HeldWhenFull.Low) {
		t.Error("spun, wrung and full are not in order")
	}
}
