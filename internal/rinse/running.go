package rinse

import (
	"math"

	"coldbatch/internal/unit"
)

// Running is what running water does: the tub fills up first, then runs over. The
// tub is stirred; with V its liquor, m the goods and r what they hold, the strength
// of the liquor is
//
//	c = c0 (K + r) / (K + r + w/m)              while the water w fills it
//	c = c0 (K + r) / (K + L) exp(−w' / (V + K m))   for the water w' that runs over
//
// with K = 0 for alkali. Water is what that takes. Left is the strength of the
// alkali as a share of what the goods brought; Dye is the loose dye left in the
// goods once they are taken out and wrung, as a share too.
type Running struct {
	Water     unit.Volume
	Left, Dye unit.Share
}

// Running gives what a flow does in a time; both are above zero.
func (t Tub) Running(q unit.Flow, long unit.Duration) Running {
	water := unit.Volume(float64(q) * 1000 * long.Minutes())
	k := t.Clings.ColdAffinity().Value
	held := float64(t.HeldBefore)
	return Running{Water: water,
		Left: unit.Share(t.thinnedStrength(0, water)),
		Dye:  unit.Share(t.thinnedStrength(k, water) * (k + float64(t.HeldAfter)) / (k + held))}
}

// thinnedStrength is the strength of the liquor for a solute that clings by k.
func (t Tub) thinnedStrength(k float64, water unit.Volume) float64 {
	held, goods := float64(t.HeldBefore), float64(t.Goods)
	if w := float64(water); w <= t.fillVolume() {
		return (k + held) / (k + held + w/goods)
	}
	over := float64(water) - t.fillVolume()
	return (k + held) / (k + t.ratio()) * math.Exp(-over/(float64(t.Bath)+k*goods))
}

// fillVolume is the water that fills the tub until it overflows.
func (t Tub) fillVolume() float64 { return float64(t.Bath) - t.heldVolume(t.HeldBefore) }

// RunFor is how long a flow has to run until at most target of the alkali is left.
func (t Tub) RunFor(q unit.Flow, target unit.Share) unit.Duration {
	held := float64(t.HeldBefore)
	water := held * float64(t.Goods) * (1/float64(target) - 1) // while it fills
	if water > t.fillVolume() {
		water = t.fillVolume() + float64(t.Bath)*math.Log(held/t.ratio()/float64(target))
	}
	return unit.Duration(max(0, water) / (float64(q) * 1000) * 60)
}

// HotAfter gives the hot baths after running water that left r; its counts of cold
// baths are zero. It returns false where more than MaxBaths hot baths would
// be needed.
func (t Tub) HotAfter(r Running, target unit.Share) (Plan, bool) {
	p := Plan{ColdWater: r.Water, Alkali: r.Left}
	ok := t.addHot(&p, r.Dye, target)
	p.Dye = r.Dye * t.DyeLeft(0, p.Hot)
	return p, ok
}
