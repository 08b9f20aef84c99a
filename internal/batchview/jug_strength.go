package batchview

import (
	"math"

	"coldbatch/internal/batch"
	"coldbatch/internal/dye"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// jugAt returns the jug of a colour that was in use at a time, the last one mixed before; at 0 is
// now. Of several that were poured away since, none is in use.
func jugAt(s batch.State, colour journal.ID, at zone.Instant) (found batch.Jug, ok bool) {
	for _, j := range s.Jugs {
		if j.Colour == colour && !j.NeedsNewerApp && (at == 0 && !j.IsDiscarded || at != 0 && j.MixedAt <= at) {
			found, ok = j, true
		}
	}
	return found, ok
}

// strengthRatio returns how strong a jug is, of what is wanted; 1 where that is not known.
func strengthRatio(c batch.Colour, j batch.Jug) float64 {
	wanted := c.Strength * c.Depth
	if wanted <= 0 || j.VolumeML <= 0 || j.PowderGrams <= 0 {
		return 1
	}
	return j.PowderGrams / j.VolumeML * 1000 / wanted
}

// jugOff says how far a jug is off its strength, "" if that does not show in the cloth:
// "30 % too strong".
func jugOff(c batch.Colour, j batch.Jug) string {
	ratio := strengthRatio(c, j)
	switch {
	case math.Abs(ratio-1) <= dye.MaxGoodError.Value+1e-9:
		return ""
	case ratio >= 2:
		return offTimes(ratio) + " as strong"
	case ratio > 1:
		return formatPercent(ratio-1) + " too strong"
	}
	return formatPercent(1-ratio) + " too weak"
}

// markOff sets how far the dye of a bag is off, by the jugs that were in use when it was closed.
func markOff(s batch.State, v *ColourView, at zone.Instant) {
	c, known := s.Colour(v.ID)
	if j, mixed := jugAt(s, v.ID, at); known && mixed {
		v.OffText = jugOff(c, j)
	}
}
