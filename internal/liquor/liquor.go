// Package liquor works out how much dye liquor cloth takes up, how it is shared
// among colours, and how a depth on the weight of the cloth becomes a strength.
// Start with Need for the volume, ParseShares and ParseParts for lists of colours,
// Strength and Depth for shades. It does not weigh: package dye does.
package liquor

import (
	"math"

	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/goods"
	"coldbatch/internal/unit"
)

// Loss is the dye that stays in jugs, bottles and gloves, as a share of what the
// goods take up.
var Loss = fault.Value{Name: "dye lost on the way", Value: 0.15, Unit: "1", Low: 0.10, High: 0.25,
	Source: fault.Source{Kind: fault.Judgement, Text: "judgement, no source: drips, jugs and bottles"}}

// MostHeld is the most that cloth holds, of its dry weight.
var MostHeld = fault.Value{Name: "most that cloth holds, of its dry weight", Value: 6, Unit: "1",
	Source: fault.Source{Kind: fault.Judgement, Text: "judgement, no source: twice what drips from a loose knit"}}

// Need describes goods to be dyed.
type Need struct {
	Goods unit.Mass  // dry
	Hold  Hold       // what they hold, wrung and full
	Cover unit.Share // of the cloth that is to be dyed; 1 is all
	Loss  unit.Share // of what they take up
}

// Hold is what goods hold, as a share of their dry weight: wrung, out of the soak,
// and full, in their bag. Full is more than Wrung.
type Hold struct{ Wrung, Full unit.Share }

// Usual gives what goods hold where nobody has weighed a piece.
func Usual() Hold {
	return Hold{Wrung: unit.Share(goods.HeldWrung.Value), Full: unit.Share(goods.HeldFull.Value)}
}

// Taken is the volume that the goods take up: the covered part goes from wrung to
// full. Goods that are full already take up nothing.
func (n Need) Taken() unit.Volume {
	room := max(0, n.Hold.Full-n.Hold.Wrung)
	return unit.Volume(float64(goods.LiquidHeld(n.Goods, room)) * float64(n.Cover))
}

// Volume is the dye to make up: what the goods take up, and the loss.
func (n Need) Volume() unit.Volume {
	return unit.Volume(float64(n.Taken()) * (1 + float64(n.Loss)))
}

// HoldFromWeights gives what goods hold from one piece that was weighed dry, wrung, and in
// its bag (less the bag). It refuses weights that do not rise from each to the
// next, and a piece that holds more than MostHeld.
func HoldFromWeights(dry, wrung, bagged unit.Mass) (Hold, error) {
	if !(dry > 0 && wrung > dry && bagged > wrung) {
		return Hold{}, fault.New(fault.Input, "a piece of %g g dry, %g g wrung and %g g in its bag does not take up dye",
			float64(dry), float64(wrung), float64(bagged)).WithHint("it gets heavier each time; the bag does not count")
	}
	if float64(bagged-dry) > MostHeld.Value*float64(dry) {
		return Hold{}, fault.New(fault.Input, "a piece of %g g dry and %g g in its bag holds %.3g times its weight, and cloth holds no more than %g times",
			float64(dry), float64(bagged), float64(bagged-dry)/float64(dry), MostHeld.Value).WithHint("weigh the piece alone, without bag, puddle or other pieces")
	}
	held := func(m unit.Mass) unit.Share { return unit.Share(float64(m-dry) / float64(dry)) }
	return Hold{Wrung: held(wrung), Full: held(bagged)}, nil
}

// Bottles is how many bottles that take full, filled to dye.Fill of that, hold v.
// A bottle of nothing gives zero.
func Bottles(v, full unit.Volume) unit.Count {
	if !(full > 0 && v > 0) {
		return 0
	}
	const tie = 1e-9
	return unit.Count(math.Ceil(float64(v)/(float64(full)*dye.BottleFill.Value) - tie))
}
