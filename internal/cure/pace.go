package cure

import (
	"math"

	"coldbatch/internal/fault"
	"coldbatch/internal/place"
	"coldbatch/internal/zone"
)

// How the speed of the cure moves with temperature: S. Arrhenius, Z. phys.
// Chem. 4 (1889) 226 (from memory): k = A exp(-Ea/RT).
var (
	// Energy is the activation energy of dye and cellulose at fixed alkali. For
	// dichlorotriazine and vinyl sulfone dyes no figure was found in print.
	Energy = fault.Value{Name: "activation energy of the cure", Value: 75, Unit: "kJ/mol", Low: 60, High: 90,
		Source: fault.Source{Kind: fault.Practice, Text: "judgement: range of activation energies assumed for fibre-reactive dyes, no source"}}
	// Floor is the temperature below which the late figure counts nothing.
	Floor = fault.Value{Name: "temperature below which nothing is counted on", Value: 10, Unit: "°C",
		Source: fault.CommonPractice}
	// PastTimes is how many times the usual time a bag gains from at most.
	PastTimes = fault.Value{Name: "times the usual time after which waiting gains nothing", Value: 3, Unit: "1",
		Source: fault.CommonPractice}

	si  = fault.Source{Kind: fault.Memory, Text: "BIPM, SI Brochure, 9th edition, 2019"}
	gas = fault.Value{Name: "molar gas constant", Value: 8.31446261815324e-3, Unit: "kJ/(mol K)", Source: si}
	ice = fault.Value{Name: "0 °C in kelvin", Value: 273.15, Unit: "K", Source: si}
)

// pace is one way to see how fast a bag cures: an activation energy, and the
// temperature of the course moved by side times its spread. The rate is 1 at the
// temperature of practice. A pace with a floor is zero below Floor.
type pace struct {
	energy float64 // kJ/mol
	side   float64 // -1, 0 or +1
	at     float64 // °C
	floor  bool
}

func middle(p Practice) pace { return pace{energy: Energy.Value, at: float64(p.At)} }

// early gives the paces whose soonest is the early figure: at the warm side,
// with each activation energy. The energy is one number though nobody knows it,
// so that the ends of its range are tried over the whole course, not at each
// moment; the middle one is tried too, so that early, middle and late are in
// order on any course.
func early(p Practice) []pace {
	return []pace{
		{Energy.Low, +1, float64(p.At), false},
		{Energy.Value, +1, float64(p.At), false},
		{Energy.High, +1, float64(p.At), false},
	}
}

// late gives the paces whose latest is the late figure: at the cold side.
func late(p Practice) []pace {
	return []pace{
		{Energy.Low, -1, float64(p.At), true},
		{Energy.Value, -1, float64(p.At), true},
		{Energy.High, -1, float64(p.At), true},
	}
}

// celsius gives the temperature the pace sees at n.
func (p pace) celsius(n place.Node) float64 {
	return float64(n.Celsius) + p.side*float64(n.Spread)
}

// rate gives how many seconds of practice a second at c degrees is worth.
func (p pace) rate(c float64) float64 {
	if p.floor && c < Floor.Value {
		return 0
	}
	return arrhenius(p.energy, c, p.at)
}

// arrhenius gives how much faster a reaction of that activation energy (kJ/mol)
// runs at c than at ref, both in degrees Celsius.
func arrhenius(energy, c, ref float64) float64 {
	return math.Exp(energy / gas.Value * (1/(ref+ice.Value) - 1/(c+ice.Value)))
}

// leg is a straight line of the course as a pace sees it: from a to b degrees
// in seconds, starting at start.
type leg struct {
	start   zone.Instant
	seconds float64
	a, b    float64
}

// step is how many degrees a leg may span in one application of Simpson's rule.
// The rule's relative error on exp(x) over a step h is about h⁴/2880 (Abramowitz
// and Stegun 1964, 25.4.5, from memory); over 2 °C the exponent moves by at most
// 0.4, at -40 °C, so that the error stays below 1e-5.
const step = 2.0

// worth gives the seconds of practice in the first x (0 to 1) of a leg that
// spans no more than step. The leg is one that counts: asking for the floor again
// would lose its end, which rounding may put a hair below.
func (p pace) worth(l leg, x float64) float64 {
	rate := func(c float64) float64 { return arrhenius(p.energy, c, p.at) }
	b := l.a + x*(l.b-l.a)
	return x * l.seconds / 6 * (rate(l.a) + 4*rate((l.a+b)/2) + rate(b))
}

// legs calls visit for every leg that counts, none spanning more than step, until
// visit says stop.
func (p pace) legs(c place.Course, from, to zone.Instant, visit func(leg) bool) {
	for na, nb := range c.Stretches(from, to) {
		l := leg{na.At, float64(nb.At.Sub(na.At)) / 1000, p.celsius(na), p.celsius(nb)}
		l, ok := p.above(l)
		if !ok {
			continue
		}
		n := math.Max(1, math.Ceil(math.Abs(l.b-l.a)/step))
		for i := 0.0; i < n; i++ {
			part := leg{
				start:   l.start.Add(zone.Span(l.seconds * 1000 * i / n)),
				seconds: l.seconds / n,
				a:       l.a + (l.b-l.a)*i/n,
				b:       l.a + (l.b-l.a)*(i+1)/n,
			}
			if !visit(part) {
				return
			}
		}
	}
}

// above gives the part of a leg that is not below the floor, and false where
// there is none.
func (p pace) above(l leg) (leg, bool) {
	f := Floor.Value
	switch {
	case !p.floor || l.a >= f && l.b >= f:
		return l, true
	case l.a < f && l.b < f:
		return l, false
	}
	x := (f - l.a) / (l.b - l.a)
	if l.a < f {
		l.start = l.start.Add(zone.Span(l.seconds * 1000 * x))
		l.seconds, l.a = l.seconds*(1-x), f
	} else {
		l.seconds, l.b = l.seconds*x, f
	}
	return l, l.seconds > 0
}

// total gives the seconds of practice that the course is worth from from to to.
func (p pace) total(c place.Course, from, to zone.Instant) float64 {
	sum := 0.0
	p.legs(c, from, to, func(l leg) bool {
		sum += p.worth(l, 1)
		return true
	})
	return sum
}

// reach gives when the course has been worth need seconds of practice since
// from, rounded to the minute, or zero if not by until.
func (p pace) reach(c place.Course, from, until zone.Instant, need float64) zone.Instant {
	var at zone.Instant
	p.legs(c, from, until, func(l leg) bool {
		w := p.worth(l, 1)
		if w < need {
			need -= w
			return true
		}
		lo, hi := 0.0, 1.0
		for (hi-lo)*l.seconds > 0.01 {
			if mid := (lo + hi) / 2; p.worth(l, mid) < need {
				lo = mid
			} else {
				hi = mid
			}
		}
		at = toMinute(l.start.Add(zone.Span(hi * l.seconds * 1000)))
		return false
	})
	return at
}

// toMinute rounds to the nearest minute.
func toMinute(i zone.Instant) zone.Instant {
	up := i.Add(zone.Minute / 2)
	rest := int64(up) % int64(zone.Minute)
	if rest < 0 {
		rest += int64(zone.Minute)
	}
	return up - zone.Instant(rest)
}
