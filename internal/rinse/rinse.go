// Package rinse works out washing out by dilution: how many cold baths, or how
// long under running water, until little alkali is left; then how many hot baths
// until little loose dye is left; and in what order to go about it. Start with
// RinseLoad.Plan, or RinseLoad.RinseRunning for running water. It knows no temperature: a hot bath
// only makes dye cling less, and by how much differs from dye to dye.
package rinse

import (
	"math"

	"coldbatch/internal/unit"
)

// RinseLoad describes goods in their rinsing water. Goods, Bath, HeldBefore and HeldAfter are above zero,
// and the bath is more than the goods hold (see BathExceedsHeld); then every answer is finite.
type RinseLoad struct {
	Goods      unit.Mass           // dry
	Bath       unit.Volume         // all that is in the tub, with what the goods hold
	HeldBefore unit.SpecificVolume // what the goods bring into the first bath
	HeldAfter  unit.SpecificVolume // what they bring from each bath into the next
	Affinity   Affinity
}

// MaxBaths is the number of baths of a kind beyond which nobody goes on.
const MaxBaths = 100

// tieTolerance lets rounding decide no count: a share this little above the target meets it.
const tieTolerance = 1 + 1e-9

// liquorRatio is the bath per goods in L/kg.
func (t RinseLoad) liquorRatio() float64 { return float64(t.Bath) / float64(t.Goods) }

// BathExceedsHeld reports whether the bath is more than the goods hold.
func (t RinseLoad) BathExceedsHeld() bool {
	return t.liquorRatio() > float64(max(t.HeldBefore, t.HeldAfter))
}

// AlkaliLeft is the strength of the alkali in the liquor after n cold baths, each
// filled anew, as a share of the strength the goods brought: everything for none.
// Alkali does not cling, so goods that hold r L/kg thin it to r/L in a bath of L.
func (t RinseLoad) AlkaliLeft(n int) unit.Share {
	if n <= 0 {
		return 1
	}
	return unit.Share(float64(t.HeldBefore) / t.liquorRatio() * math.Pow(float64(t.HeldAfter)/t.liquorRatio(), float64(n-1)))
}

// DyeLeft is the loose dye left in the goods and what they hold after cold and then
// hot baths, as a share of what they brought. The dye that clings is in proportion
// to the dye in the liquor (a linear isotherm, K L/kg; less when hot), so wrung
// goods take (K + r) / (K + L) of it out of each bath.
func (t RinseLoad) DyeLeft(cold, hot int) unit.Share {
	return unit.Share(math.Pow(t.carriedShare(t.Affinity.ColdAffinity().Value), float64(cold)) *
		math.Pow(t.carriedShare(t.Affinity.HotAffinity().Value), float64(hot)))
}

// carriedShare is the share of the dye in a tub that leaves it with the wrung goods.
func (t RinseLoad) carriedShare(k float64) float64 {
	return (k + float64(t.HeldAfter)) / (k + t.liquorRatio())
}

// Plan describes how to wash goods out: cold baths until the alkali is out, then hot baths
// with detergent until the loose dye is. HotBathsLow and HotBathsHigh are the ends of the
// range of hot baths, by how much the dye clings when hot.
type Plan struct {
	ColdBaths                           int
	HotBaths, HotBathsLow, HotBathsHigh int
	ColdWater, HotWater                 unit.Volume
	AlkaliLeft, DyeLeft                 unit.Share // left at the end, as of AlkaliLeft and DyeLeft
}

// Plan returns the fewest baths that leave at most target (above 0, to 1) of the
// alkali, and then at most target of the loose dye; at least one of each. It returns
// false where more than MaxBaths baths of a kind would be needed.
func (t RinseLoad) Plan(target unit.Share) (Plan, bool) {
	p := Plan{ColdBaths: 1}
	for t.AlkaliLeft(p.ColdBaths) > target*tieTolerance {
		if p.ColdBaths++; p.ColdBaths > MaxBaths {
			return p, false
		}
	}
	cold := unit.Share(math.Pow(t.carriedShare(t.Affinity.ColdAffinity().Value), float64(p.ColdBaths)))
	ok := t.addHot(&p, cold, target)
	p.ColdWater = t.coldWater(p.ColdBaths)
	p.AlkaliLeft, p.DyeLeft = t.AlkaliLeft(p.ColdBaths), t.DyeLeft(p.ColdBaths, p.HotBaths)
	return p, ok
}

// addHot adds the hot baths that take the dye from the share left to target.
func (t RinseLoad) addHot(p *Plan, left, target unit.Share) bool {
	k := t.Affinity.HotAffinity()
	count := func(k float64) int {
		// The power is tried, not a logarithm, so that rounding decides nothing.
		n := 1
		for n <= MaxBaths && float64(left)*math.Pow(t.carriedShare(k), float64(n)) > float64(target)*tieTolerance {
			n++
		}
		return n
	}
	p.HotBaths, p.HotBathsLow, p.HotBathsHigh = count(k.Value), count(k.Low), min(count(k.High), MaxBaths)
	p.HotWater = unit.Volume(float64(p.HotBaths) * (float64(t.Bath) - t.heldVolume(t.HeldAfter)))
	return p.HotBaths <= MaxBaths
}

// heldVolume is the volume of water in the goods if they hold r; L/kg is mL/g.
func (t RinseLoad) heldVolume(r unit.SpecificVolume) float64 { return float64(r) * float64(t.Goods) }

// coldWater is the water that n cold baths take: each is filled to the bath's volume, less what the wet
// cloth already holds.
func (t RinseLoad) coldWater(n int) unit.Volume {
	return unit.Volume(float64(n)*float64(t.Bath) - t.heldVolume(t.HeldBefore) - float64(n-1)*t.heldVolume(t.HeldAfter))
}
