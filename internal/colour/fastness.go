package colour

import (
	"math"
	"strconv"

	"coldbatch/internal/provenance"
)

// The sources of the grey scale grades for colour change and for staining. In the first,
// the equations for D and its parts are from memory, so all of it counts as from memory.
var (
	changeSource = provenance.Source{Reliability: provenance.Memory, Text: "EN ISO 105-A05:1997: clause 8 as read in a public copy of its formulas, the corrections of chroma and hue (7.2) from memory"}
	stainSource  = provenance.Source{Reliability: provenance.Published, Text: "EN ISO 105-A04:1999, as read in public copies of its formulas; natural logarithm, which alone gives the steps of ISO 105-A03"}
)

// The constants of the grades.
var (
	DifferencePerGrade      = provenance.Value{Name: "change: difference a grade, down to 3", Value: 1.7, Unit: "1", Source: changeSource}
	GradeDoublingDifference = provenance.Value{Name: "change: difference whose doublings cost a grade, below 3", Value: 0.85, Unit: "1", Source: changeSource}

	blueHueCentre = provenance.Value{Name: "change: hue of the blues that are judged apart", Value: 280, Unit: "°", Source: changeSource}
	blueHueWidth  = provenance.Value{Name: "change: width of those blues", Value: 30, Unit: "°", Source: changeSource}
	changeDivisor = provenance.Value{Name: "change: divisor of the part taken off chroma and hue", Value: 100, Unit: "1", Source: changeSource}
	chromaWeight  = provenance.Value{Name: "change: weight of chroma against a change of chroma, in thousandths", Value: 20, Unit: "1", Source: changeSource}
	hueWeight     = provenance.Value{Name: "change: weight of chroma against a change of hue, in thousandths", Value: 10, Unit: "1", Source: changeSource}

	StainRatingAt1  = provenance.Value{Name: "staining: rating at a difference of 1, below 4", Value: 6.1, Unit: "1", Source: stainSource}
	StainLogLoss    = provenance.Value{Name: "staining: loss a factor e, below 4", Value: 1.45, Unit: "1", Source: stainSource}
	StainLinearLoss = provenance.Value{Name: "staining: loss a unit of difference, above 4", Value: 0.23, Unit: "1", Source: stainSource}

	stainColourShare = provenance.Value{Name: "staining: share of the difference in colour that is taken off", Value: 0.4, Unit: "1", Source: stainSource}
)

// Values lists every constant of the package, a set of coefficients as one.
func Values() []provenance.Value {
	return append(colourSpaceValues(), DifferencePerGrade, GradeDoublingDifference, blueHueCentre, blueHueWidth, changeDivisor, chromaWeight, hueWeight, StainRatingAt1, StainLogLoss, StainLinearLoss, stainColourShare, MinWhitening)
}

// GreyScaleRating is a grey-scale rating from 5 (no difference) to 1.
type GreyScaleRating float64

// Grade is the rating in the half steps of the grey scales: "4-5". The bounds
// are half-way, 4.75, 4.25 and so on, of the rating to two digits.
func (r GreyScaleRating) Grade() string {
	halves := int(math.Floor(math.Round(float64(r)*100)/50 + 0.5))
	s := strconv.Itoa(halves / 2)
	if halves%2 == 1 {
		s += "-" + strconv.Itoa(halves/2+1)
	}
	return s
}

// RateColourChange rates how much a colour changed, after ISO 105-A05. The order of the two
// does not matter.
func RateColourChange(before, after Lab) GreyScaleRating {
	c0, c1 := chroma(before.A, before.B), chroma(after.A, after.B)
	h0, h1 := hue(before.A, before.B), hue(after.A, after.B)
	dL, dC, dH := after.L-before.L, c1-c0, hueDifference(before, after)
	c, h := (c0+c1)/2, meanHue(h0, h1)
	off := math.Abs(h - blueHueCentre.Value)
	off = min(off, 360-off) / blueHueWidth.Value
	// The next three lines are from memory of clause 7.2.
	d := dC * c * math.Exp(-off*off) / changeDivisor.Value
	dC = (dC - d) / damping(chromaWeight, c)
	dH = (dH - d) / damping(hueWeight, c)
	// Clause 8.
	e := math.Sqrt(dL*dL + dC*dC + dH*dH)
	if e <= 2*DifferencePerGrade.Value {
		return GreyScaleRating(5 - e/DifferencePerGrade.Value)
	}
	return GreyScaleRating(max(5-math.Log2(e/GradeDoublingDifference.Value), 1))
}

// damping is the divisor of clause 7.2 for the mean chroma c, from memory.
func damping(weigh provenance.Value, c float64) float64 {
	w := weigh.Value * c / 1000
	return 1 + w*w
}

// hueDifference is ΔH*ab: what is left of the difference beside lightness and
// chroma, below zero where the hue turns back.
func hueDifference(p, q Lab) float64 {
	dA, dB, dC := q.A-p.A, q.B-p.B, chroma(q.A, q.B)-chroma(p.A, p.B)
	d := math.Sqrt(max(dA*dA+dB*dB-dC*dC, 0))
	if p.A*q.B < p.B*q.A {
		return -d
	}
	return d
}

// RateStaining rates how much a white cloth was stained, after ISO 105-A04.
func RateStaining(before, after Lab) GreyScaleRating {
	dL, dA, dB := after.L-before.L, after.A-before.A, after.B-before.B
	d := math.Sqrt(dL*dL+dA*dA+dB*dB) - stainColourShare.Value*math.Sqrt(dA*dA+dB*dB)
	if d <= 0 { // equal: there is no logarithm
		return 5
	}
	r := StainRatingAt1.Value - StainLogLoss.Value*math.Log(d)
	if r > 4 {
		r = 5 - StainLinearLoss.Value*d
	}
	return GreyScaleRating(max(r, 1))
}

// MinWhitening says how much nearer to white a rag is before it counts as whiter.
var MinWhitening = provenance.Value{Name: "difference from which a rag counts as whiter", Value: 1, Unit: "1",
	Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: more than two measurements of one rag differ"}}

// IsWhiter reports whether after is nearer to perfect white (L* 100, a* and b* 0) than
// before by MinWhitening or more: a rag that took on no dye, so that no grade of staining
// holds.
func IsWhiter(before, after Lab) bool {
	fromWhite := func(c Lab) float64 { return math.Hypot(100-c.L, math.Hypot(c.A, c.B)) }
	return fromWhite(before)-fromWhite(after) >= MinWhitening.Value
}
