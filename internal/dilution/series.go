package dilution

import (
	"math"

	"coldbatch/internal/dye"
	"coldbatch/internal/unit"
)

// Series is a gradation: a first jug, and each next one made of the one before
// with water. Ratio is above 0 and below 1, JugCount at least 1.
type Series struct {
	FirstStrength unit.Concentration // strength of the first jug
	Ratio         float64            // strength of each jug, of that before it
	JugCount      int                // jugs, with the first
	JugVolume     unit.Volume        // wanted of each
	SyringeStep   unit.Volume        // smallest step of the syringe or measuring jug
	ScaleStep     unit.Mass          // smallest step of the scale
}

// Jug is one strength of a series.
type Jug struct {
	Strength    unit.Concentration
	TakenBefore unit.Volume // from the jug before; 0 for the first
	MadeUp      unit.Volume // with water; what goes into the next jug with it
	Error       unit.Share  // of the strength, either way: the errors so far add up
}

// RatioBetween is the ratio of a series of count jugs that ends with strength last. A
// series of one jug, or a first strength of zero, returns zero.
func RatioBetween(first, last unit.Concentration, count int) float64 {
	if count < 2 || first <= 0 || last <= 0 {
		return 0
	}
	return math.Pow(float64(last/first), 1/float64(count-1))
}

// Jugs works out the series from its end: a jug holds what is wanted of it and
// what the next one is made of.
func (s Series) Jugs() []Jug {
	jugs := make([]Jug, max(s.JugCount, 0))
	next := 0.0
	for i := len(jugs) - 1; i >= 0; i-- {
		made := float64(s.JugVolume) + next
		jugs[i] = Jug{Strength: s.FirstStrength * unit.Concentration(math.Pow(s.Ratio, float64(i))), MadeUp: unit.Volume(made)}
		if i > 0 {
			next = s.Ratio * made
			jugs[i].TakenBefore = unit.Volume(next)
		}
	}
	off := 0.0
	for i := range jugs {
		j := &jugs[i]
		if i == 0 {
			off = float64(dye.ScaleError(s.powder(*j), s.ScaleStep))
		}
		off += readingError(j.TakenBefore, s.SyringeStep) + readingError(j.MadeUp, s.SyringeStep)
		j.Error = unit.Share(off)
	}
	return jugs
}

func (s Series) powder(first Jug) unit.Mass { return first.Strength.MassIn(first.MadeUp) }

// Powder is the dye powder for the first jug, and so for all.
func (s Series) Powder() unit.Mass {
	if s.JugCount < 1 {
		return 0
	}
	return s.powder(s.Jugs()[0])
}

// ErrorFromFirstJug is the error of the last jug where each is measured from the first
// one instead: no errors add up on the way, but the amounts measured are small.
func (s Series) ErrorFromFirstJug() unit.Share {
	jugs := s.Jugs()
	if len(jugs) < 2 {
		return 0
	}
	taken := unit.Volume(float64(s.JugVolume) * math.Pow(s.Ratio, float64(s.JugCount-1)))
	return jugs[0].Error + unit.Share(readingError(taken, s.SyringeStep)+readingError(s.JugVolume, s.SyringeStep))
}
