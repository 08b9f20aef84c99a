// Package soak is the bucket of soda ash that goods stand in before they are
// dyed: what goes in, how many goods it serves, when and with what to top it
// up. Start with Bath and its methods. The chemistry of the water is in package
// alkali; the package knows no dye.
package soak

import (
	"math"

	"coldbatch/internal/unit"
)

// Bath is a soak at one moment.
type Bath struct {
	Volume   unit.Volume
	Strength unit.Concentration // as anhydrous soda ash, in the solution
}

// Goods are pieces that go through the bath one after another.
type Goods struct {
	Dry    unit.Mass
	Pickup unit.Share // what they hold as they leave, of their dry weight
	WetIn  unit.Share // water they bring along, of their dry weight
}

// Soda is the anhydrous soda ash in the bath.
func (b Bath) Soda() unit.Mass { return b.Strength.In(b.Volume) }

// net is the volume that leaves the bath for good per gram of goods; below zero
// the bath grows. A gram of soak is taken as a millilitre (package goods).
func (g Goods) net() float64 { return float64(g.Pickup - g.WetIn) }

// After is the bath when g have gone through. Dry goods carry bath off at the
// bath's own strength: it shrinks and stays as strong. Wet goods leave water
// behind: it also thins. Piece by piece, with c the strength, V the volume, p
// pickup, w wet in and m the goods,
//
//	dV/dm = w − p,  d(cV)/dm = −p c,  so  c = c0 (V/V0)^(w/(p−w))
//
// Where the goods would carry off everything the bath is empty.
func (b Bath) After(g Goods) Bath {
	v0, m, w := float64(b.Volume), max(float64(g.Dry), 0), float64(g.WetIn)
	if v0 <= 0 {
		return Bath{}
	}
	v := v0 - g.net()*m
	if v <= 0 {
		return Bath{}
	}
	return Bath{Volume: unit.Volume(v), Strength: b.Strength * unit.Concentration(math.Exp(-w*m/v0*thinning(g.net()*m/v0)))}
}

// thinning is −ln(1−x)/x: how much faster than at a constant volume a bath
// thins of which the share x has been carried off. It is 1 at 0.
func thinning(x float64) float64 {
	if math.Abs(x) < 1e-12 {
		return 1
	}
	return -math.Log1p(-x) / x
}

// Carried is the soda ash that g take out of the bath.
func (b Bath) Carried(g Goods) unit.Mass { return b.Soda() - b.After(g).Soda() }

// needed is the volume that a bath must have at the start so that the goods, of
// mass m, leave it with least and with KeepStrength of its strength.
func (g Goods) needed(m float64, least unit.Volume) unit.Volume {
	return unit.Volume(max(float64(least)+g.net()*m, m/g.perVolume()))
}

// perVolume is the mass of goods, per millilitre at the start, that thins a bath
// down to KeepStrength; infinite for dry goods.
func (g Goods) perVolume() float64 {
	w, net := float64(g.WetIn), g.net()
	if w <= 0 {
		return math.Inf(1)
	}
	thin := math.Log(KeepStrength.Value) / w
	if math.Abs(net) < 1e-9 {
		return -thin
	}
	return -math.Expm1(net*thin) / net
}

// Serves is the dry mass of goods like g that the bath serves before less than
// least is left, or before wet goods have thinned it to KeepStrength. Goods that
// neither carry bath off nor thin it give +Inf, which the caller must not show;
// that needs a pickup and a wet-in of zero. A least of the whole bath or more
// gives zero.
func (b Bath) Serves(g Goods, least unit.Volume) unit.Mass {
	if b.Volume <= 0 || least >= b.Volume {
		return 0
	}
	m := float64(b.Volume) * g.perVolume()
	if net := g.net(); net > 0 {
		m = min(m, float64(b.Volume-least)/net)
	}
	return unit.Mass(m)
}

// TopUp is the volume of bath, at the strength of the start, to have at hand so
// that all of g are served: zero where the bath is enough.
func (b Bath) TopUp(g Goods, least unit.Volume) unit.Volume {
	return max(0, g.needed(max(float64(g.Dry), 0), least)-b.Volume)
}
