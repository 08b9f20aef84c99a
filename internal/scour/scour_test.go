package scour

import (
	"testing"

	"coldbatch/internal/unit"
)

// By hand: 1 kg from a shop: 2 % is 20 g of soda ash, 1 % is 10 g of detergent, in
// 20 L.
func TestAmountsByHand(t *testing.T) {
	r := StateBought.Recipe()
	if m, low, high := MassByShare(1000, r.Soda); m != 20 || low != 20 || high != 40 {
		t.Errorf("%g (%g–%g) g of soda ash", float64(m), float64(low), float64(high))
	}
	if m, _, _ := MassByShare(1000, r.Detergent); m != 10 {
		t.Errorf("%g g of detergent", float64(m))
	}
	if got := WaterVolume(1000, unit.SpecificVolume(LiquorRatio.Value)); got != 20_000 {
		t.Errorf("%g mL of water", float64(got))
	}
}

// Dirtier cloth never gets less; each recipe is within the span that its source
// names and holds its own range.
func TestRecipes(t *testing.T) {
	last := Recipe{}
	for _, s := range ClothStates() {
		r := s.Recipe()
		if r.Soda.Value < last.Soda.Value || r.Detergent.Value < last.Detergent.Value || r.Time.Value < last.Time.Value || r.Temperature.Value < last.Temperature.Value {
			t.Errorf("%s is scoured less than cleaner cloth", s)
		}
		last = r
		if s != StatePrepared && (r.Soda.Low < 0.02 || r.Soda.High > 0.05 || r.Temperature.Low < 60 || r.Time.Low < 1800 || r.Time.High > 7200) {
			t.Errorf("%s is outside the span of its source: %+v", s, r)
		}
	}
	for _, v := range Values() {
		if v.Low > v.Value || v.High != 0 && v.High < v.Value || v.Source.Text == "" {
			t.Errorf("%+v", v)
		}
	}
	if ClothState("silk").Recipe() != (ClothState("silk")).Recipe() || ClothState("silk").Recipe().Soda.Value != StateBought.Recipe().Soda.Value {
		t.Error("a state that is not listed is not taken as bought")
	}
}
