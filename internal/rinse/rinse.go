// Package rinse is wash-out by dilution: how many baths, or how long under
// running water, until little is left of the alkali and the loose dye, and in what
// order to go about it. Start with Tub. It knows no temperature: a hot bath only
// makes dye cling less, and by how much differs from dye to dye.
package rinse

import (
	"math"

	"coldbatch/internal/unit"
)

// Tub is goods in their rinsing water. All of Goods, Bath, Held and After are
// above zero, and the bath is more than the goods hold (see Fits); then every
// answer is finite.
type Tub struct {
	Goods  unit.Mass           // dry
	Bath   unit.Volume         // all that is in the tub, with what the goods hold
	Held   unit.SpecificVolume // what the goods bring into the first bath
	After  unit.SpecificVolume // what they bring from each bath into the next
	Clings Clings
}

// ratio is the bath per goods in L/kg.
func (t Tub) ratio() float64 { return float64(t.Bath) / float64(t.Goods) }

// Fits says whether the bath is more than the goods hold.
func (t Tub) Fits() bool { return t.ratio() > float64(max(t.Held, t.After)) }

// share is what one bath leaves of goods that bring r L/kg into it. What clings
// is in proportion to what is in the liquor (a linear isotherm, K L/kg), so goods
// with their liquor hold K + r, and the tub K + L:
//
//	c = c0 (K + r) / (K + L)
func (t Tub) share(r unit.SpecificVolume) float64 {
	k := t.Clings.K().Value
	return (k + float64(r)) / (k + t.ratio())
}

// Left is what is left in the liquor after n baths, each filled anew, as a share
// of what the goods brought: everything for none.
func (t Tub) Left(n int) unit.Share {
	if n <= 0 {
		return 1
	}
	return unit.Share(t.share(t.Held) * math.Pow(t.share(t.After), float64(n-1)))
}

// Rinses is the smallest number of baths that leaves at most target (above 0, to
// 1), and at least one. It is at most Most, and ok is false where that is too
// few.
func (t Tub) Rinses(target unit.Share) (n int, ok bool) {
	const tie = 1 + 1e-9
	for n = 1; n < Most; n++ {
		if t.Left(n) <= target*tie {
			return n, true
		}
	}
	return Most, t.Left(Most) <= target*tie
}

// Most is the number of baths beyond which nobody goes on.
const Most = 100

// Water is what n baths take: each is filled up to the bath.
func (t Tub) Water(n int) unit.Volume {
	if n <= 0 {
		return 0
	}
	held := func(r unit.SpecificVolume) float64 { return float64(r) * float64(t.Goods) } // L/kg is mL/g
	return unit.Volume(float64(n)*float64(t.Bath) - held(t.Held) - float64(n-1)*held(t.After))
}

// Running is what is left in the tub, as a share of what its liquor held as the
// water was turned on, when a flow has run over for a time, and the water that
// took. The tub is stirred; with V its liquor and m the goods
//
//	c = c0 exp(−Q t / (V + K m))
func (t Tub) Running(q unit.Flow, long unit.Duration) (unit.Share, unit.Volume) {
	water := float64(q) * 1000 * long.Minutes()
	holds := float64(t.Bath) + t.Clings.K().Value*float64(t.Goods)
	return unit.Share(math.Exp(-water / holds)), unit.Volume(water)
}
