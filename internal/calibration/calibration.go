// Package calibration draws from how a dyer's own pieces came out what to use in place of a
// usual figure. Median is for a figure that was measured several times, such as what dyed cloth
// holds; Factor for how far a model was off, such as the white inside of a fold; Threshold for
// what is only seen to be enough or too little, such as the cure. All begin at the usual figure.
// It knows nothing of batches: packages batchview and fold collect the results.
package calibration

import (
	"math"
	"slices"

	"coldbatch/internal/provenance"
)

// The rule's own figures.
var (
	// MinResults says how many results a figure needs before it is used at all.
	MinResults = provenance.Value{Name: "results that a figure of one's own needs", Value: 3, Unit: "1", Source: judgement("fewer may all be odd ones")}
	// UsualWeight says how many results the usual figure counts as in Median.
	UsualWeight = provenance.Value{Name: "results that the usual figure counts as", Value: 4, Unit: "1", Source: judgement("after four results they and the usual figure weigh the same")}
	// Spread says how far from the usual figure, as a share of it, one result outweighs; twice as far
	// takes four.
	Spread = provenance.Value{Name: "change that one result outweighs", Value: 0.2, Unit: "1", Source: judgement("one odd piece changes little, several that agree change much")}
	// FailureWeight says how many results a result counts as if it was too little.
	FailureWeight = provenance.Value{Name: "results that one counts as that was too little", Value: 2, Unit: "1", Source: judgement("a pale piece costs more than a day of waiting")}
)

// MinEffect and MaxEffect bound how far one piece may say that dye went, as a multiple of what the
// model of a fold says (judgement): beyond, the piece was not dyed as its design says.
const MinEffect, MaxEffect = 0.4, 1.6

func judgement(text string) provenance.Source {
	return provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: " + text}
}

// Figure is a figure of the dyer's own, and the number of results it rests on.
type Figure struct {
	Value   float64
	Results int
}

// IsEnough says whether it rests on enough results.
func (f Figure) IsEnough() bool { return f.Results >= int(MinResults.Value) }

// Median returns the mean of the usual figure, which counts as UsualWeight results, and of the
// median of what was measured, which counts as many as there are. A single odd result moves a
// median hardly. What was measured is held within low and high first. Values that are no
// numbers are left out.
func Median(usual, low, high float64, measured []float64) Figure {
	var values []float64
	for _, v := range measured {
		if !math.IsNaN(v) {
			values = append(values, min(high, max(low, v)))
		}
	}
	n := len(values)
	if n == 0 {
		return Figure{Value: usual}
	}
	slices.Sort(values)
	middle := (values[(n-1)/2] + values[n/2]) / 2
	w := UsualWeight.Value
	return Figure{Value: (w*usual + float64(n)*middle) / (w + float64(n)), Results: n}
}

// MeanFactor returns the geometric mean of factors and one more factor of 1, so that one odd piece does
// not overturn the guess. Each factor is first limited to the range from low to high; factors that are
// not above 0 are ignored.
func MeanFactor(low, high float64, factors []float64) Figure {
	sum, n := 0., 0
	for _, f := range factors {
		if f > 0 {
			sum += math.Log(min(high, max(low, f)))
			n++
		}
	}
	return Figure{Value: math.Exp(sum / float64(n+1)), Results: n}
}

// Outcome says how much of something a piece had, as a multiple of the usual, and whether that was
// enough.
type Outcome struct {
	Had       float64
	WasEnough bool
}

// EnoughThreshold returns the smallest multiple of the usual amount, to a hundredth, at which pieces
// come out well. Each multiple gets penalties: 1 for each piece that had less and was enough,
// FailureWeight for each piece that had as much and was too little, and the square of its distance
// from 1 in units of Spread. The multiple between low and high with the smallest penalty wins; of equal
// ones the nearest to 1. Outcomes that are not numbers are ignored.
func EnoughThreshold(low, high float64, outcomes []Outcome) Figure {
	known := slices.DeleteFunc(slices.Clone(outcomes), func(o Outcome) bool { return math.IsNaN(o.Had) || math.IsInf(o.Had, 0) })
	against := func(x float64) float64 {
		sum := (x - 1) / Spread.Value * (x - 1) / Spread.Value
		for _, o := range known {
			switch {
			case o.WasEnough && o.Had < x-tie:
				sum++
			case !o.WasEnough && o.Had > x-0.01+tie:
				sum += FailureWeight.Value
			}
		}
		return sum
	}
	best, least := 1., against(1)
	for hundredths := 1.; hundredths <= 100*max(high-1, 1-low); hundredths++ {
		for _, x := range []float64{1 - hundredths/100, 1 + hundredths/100} {
			if x < low-tie || x > high+tie {
				continue
			}
			if a := against(x); a < least-tie {
				best, least = x, a
			}
		}
	}
	return Figure{Value: best, Results: len(known)}
}

// tie is less than a hundredth of a hundredth: the last bits of a figure decide nothing.
const tie = 1e-6
