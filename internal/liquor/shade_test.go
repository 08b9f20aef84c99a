package liquor

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/reftest"
	"coldbatch/internal/unit"
)

// isNearly compares two figures to nine digits.
func isNearly(got, want float64) bool { return math.Abs(got-want) <= 1e-9*math.Abs(want) }

func TestShade(t *testing.T) {
	for _, row := range reftest.Load(t, "shade.tsv") {
		depth, pickUp := unit.Share(row.Number(t, "depth")/100), unit.Share(row.Number(t, "pick_up"))
		c, cloth, powder := unit.Concentration(row.Number(t, "strength")), unit.Mass(row.Number(t, "cloth")), unit.Mass(row.Number(t, "powder"))
		if got := StrengthForDepth(depth, pickUp); !isNearly(float64(got), float64(c)) {
			t.Errorf("%v: %g g/L", row, float64(got))
		}
		if got := DepthFromStrength(c, pickUp); !isNearly(float64(got), float64(depth)) {
			t.Errorf("%v: depth %g", row, float64(got))
		}
		if got := PowderForDepth(depth, cloth); !isNearly(float64(got), float64(powder)) {
			t.Errorf("%v: %g g of powder", row, float64(got))
		}
		if got := ClothForPowder(powder, depth); !isNearly(float64(got), float64(cloth)) {
			t.Errorf("%v: %g g of cloth", row, float64(got))
		}
	}
}

// The powder in the liquor that the cloth takes up is the powder on the cloth.
func TestPowderIsConserved(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		depth := unit.Share(rapid.Float64Range(1e-4, 0.5).Draw(t, "depth"))
		pickUp := unit.Share(rapid.Float64Range(0.2, 6).Draw(t, "pick-up"))
		cloth := unit.Mass(rapid.Float64Range(1, 1e6).Draw(t, "cloth"))
		taken := unit.Volume(float64(cloth) * float64(pickUp))
		if inLiquor, onCloth := StrengthForDepth(depth, pickUp).MassIn(taken), PowderForDepth(depth, cloth); !isNearly(float64(inLiquor), float64(onCloth)) {
			t.Fatalf("%g g in the liquor, %g g on the cloth", float64(inLiquor), float64(onCloth))
		}
	})
	if StrengthForDepth(0.02, 0) != 0 || ClothForPowder(5, 0) != 0 {
		t.Error("nothing taken up, or no depth, gives a figure")
	}
}

func TestBands(t *testing.T) {
	for depth, want := range map[unit.Share]DepthBand{0.0001: PaleBand, 0.005: PaleBand, 0.00501: MediumBand, 0.02: MediumBand, 0.0201: DeepBand, 0.04: DeepBand, 0.0401: VeryDeepBand, 1: VeryDeepBand} {
		if got := BandOf(depth); got != want {
			t.Errorf("%g: %s, want %s", float64(depth), got, want)
		}
	}
	if !(PickUpShare.Low > 0 && PickUpShare.Low < PickUpShare.Value && PickUpShare.Value < PickUpShare.High) {
		t.Errorf("%+v", PickUpShare)
	}
}
