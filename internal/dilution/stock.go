// Package dilution makes weak dye from strong dye: measured from a stock solution
// with a syringe (StockSolution), or as a row of jugs that are each made from the one
// before (Series). Both say how far the result may be off. It knows no cloth.
package dilution

import (
	"math"

	"coldbatch/internal/dye"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// MassBalanceSource is the source of the sums: what is taken holds as much dye as what is
// made of it.
var MassBalanceSource = provenance.Source{Reliability: provenance.Memory, Text: "textbook algebra of dilution: strength × volume is the same before and after"}

// ReadingError says how far a volume that was read off a scale of lines may be off, in
// steps, either way.
var ReadingError = provenance.Value{Name: "error of a reading, in steps of the syringe or jug", Value: 0.5, Unit: "1",
	Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: a line is read to half a step"}}

// StockSolution is a solution that is kept for measuring small amounts of dye.
type StockSolution struct {
	Strength  unit.Concentration
	Volume    unit.Volume // made up to
	ScaleStep unit.Mass   // smallest step of the scale that weighed the powder
}

// Powder is the dye powder in the stock.
func (s StockSolution) Powder() unit.Mass { return s.Strength.MassIn(s.Volume) }

// StrengthError says how far the strength of the stock may be off, either way.
func (s StockSolution) StrengthError() unit.Share { return dye.ScaleError(s.Powder(), s.ScaleStep) }

// StockVolume is the stock that makes v of strength c. It is more than v where the stock
// is too weak; a stock of no strength returns zero.
func (s StockSolution) StockVolume(c unit.Concentration, v unit.Volume) unit.Volume {
	if s.Strength <= 0 {
		return 0
	}
	return unit.Volume(float64(v) * float64(c) / float64(s.Strength))
}

// ResultStrength is the strength of v that holds take of the stock, measured with lines step
// apart, with its range over the errors of scale and reading.
func (s StockSolution) ResultStrength(take, step, v unit.Volume) (c, low, high unit.Concentration) {
	if v <= 0 {
		return 0, 0, 0
	}
	scale, read := float64(s.StrengthError()), ReadingError.Value*float64(step)
	at := func(taken, off float64) unit.Concentration {
		return unit.Concentration(max(taken, 0) * float64(s.Strength) * max(1+off, 0) / float64(v))
	}
	return at(float64(take), 0), at(float64(take)-read, -scale), at(float64(take)+read, scale)
}

// RoundToStep rounds v to the nearest line of a syringe or jug, and to one step at
// least.
func RoundToStep(v, step unit.Volume) unit.Volume {
	if step <= 0 {
		return v
	}
	return unit.Volume(max(1, math.Round(float64(v/step)))) * step
}

// SmallestVolume is the volume from which on lines step apart measure to dye.Good.
func SmallestVolume(step unit.Volume) unit.Volume {
	return unit.Volume(ReadingError.Value * float64(step) / dye.MaxGoodError.Value)
}

// readingError says how far v may be off that was measured with lines step apart.
func readingError(v, step unit.Volume) float64 {
	if v <= 0 {
		return 0
	}
	return ReadingError.Value * float64(step) / float64(v)
}

// StockDilution returns how many times weaker a stock must be so that take, from it, is
// measured to dye.Good; ok is false where the jug of v then has no room for it.
// For a stock that can be measured well without dilution it returns 1.
func StockDilution(take, step, v unit.Volume) (times float64, ok bool) {
	const tie = 1e-9
	least := float64(SmallestVolume(step))
	if take <= 0 || float64(take) >= least*(1-tie) {
		return 1, true
	}
	times = math.Ceil(least/float64(take) - tie)
	return times, times*float64(take) <= float64(v)*(1+tie)
}
