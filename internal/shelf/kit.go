package shelf

import (
	"slices"

	"coldbatch/internal/journal"
)

// Kit is what the sums of a batch need from the shelf: the step of the scale, the bottles
// at hand, and the water. The zero Kit is a house of which nothing is known.
type Kit struct {
	ScaleStep float64       `json:"scaleStep,omitempty"` // g, of the finest scale; 0 is not known
	Bottles   []BottleStock `json:"bottles,omitempty"`   // the largest number first
	Hardness  float64       `json:"hardness,omitempty"`  // mg/L
	HasWater  bool          `json:"hasWater,omitempty"`  // the hardness is known
	// By the dyer's own results; a value of 0 is the usual one.
	PickUp    journal.OwnFigure `json:"pickUp,omitzero"` // what full cloth holds, of its dry weight
	Cure      journal.OwnFigure `json:"cure,omitzero"`   // how much of the usual time is enough
	FactCount int               `json:"facts,omitempty"` // of the shelf: it rises with each change of these
}

// BottleStock is bottles of one size.
type BottleStock struct {
	Holds float64 `json:"holds"` // mL
	Count int     `json:"count"`
}

// findKit finds what the sums depend on. Bottles are counted as the shelf has them, since no
// batch uses one up.
func (s State) findKit() Kit {
	k := Kit{Hardness: s.Sums.Hardness, HasWater: s.Sums.HasHardness, PickUp: s.Sums.PickUp, Cure: s.Sums.Cure, FactCount: s.FactCount}
	for _, it := range s.Items {
		if it.IsGone {
			continue
		}
		if it.StockType == "scale" && it.ScaleStep != nil && (k.ScaleStep == 0 || *it.ScaleStep < k.ScaleStep) {
			k.ScaleStep = *it.ScaleStep
		}
		if it.StockType == "bottle" && it.CapacityML != nil {
			k.Bottles = append(k.Bottles, BottleStock{*it.CapacityML, max(0, int(it.level().Amount))})
		}
	}
	slices.SortStableFunc(k.Bottles, func(a, b BottleStock) int { return b.Count - a.Count })
	return k
}
