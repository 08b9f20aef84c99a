package colour

import (
	"math"

	"coldbatch/internal/provenance"
)

// CIEDE2000Source is the source of Difference.
var CIEDE2000Source = provenance.Source{Reliability: provenance.Published, Text: "G. Sharma, W. Wu and E. N. Dalal, Color Res. Appl. 30(1) (2005) 21–30: CIEDE2000"}

// Difference is the CIEDE2000 difference of two colours, with all factors 1. It
// is 0 for equal colours and does not depend on their order.
func Difference(p, q Lab) float64 {
	// Sharma et al. 2005, equations 2–7: a* is stretched near grey.
	mean := (chroma(p.A, p.B) + chroma(q.A, q.B)) / 2
	g := 1 + 0.5*(1-rotationFactor(mean))
	c1, c2 := chroma(g*p.A, p.B), chroma(g*q.A, q.B)
	h1, h2 := hue(g*p.A, p.B), hue(g*q.A, q.B)
	// Equations 8–11.
	dL, dC, turn := q.L-p.L, c2-c1, h2-h1
	switch {
	case c1*c2 == 0:
		turn = 0
	case turn > 180:
		turn -= 360
	case turn < -180:
		turn += 360
	}
	dH := 2 * math.Sqrt(c1*c2) * sin(turn/2)
	// Equations 12–14: the mean hue. A grey has no hue, so with a grey it is the hue of the other.
	l, c, h := (p.L+q.L)/2, (c1+c2)/2, h1+h2
	if c1*c2 != 0 {
		h = meanHue(h1, h2)
	}
	// Equations 15–21.
	t := 1 - 0.17*cos(h-30) + 0.24*cos(2*h) + 0.32*cos(3*h+6) - 0.20*cos(4*h-63)
	off := (h - 275) / 25
	rT := -2 * rotationFactor(c) * sin(60*math.Exp(-off*off))
	l50 := (l - 50) * (l - 50)
	dL /= 1 + 0.015*l50/math.Sqrt(20+l50)
	dC /= 1 + 0.045*c
	dH /= 1 + 0.015*c*t
	// Equation 22; the last bits of equal colours must not go below zero.
	return math.Sqrt(max(dL*dL+dC*dC+dH*dH+rT*dC*dH, 0))
}

// rotationFactor is sqrt(c⁷/(c⁷+25⁷)).
func rotationFactor(c float64) float64 {
	c7 := math.Pow(c, 7)
	return math.Sqrt(c7 / (c7 + 6103515625))
}

// meanHue is the hue half-way between two, the shorter way round.
func meanHue(h1, h2 float64) float64 {
	h := (h1 + h2) / 2
	switch {
	case math.Abs(h1-h2) <= 180:
	case h1+h2 < 360:
		h += 180
	default:
		h -= 180
	}
	return h
}

func sin(degrees float64) float64 { return math.Sin(degrees * math.Pi / 180) }
func cos(degrees float64) float64 { return math.Cos(degrees * math.Pi / 180) }
