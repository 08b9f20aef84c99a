// Package soak computes the soda-ash soak that goods stand in before they are dyed: what
// goes in, how much cloth it serves, and when to top it up with how much. Start with
// Bath and its methods. The chemistry of the water is in package alkali; the package
// does not deal with dye.
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
	DryMass    unit.Mass
	Pickup     unit.Share // what they hold as they leave, of their dry weight
	WetShareIn unit.Share // water they bring along, of their dry weight
}

// Soda is the anhydrous soda ash in the bath.
func (b Bath) Soda() unit.Mass { return b.Strength.MassIn(b.Volume) }

// netUptake is the volume that the bath loses per gram of goods; below zero the bath
// grows. A gram of soak counts as a millilitre (package goods).
func (g Goods) netUptake() float64 { return float64(g.Pickup - g.WetShareIn) }

// AfterSoaking returns the bath after g have gone through. Dry goods soak up bath as it is, so
// less is left, but it is no weaker. Wet goods also leave water behind and thin it.
// Piece by piece, with strength c, volume V, pick-up p, wet-in w and mass of goods m,
//
//	dV/dm = w − p,  d(cV)/dm = −p c,  so  c = c0 (V/V0)^(w/(p−w))
//
// Where the goods would soak up everything, the bath is empty.
func (b Bath) AfterSoaking(g Goods) Bath {
	v0, m, w := float64(b.Volume), max(float64(g.DryMass), 0), float64(g.WetShareIn)
	if v0 <= 0 {
		return Bath{}
	}
	v := v0 - g.netUptake()*m
	if v <= 0 {
		return Bath{}
	}
	return Bath{Volume: unit.Volume(v), Strength: b.Strength * unit.Concentration(math.Exp(-w*m/v0*thinningFactor(g.netUptake()*m/v0)))}
}

// thinningFactor is −ln(1−x)/x: how much faster a bath thins than at constant volume, once the
// share x of it is gone. It is 1 at 0.
func thinningFactor(x float64) float64 {
	if math.Abs(x) < 1e-12 {
		return 1
	}
	return -math.Log1p(-x) / x
}

// SodaCarriedOff is the soda ash that g take out of the bath.
func (b Bath) SodaCarriedOff(g Goods) unit.Mass { return b.Soda() - b.AfterSoaking(g).Soda() }

// startVolume is the volume that a bath must have at the start, so that after goods of
// mass m at least the volume least and the share MinStrengthShare of its strength remain.
func (g Goods) startVolume(m float64, least unit.Volume) unit.Volume {
	return unit.Volume(max(float64(least)+g.netUptake()*m, m/g.massPerVolume()))
}

// massPerVolume is the mass of goods, per millilitre of bath at the start, that thins it to
// MinStrengthShare; infinite for dry goods.
func (g Goods) massPerVolume() float64 {
	w, net := float64(g.WetShareIn), g.netUptake()
	if w <= 0 {
		return math.Inf(1)
	}
	thin := math.Log(MinStrengthShare.Value) / w
	if math.Abs(net) < 1e-9 {
		return -thin
	}
	return -math.Expm1(net*thin) / net
}

// Serves returns the dry mass of goods like g that the bath serves, until less than least
// is left or wet goods have thinned it to MinStrengthShare. With a pick-up and a wet-in of
// zero it is +Inf, which the caller must not show. It is 0 if least is at
// least the whole bath.
func (b Bath) Serves(g Goods, least unit.Volume) unit.Mass {
	if b.Volume <= 0 || least >= b.Volume {
		return 0
	}
	m := float64(b.Volume) * g.massPerVolume()
	if net := g.netUptake(); net > 0 {
		m = min(m, float64(b.Volume-least)/net)
	}
	return unit.Mass(m)
}

// TopUp returns the volume of bath, at the strength of the start, that is needed besides
// to serve all of g; zero where the bath is enough.
func (b Bath) TopUp(g Goods, least unit.Volume) unit.Volume {
	return max(0, g.startVolume(max(float64(g.DryMass), 0), least)-b.Volume)
}
