// Package plan works out what a batch needs: dye by colour from the cloth that wears it, jugs
// and bottles, what the shelf lacks, what a piece costs, and how long the work takes. Start
// with JugOf for a colour and with Needs for the shopping list. It does not deal with words on
// a screen, and holds no chemistry: it calls the packages of the trade.
package plan

import (
	"math"

	"coldbatch/internal/batch"
	"coldbatch/internal/dye"
	"coldbatch/internal/goods"
	"coldbatch/internal/journal"
	"coldbatch/internal/liquor"
	"coldbatch/internal/provenance"
	"coldbatch/internal/shelf"
	"coldbatch/internal/unit"
)

func judgementSource(text string) provenance.Source {
	return provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: " + text}
}

// The figures of the plan.
var (
	// ScaleStep is the step of a scale of which nothing is known.
	ScaleStep = provenance.Value{Name: "smallest step of the scale", Value: 0.1, Unit: "g", Source: judgementSource("a pocket scale; enter yours on the shelf")}
	// A jug is filled to a multiple of SmallStep up to JugStep, then to a multiple of JugStep.
	JugStep   = provenance.Value{Name: "steps of a measuring jug", Value: 250, Unit: "mL", Source: judgementSource("the marks that most jugs have")}
	SmallStep = provenance.Value{Name: "steps of a small jug", Value: 50, Unit: "mL", Source: judgementSource("the marks of a cup measure")}
	// Slack is what may be lacking from a jug before the next size is taken.
	Slack = provenance.Value{Name: "dye that may be lacking", Value: 0.05, Unit: "1", Source: judgementSource("less than the wringing varies")}
)

// BlendOf returns what pieces are made of.
func BlendOf(p batch.Piece) goods.Blend {
	if len(p.Blend) > 0 {
		b := make(goods.Blend, 0, len(p.Blend))
		for _, f := range p.Blend {
			b = append(b, goods.FibrePart{Fibre: goods.Fibre(f.Fibre), Share: unit.Share(f.Share)})
		}
		return b
	}
	if p.Fibre == "" {
		return goods.Blend{{Fibre: goods.Cotton, Share: 1}}
	}
	return goods.Blend{{Fibre: goods.Fibre(p.Fibre), Share: 1}}
}

// ColourSharesOf returns the colours that pieces get, with shares that add up to 1: their own colours,
// or else all colours of the batch evenly.
func ColourSharesOf(s batch.State, p batch.Piece) []journal.ColourInBag {
	own := p.Colours
	if len(own) == 0 {
		for _, c := range s.Colours {
			own = append(own, journal.ColourInBag{Colour: c.ID})
		}
	}
	total := 0.0
	for _, c := range own {
		total += c.Share
	}
	out := make([]journal.ColourInBag, 0, len(own))
	for _, c := range own {
		share := 1 / float64(len(own))
		if total > 0 {
			share = c.Share / total
		}
		out = append(out, journal.ColourInBag{Colour: c.Colour, Share: share})
	}
	return out
}

// DepthOf is the depth that pieces are dyed to, of the strength in the jug.
func DepthOf(p batch.Piece) float64 {
	if p.Depth <= 0 {
		return 1
	}
	return p.Depth
}

// Worn is the cloth that wears a colour, by its share, and the dye for it.
type Worn struct {
	Cloth   unit.Mass
	Need    unit.Volume // what it takes up, and the loss on the way
	Pieces  int         // that wear some of it
	LeftOut int         // pieces that wear some of it and are not dyed here
}

// HeldShares returns what goods hold: when full, as the dyer's own bags weighed, where those count.
func HeldShares(kit shelf.Kit) liquor.HeldShares {
	h := liquor.UsualHeldShares()
	if kit.PickUp.Value > 0 {
		h.Full = unit.Share(kit.PickUp.Value)
	}
	return h
}

// WornBy adds up the pieces that wear a colour. Pieces that soda ash harms are left out: they are
// not dyed here. Paler pieces take less dye and the rest water.
func WornBy(s batch.State, colour journal.ID, kit shelf.Kit) (w Worn) {
	for _, p := range s.Pieces {
		if p.Count <= 0 {
			continue
		}
		for _, c := range ColourSharesOf(s, p) {
			if c.Colour != colour || c.Share <= 0 {
				continue
			}
			if BlendOf(p).HarmedFibre() != "" {
				w.LeftOut += p.Count
				continue
			}
			grams := p.Grams * float64(p.Count)
			need := liquor.LiquorNeed{Goods: unit.Mass(grams), Held: HeldShares(kit), CoveredShare: unit.Share(c.Share), LossShare: unit.Share(liquor.LossShare.Value)}
			w.Cloth += unit.Mass(grams * c.Share)
			w.Need += unit.Volume(float64(need.Volume()) * DepthOf(p))
			w.Pieces += p.Count
		}
	}
	return w
}

// Jug is the jug of one colour.
type Jug struct {
	Worn
	Volume        unit.Volume        // to make up
	Powder        unit.Mass          // to weigh, to a step of the scale
	Strength      unit.Concentration // as made up
	Bottles       int                // to fill; 0 where none are known
	Holds         unit.Volume        // of a bottle
	Fill          unit.Volume        // into each bottle
	IsVolumeTyped bool               // the volume was typed
}

// JugOf plans the jug of a colour: the volume that was typed, else the bottles that were, else
// what the cloth needs, up to whole bottles where bottles are known and to a mark of the jug
// where not.
func JugOf(s batch.State, c batch.Colour, kit shelf.Kit) Jug {
	j := Jug{Worn: WornBy(s, c.ID, kit), Bottles: c.Bottles, Holds: unit.Volume(c.Holds)}
	if j.Holds == 0 && len(kit.Bottles) > 0 {
		j.Holds = unit.Volume(kit.Bottles[0].Holds)
	}
	fill := FillOf(j.Holds)
	switch {
	case c.VolumeML >= 1:
		j.Volume, j.IsVolumeTyped = unit.Volume(c.VolumeML), true
		if j.Bottles == 0 && j.Holds > 0 {
			j.Bottles = bottlesFor(j.Volume, fill)
		}
	case j.Bottles > 0 && fill > 0:
		j.Volume, j.IsVolumeTyped = unit.Volume(float64(j.Bottles))*fill, true
	case fill > 0:
		j.Bottles = max(1, bottlesFor(j.Need, fill))
		j.Volume = unit.Volume(float64(j.Bottles)) * fill
	default:
		j.Volume = toMark(j.Need)
	}
	if j.Bottles > 0 {
		j.Fill = j.Volume / unit.Volume(j.Bottles)
	}
	j.setPowder(c, kit)
	return j
}

// setPowder sets the powder, to a step of the scale, and the strength that it gives.
func (j *Jug) setPowder(c batch.Colour, kit shelf.Kit) {
	strength := c.Strength
	if c.OnCloth > 0 {
		strength = float64(liquor.StrengthForDepth(unit.Share(c.OnCloth), unit.Share(liquor.PickUpShare.Value)))
	}
	grams := strength * float64(j.Volume) / 1000 * c.Depth
	if c.Grams > 0 {
		grams = c.Grams
	}
	if step := ScaleStepOf(kit); grams >= step {
		grams = math.Round(grams/step+1e-9) * step
	}
	j.Powder = unit.Mass(grams)
	j.Strength = unit.GramsPerLitre(j.Powder, j.Volume)
}

// Mix is the jug as package dye weighs it.
func (j Jug) Mix() dye.BottleMix {
	return dye.BottleMix{Strength: j.Strength, BottleVolume: j.Volume, BottleCount: 1, Depth: 1}
}

// ScaleStepOf is the smallest step of the scale in g.
func ScaleStepOf(kit shelf.Kit) float64 {
	if kit.ScaleStep > 0 {
		return kit.ScaleStep
	}
	return ScaleStep.Value
}

// FillOf is what goes into a bottle that takes holds: not quite all of it, as a jug shows it, by
// half fluid ounces where the bottle is sold by them and by 10 mL where not.
func FillOf(holds unit.Volume) unit.Volume {
	if holds <= 0 {
		return 0
	}
	const flOz = 29.5735295625 // mL, exact: NIST Handbook 44, appendix C
	step := 10.0
	if ounces := float64(holds) / flOz; math.Mod(float64(holds), 10) > 1e-6 && math.Abs(ounces-math.Round(ounces*2)/2) < 0.03 {
		step = flOz / 2
	}
	if fill := math.Floor(float64(holds)*dye.BottleFillShare.Value/step+1e-9) * step; fill > 0 {
		return unit.Volume(fill)
	}
	return holds
}

// bottlesFor says how many bottles hold v, but for Slack.
func bottlesFor(v, fill unit.Volume) int {
	if fill <= 0 || v <= 0 {
		return 0
	}
	return int(min(100, max(1, math.Ceil(float64(v)*(1-Slack.Value)/float64(fill)-1e-9))))
}

// toMark rounds a volume up to a mark of the jug, but for Slack; never to nothing.
func toMark(v unit.Volume) unit.Volume {
	least := float64(v) * (1 - Slack.Value)
	step := JugStep.Value
	if least <= step {
		step = SmallStep.Value
	}
	return unit.Volume(max(1, math.Ceil(least/step-1e-9)) * step)
}
