// Package liquor works out how much dye liquor cloth takes up, how it is shared
// among colours, and how a depth on the weight of the cloth becomes a strength.
// Start with LiquorNeed for the volume, ParseShares and ParseParts for lists of colours,
// StrengthForDepth and DepthFromStrength for shades. It does not weigh: package dye does.
package liquor

import (
	"math"

	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/goods"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// LossShare is the dye that stays in jugs, bottles and gloves, as a share of what the
// goods take up.
var LossShare = provenance.Value{Name: "dye lost on the way", Value: 0.15, Unit: "1", Low: 0.10, High: 0.25,
	Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: drips, jugs and bottles"}}

// MaxHeld is the most that cloth holds, of its dry weight.
var MaxHeld = provenance.Value{Name: "most that cloth holds, of its dry weight", Value: 6, Unit: "1",
	Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: twice what drips from a loose knit"}}

// LiquorNeed describes goods to be dyed.
type LiquorNeed struct {
	Goods        unit.Mass  // dry
	Held         HeldShares // what they hold, wrung and full
	CoveredShare unit.Share // of the cloth that is to be dyed; 1 is all
	LossShare    unit.Share // of what they take up
}

// HeldShares is what goods hold, as a share of their dry weight: wrung, out of the soak,
// and full, in their bag. Full is more than Wrung.
type HeldShares struct{ Wrung, Full unit.Share }

// UsualHeldShares returns what goods hold where nobody has weighed a piece.
func UsualHeldShares() HeldShares {
	return HeldShares{Wrung: unit.Share(goods.HeldAfterWringing.Value), Full: unit.Share(goods.HeldWhenFull.Value)}
}

// TakenUp is the volume that the goods take up: the covered part goes from wrung to
// full. Goods that are full already take up nothing.
func (n LiquorNeed) TakenUp() unit.Volume {
	room := max(0, n.Held.Full-n.Held.Wrung)
	return unit.Volume(float64(goods.LiquidHeld(n.Goods, room)) * float64(n.CoveredShare))
}

// Volume is the dye to make up: what the goods take up, and the loss.
func (n LiquorNeed) Volume() unit.Volume {
	return unit.Volume(float64(n.TakenUp()) * (1 + float64(n.LossShare)))
}

// HeldSharesFromWeights returns what goods hold from one piece that was weighed dry, wrung, and in
// its bag (less the bag). It refuses weights that do not rise from each to the
// next, and a piece that holds more than MaxHeld.
func HeldSharesFromWeights(dry, wrung, bagged unit.Mass) (HeldShares, error) {
	if !(dry > 0 && wrung > dry && bagged > wrung) {
		return HeldShares{}, fault.New(fault.Input, "a piece of %g g dry, %g g wrung and %g g in its bag cannot take up dye",
			float64(dry), float64(wrung), float64(bagged)).WithHint("it must get heavier each time; do not weigh the bag")
	}
	if float64(bagged-dry) > MaxHeld.Value*float64(dry) {
		return HeldShares{}, fault.New(fault.Input, "a piece of %g g dry and %g g in its bag holds %.3g times its weight, but cloth holds at most %g times",
			float64(dry), float64(bagged), float64(bagged-dry)/float64(dry), MaxHeld.Value).WithHint("weigh the piece alone, without its bag, a puddle or other pieces")
	}
	held := func(m unit.Mass) unit.Share { return unit.Share(float64(m-dry) / float64(dry)) }
	return HeldShares{Wrung: held(wrung), Full: held(bagged)}, nil
}

// CountBottles says how many bottles that take full, filled to dye.BottleFillShare of that, hold v.
// A bottle of nothing returns zero.
func CountBottles(v, full unit.Volume) unit.Count {
	if !(full > 0 && v > 0) {
		return 0
	}
	const tie = 1e-9
	return unit.Count(math.Ceil(float64(v)/(float64(full)*dye.BottleFillShare.Value) - tie))
}
