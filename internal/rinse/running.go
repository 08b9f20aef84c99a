package rinse

import (
	"math"

	"coldbatch/internal/unit"
)

// RunningRinse is what running water does: the tub fills up first, then runs over. The
// tub is stirred; with V its liquor, m the goods and r what they hold, the strength
// of the liquor is
//
//	c = c0 (K + r) / (K + r + w/m)              while the water w fills it
//	c = c0 (K + r) / (K + L) exp(−w' / (V + K m))   for the water w' that runs over
//
// with K = 0 for alkali. Water is what that takes. AlkaliLeft is the strength of the
// alkali as a share of what the goods brought; DyeLeft is the loose dye left in the
// goods once they are taken out and wrung, as a share too.
type RunningRinse struct {
	Water               unit.Volume
	AlkaliLeft, DyeLeft unit.Share
}

// RinseRunning returns what a flow does in a time; both are above zero.
func (t RinseLoad) RinseRunning(q unit.Flow, long unit.Duration) RunningRinse {
	water := unit.Volume(float64(q) * 1000 * long.Minutes())
	k := t.Affinity.ColdAffinity().Value
	held := float64(t.HeldBefore)
	return RunningRinse{Water: water,
		AlkaliLeft: unit.Share(t.thinnedStrength(0, water)),
		DyeLeft:    unit.Share(t.thinnedStrength(k, water) * (k + float64(t.HeldAfter)) / (k + held))}
}

// thinnedStrength is the strength of the liquor for a solute that clings by k.
func (t RinseLoad) thinnedStrength(k float64, water unit.Volume) float64 {
	held, goods := float64(t.HeldBefore), float64(t.Goods)
	if w := float64(water); w <= t.fillVolume() {
		return (k + held) / (k + held + w/goods)
	}
	over := float64(water) - t.fillVolume()
	return (k + held) / (k + t.liquorRatio()) * math.Exp(-over/(float64(t.Bath)+k*goods))
}

// fillVolume is the water that fills the tub until it overflows.
func (t RinseLoad) fillVolume() float64 { return float64(t.Bath) - t.heldVolume(t.HeldBefore) }

// RunningTime says how long a flow has to run until at most target of the alkali is left.
func (t RinseLoad) RunningTime(q unit.Flow, target unit.Share) unit.Duration {
	held := float64(t.HeldBefore)
	water := held * float64(t.Goods) * (1/float64(target) - 1) // while it fills
	if water > t.fillVolume() {
		water = t.fillVolume() + float64(t.Bath)*math.Log(held/t.liquorRatio()/float64(target))
	}
	return unit.Duration(max(0, water) / (float64(q) * 1000) * 60)
}

// PlanHotAfter returns the hot baths after running water that left r; its counts of cold
// baths are zero. It returns false where more than MaxBaths hot baths would
// be needed.
func (t RinseLoad) PlanHotAfter(r RunningRinse, target unit.Share) (Plan, bool) {
	p := Plan{ColdWater: r.Water, AlkaliLeft: r.AlkaliLeft}
	ok := t.addHot(&p, r.DyeLeft, target)
	p.DyeLeft = r.DyeLeft * t.DyeLeft(0, p.HotBaths)
	return p, ok
}
