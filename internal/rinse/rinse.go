// Package rinse works out washing out by dilution: how many cold baths, or how
// long under running water, until little alkali is left; then how many hot baths
// until little loose dye is left; and in what order to go about it. Start with
// Tub.Plan, or Tub.Running for running water. It knows no temperature: a hot bath
// only makes dye cling less, and by how much differs from dye to dye.
package rinse

import (
	"math"

	"coldbatch/internal/unit"
)

// Tub is goods in their rinsing water. Goods, Bath, HeldBefore and HeldAfter are above zero,
// and the bath is more than the goods hold (see Fits); then every answer is finite.
type Tub struct {
	Goods      unit.Mass           // dry
	Bath       unit.Volume         // all that is in the tub, with what the goods hold
	HeldBefore unit.SpecificVolume // what the goods bring into the first bath
	HeldAfter  unit.SpecificVolume // what they bring from each bath into the next
	Clings     Clings
}

// MaxBaths is the number of baths of a kind beyond which nobody goes on.
const MaxBaths = 100

// tie lets rounding decide no count: a share this little above the target meets it.
const tie = 1 + 1e-9

// ratio is the bath per goods in L/kg.
func (t Tub) ratio() float64 { return float64(t.Bath) / float64(t.Goods) }

// Fits reports whether the bath is more than the goods hold.
func (t Tub) Fits() bool { return t.ratio() > float64(max(t.HeldBefore, t.HeldAfter)) }

// AlkaliLeft is the strength of the alkali in the liquor after n cold baths, each
// filled anew, as a share of the strength the goods brought: everything for none.
// Alkali does not cling, so goods that hold r L/kg thin it to r/L in a bath of L.
func (t Tub) AlkaliLeft(n int) unit.Share {
	if n <= 0 {
		return 1
	}
	return unit.Share(float64(t.HeldBefore) / t.ratio() * math.Pow(float64(t.HeldAfter)/t.ratio(), float64(n-1)))
}

// DyeLeft is the loose dye left in the goods and what they hold after cold and then
// hot baths, as a share of what they brought. The dye that clings is in proportion
// to the dye in the liquor (a linear isotherm, K L/kg; less when hot), so wrung
// goods take (K + r) / (K + L) of it out of each bath.
func (t Tub) DyeLeft(cold, hot int) unit.Share {
	return unit.Share(math.Pow(t.carriedShare(t.Clings.ColdAffinity().Value), float64(cold)) *
		math.Pow(t.carriedShare(t.Clings.HotAffinity().Value), float64(hot)))
}

// carriedShare is the share of the dye in a tub that leaves it with the wrung goods.
func (t Tub) carriedShare(k float64) float64 { return (k + float64(t.HeldAfter)) / (k + t.ratio()) }

// Plan is how to wash goods out: cold baths until the alkali is out, then hot baths
// with detergent until the loose dye is. HotLow and HotHigh are the ends of the
// range of hot baths, by how much the dye clings when hot.
type Plan struct {
	Cold                 int
	Hot, HotLow, HotHigh int
	ColdWater, HotWater  unit.Volume
	Alkali, Dye          unit.Share // left at the end, as of AlkaliLeft and DyeLeft
}

// Plan gives the fewest baths that leave at most target (above 0, to 1) of the
// alkali, and then at most target of the loose dye; at least one of each. It returns
// false where more than MaxBaths baths of a kind would be needed.
func (t Tub) Plan(target unit.Share) (Plan, bool) {
	p := Plan{Cold: 1}
	for t.AlkaliLeft(p.Cold) > target*tie {
		if p.Cold++; p.Cold > MaxBaths {
			return p, false
		}
	}
	cold := unit.Share(math.Pow(t.carriedShare(t.Clings.ColdAffinity().Value), float64(p.Cold)))
	ok := t.addHot(&p, cold, target)
	p.ColdWater = t.water(p.Cold)
	p.Alkali, p.Dye = t.AlkaliLeft(p.Cold), t.DyeLeft(p.Cold, p.Hot)
	return p, ok
}

// addHot adds the hot baths that take the dye from the share left to target.
func (t Tub) addHot(p *Plan, left, target unit.Share) bool {
	k := t.Clings.HotAffinity()
	count := func(k float64) int {
		// The power is tried, not a logarithm, so that rounding decides nothing.
		n := 1
		for n <= MaxBaths && float64(left)*math.Pow(t.carriedShare(k), float64(n)) > float64(target)*tie {
			n++
		}
		return n
	}
	p.Hot, p.HotLow, p.HotHigh = count(k.Value), count(k.Low), min(count(k.High), MaxBaths)
	p.HotWater = unit.Volume(float64(p.Hot) * (float64(t.Bath) - t.heldVolume(t.HeldAfter)))
	return p.Hot <= MaxBaths
}

// heldVolume is the volume of water in the goods if they hold r; L/kg is mL/g.
func (t Tub) heldVolume(r unit.SpecificVolume) float64 { return float64(r) * float64(t.Goods) }

// water is what n cold baths take: each is filled up to the bath.
func (t Tub) water(n int) unit.Volume {
	return unit.Volume(float64(n)*float64(t.Bath) - t.heldVolume(t.HeldBefore) - float64(n-1)*t.heldVolume(t.HeldAfter))
}
