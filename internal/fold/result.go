package fold

import (
	"math"

	"coldbatch/internal/calibration"
)

// ObservedResult describes how a real piece came out: its fold, and how much of it stayed white. Effect is
// what Map.Effect returned for it. Such results correct the model.
type ObservedResult struct {
	Fold   Kind    `json:"fold"`
	White  float64 `json:"white"` // share of the cloth, 0 to 1, as the dyer saw it
	Effect float64 `json:"effect"`
}

// Effect returns how far the dye went as against the model: 1 as it says, 0.8 as if there
// were a fifth less of it. white is the share of the cloth that stayed white. Where the
// model sees no white either it says nothing, and is 1.
func (m *Map) Effect(d *DyeApplication, white float64) (float64, error) {
	whiteAt := func(effect float64) (float64, error) {
		c, err := m.ApplyDye(d.Scaled(effect))
		if err != nil {
			return 0, err
		}
		return c.WhiteShare(), nil
	}
	asPlanned, err := whiteAt(1)
	if err != nil || math.Abs(asPlanned-white) < 0.01 {
		return 1, err
	}
	low, high := calibration.MinEffect, calibration.MaxEffect
	for range 7 { // to a hundredth
		mid := (low + high) / 2
		w, err := whiteAt(mid)
		if err != nil {
			return 0, err
		}
		if w > white {
			low = mid
		} else {
			high = mid
		}
	}
	return math.Round((low+high)/2*100) / 100, nil
}

// EffectFromResults returns what to multiply the dye by for the next guess for a fold, and the number of
// results it rests on: the geometric mean of their effects, with one more result of 1
// added, so that one odd piece does not overturn the guess.
func EffectFromResults(fold Kind, results []ObservedResult) (effect float64, count int) {
	var effects []float64
	for _, r := range results {
		if r.Fold == fold {
			effects = append(effects, r.Effect)
		}
	}
	f := calibration.MeanFactor(calibration.MinEffect, calibration.MaxEffect, effects)
	return f.Value, f.Results
}
