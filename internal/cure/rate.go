package cure

import (
	"math"

	"coldbatch/internal/place"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// How the speed of the cure changes with temperature: S. Arrhenius, Z. phys.
// Chem. 4 (1889) 226 (from memory): k = A exp(-Ea/RT).
var (
	// ActivationEnergy is the apparent activation energy of the cure in a bag with soda ash.
	// For dichlorotriazine and vinyl sulfone dyes no figure was found in print. The
	// low end, 50, is the rule of thumb that the speed doubles every 10 °C. The high
	// end, 105, is 75 at a fixed alkalinity plus 0.7 (the order in hydroxide) times
	// about 39 kJ/mol by which the alkalinity of half-spent soda ash itself grows
	// with temperature (from pK2 and pKw).
	ActivationEnergy = provenance.Value{Name: "apparent activation energy of the cure", Value: 75, Unit: "kJ/mol", Low: 50, High: 105,
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: 50 is the rule of thumb that the speed doubles every 10 °C; 105 allows for soda ash that is more alkaline when warmer"}}
	// SlowBelowTemperature is the temperature below which the bag should go to a warmer place.
	SlowBelowTemperature = provenance.Value{Name: "temperature below which a bag is slow", Value: 10, Unit: "°C",
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: the usual time becomes days there"}}
	// FreezingTemperature is the temperature at and below which no hours count.
	FreezingTemperature = provenance.Value{Name: "temperature at which nothing bonds", Value: 0, Unit: "°C",
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: dye moves and bonds in liquid water"}}
	// NoGainFactor says how many times the usual time a bag gains from at most.
	NoGainFactor = provenance.Value{Name: "times the usual time after which waiting gains nothing", Value: 3, Unit: "1",
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: practice only says that longer does no harm"}}

	siSource            = provenance.Source{Reliability: provenance.Memory, Text: "BIPM, SI Brochure, 9th edition, 2019"}
	gasConstant         = provenance.Value{Name: "molar gas constant", Value: 8.31446261815324e-3, Unit: "kJ/(mol K)", Source: siSource}
	zeroCelsiusInKelvin = provenance.Value{Name: "0 °C in kelvin", Value: 273.15, Unit: "K", Source: siSource}
)

// rateModel is one set of assumptions about how fast a bag cures. Practice gives a time at
// one temperature; the rate is 1 there, and the activation energy says how much faster or
// slower the cure is at others. spreadShift moves the temperatures that were read to the cold or
// the warm end of their error.
type rateModel struct {
	energy          float64 // kJ/mol
	spreadShift     float64 // -1, 0 or +1: by how many spreads
	practiceCelsius float64 // °C, the temperature that the usual time is for
	practiceSeconds float64 // s that a whole cure takes at that temperature
}

// middleModel returns the model behind the middle figure.
func (r practiceTimes) middleModel() rateModel {
	return rateModel{ActivationEnergy.Value, 0, float64(r.temperature), float64(r.usualTime)}
}

// earlyModels returns the models whose soonest is the early figure: at the warm side of
// the readings, with the shortest time of the rule. The activation energy is one
// number, though nobody knows it, so the ends of its range are tried over the whole
// course and not at each moment; the middle one is tried too, so that early, middle
// and late are in order on any course.
func (r practiceTimes) earlyModels() []rateModel { return r.models(+1, r.shortestTime) }

// lateModels returns the models whose latest is the late figure: at the cold side, with
// the longest time of the rule.
func (r practiceTimes) lateModels() []rateModel { return r.models(-1, r.longestTime) }

func (r practiceTimes) models(side float64, need unit.Duration) []rateModel {
	var all []rateModel
	for _, energy := range []float64{ActivationEnergy.Low, ActivationEnergy.Value, ActivationEnergy.High} {
		all = append(all, rateModel{energy, side, float64(r.temperature), float64(need)})
	}
	return all
}

// celsius returns the temperature the model assumes at n.
func (m rateModel) celsius(n place.CoursePoint) float64 {
	return float64(n.Celsius) + m.spreadShift*float64(n.Spread)
}

// rate returns how many seconds of practice a second at n counts for. Whether it
// freezes is decided by the temperature as it was read, not by the side of its
// spread: otherwise one end of the range would jump where the other does not.
func (m rateModel) rate(n place.CoursePoint) float64 {
	if float64(n.Celsius) <= FreezingTemperature.Value {
		return 0
	}
	return arrheniusFactor(m.energy, m.celsius(n), m.practiceCelsius)
}

// arrheniusFactor returns how much faster a reaction of that activation energy (kJ/mol)
// runs at c than at ref, both in degrees Celsius.
func arrheniusFactor(energy, c, ref float64) float64 {
	return math.Exp(energy / gasConstant.Value * (1/(ref+zeroCelsiusInKelvin.Value) - 1/(c+zeroCelsiusInKelvin.Value)))
}

// courseSegment is a straight piece of the course as a model sees it: from a to b
// degrees in seconds, starting at start.
type courseSegment struct {
	start   zone.Instant
	seconds float64
	a, b    float64
}

// maxSegmentDegrees says how many degrees a segment may span in one application of Simpson's
// rule. The rule's relative error on exp(x) over a step h is about h⁴/2880
// (Abramowitz and Stegun 1964, 25.4.5, from memory); over 2 °C the exponent changes
// by at most 0.4, at -20 °C, so the error stays below 1e-5.
const maxSegmentDegrees = 2.0

// practiceSecondsIn returns the seconds of practice in the first x (0 to 1) of a segment that
// spans no more than step.
func (m rateModel) practiceSecondsIn(s courseSegment, x float64) float64 {
	rate := func(c float64) float64 { return arrheniusFactor(m.energy, c, m.practiceCelsius) }
	b := s.a + x*(s.b-s.a)
	return x * s.seconds / 6 * (rate(s.a) + 4*rate((s.a+b)/2) + rate(b))
}

// segments calls visit for every segment from from to to that is not frozen, none
// spanning more than step, until visit returns false; then it returns false too.
func (m rateModel) segments(c place.TemperatureCourse, from, to zone.Instant, visit func(courseSegment) bool) bool {
	for na, nb := range c.Segments(from, to) {
		lo, hi := partAboveFreezing(float64(na.Celsius), float64(nb.Celsius))
		if lo >= hi {
			continue
		}
		seconds := float64(nb.At.Sub(na.At)) / 1000
		a, b := m.celsius(na), m.celsius(nb)
		n := math.Max(1, math.Ceil(math.Abs(b-a)*(hi-lo)/maxSegmentDegrees))
		for i := 0.0; i < n; i++ {
			x, y := lo+(hi-lo)*i/n, lo+(hi-lo)*(i+1)/n
			part := courseSegment{na.At.Add(zone.Span(seconds * 1000 * x)), seconds * (y - x), a + (b-a)*x, a + (b-a)*y}
			if !visit(part) {
				return false
			}
		}
	}
	return true
}

// partAboveFreezing returns the part of a line from a to b degrees that is above FreezingTemperature, as
// two shares of its length.
func partAboveFreezing(a, b float64) (lo, hi float64) {
	f := FreezingTemperature.Value
	switch {
	case a <= f && b <= f:
		return 0, 0
	case a <= f:
		return (f - a) / (b - a), 1
	case b <= f:
		return 0, (f - a) / (b - a)
	}
	return 0, 1
}

// wetSpan is a time in which the goods are wet.
type wetSpan struct{ from, to zone.Instant }

// total returns the seconds of practice that the course counts for in the spans, up
// to the instant to.
func (m rateModel) total(c place.TemperatureCourse, wet []wetSpan, to zone.Instant) float64 {
	sum := 0.0
	for _, w := range wet {
		m.segments(c, w.from, min(w.to, to), func(s courseSegment) bool {
			sum += m.practiceSecondsIn(s, 1)
			return true
		})
	}
	return sum
}

// findTime returns the time at which the course has added up to times whole cures within the spans,
// rounded to the minute, or zero if that never happens.
func (m rateModel) findTime(c place.TemperatureCourse, wet []wetSpan, times float64) (at zone.Instant) {
	need := m.practiceSeconds * times
	for _, w := range wet {
		onwards := m.segments(c, w.from, w.to, func(s courseSegment) bool {
			n := m.practiceSecondsIn(s, 1)
			if n < need {
				need -= n
				return true
			}
			lo, hi := 0.0, 1.0
			for (hi-lo)*s.seconds > 0.01 {
				if mid := (lo + hi) / 2; m.practiceSecondsIn(s, mid) < need {
					lo = mid
				} else {
					hi = mid
				}
			}
			at = roundToMinute(s.start.Add(zone.Span(hi * s.seconds * 1000)))
			return false
		})
		if !onwards {
			break
		}
	}
	return at
}

// roundToMinute rounds to the nearest minute.
func roundToMinute(i zone.Instant) zone.Instant {
	up := i.Add(zone.Minute / 2)
	rest := int64(up) % int64(zone.Minute)
	if rest < 0 {
		rest += int64(zone.Minute)
	}
	return up - zone.Instant(rest)
}
