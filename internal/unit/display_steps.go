package unit

import "math"

// displayStep is the unit and the step in which quantities of at least a size are shown.
type displayStep struct {
	smallest     float64 // base units; the smallest quantity that this is for
	unit         string
	size         float64 // base units in one unit
	step         float64 // what the instrument shows, in the unit
	minorUnit    string  // the smaller unit of a pair, such as oz in lb and oz
	minorPerUnit float64 // how many minor units make one unit; 0 without a pair
}

// newStep makes a displayStep of a single unit.
func newStep(from float64, unit string, size, step float64) displayStep {
	return displayStep{smallest: from, unit: unit, size: size, step: step}
}

// wholeHours is for times of two days and more, and for ranges of 10 h and more.
var wholeHours = newStep(48*3600, "h", 3600, 1)

// The steps are what kitchen and pocket scales, syringes and jugs, kitchen
// thermometers and pH meters show: common practice, no source. None needs three
// digits after the decimal sign, which Parse would refuse after a comma.
var metricSteps = map[Kind][]displayStep{
	KindMass: {
		newStep(0, "g", 1, 0.01), newStep(10, "g", 1, 0.1), newStep(100, "g", 1, 1),
		newStep(1000, "kg", 1000, 0.01), newStep(1e4, "kg", 1000, 0.1), newStep(1e5, "kg", 1000, 1),
	},
	KindVolume: {
		newStep(0, "mL", 1, 0.01), newStep(1, "mL", 1, 0.1), newStep(10, "mL", 1, 1),
		newStep(1000, "L", 1000, 0.01), newStep(1e4, "L", 1000, 0.1), newStep(1e5, "L", 1000, 1),
	},
	KindTemperature:           {newStep(0, "°C", 1, 0.1)},
	KindTemperatureDifference: {newStep(0, "°C", 1, 0.1)},
	KindConcentration:         {newStep(0, "mg/L", 0.001, 1), newStep(0.1, "g/L", 1, 0.01), newStep(10, "g/L", 1, 0.1), newStep(100, "g/L", 1, 1)},
	KindDuration: {
		newStep(0, "s", 1, 1), newStep(120, "min", 60, 1),
		{smallest: 3600, unit: "h", size: 3600, step: 1. / 60, minorUnit: "min", minorPerUnit: 60}, wholeHours,
		{smallest: 168 * 3600, unit: "days", size: 86400, step: 1. / 24, minorUnit: "h", minorPerUnit: 24},
	},
	KindShare:          {newStep(0, "%", 0.01, 0.01), newStep(0.01, "%", 0.01, 0.1), newStep(1, "%", 0.01, 1)},
	KindPH:             {newStep(0, "", 1, 0.1)},
	KindCount:          {newStep(0, "", 1, 1)},
	KindArea:           {newStep(0, "cm²", 1e-4, 1), newStep(0.1, "m²", 1, 0.01), newStep(10, "m²", 1, 0.1), newStep(100, "m²", 1, 1)},
	KindAreaDensity:    {newStep(0, "g/m²", 1, 1)},
	KindSpecificVolume: {newStep(0, "L/kg", 1, 0.01), newStep(10, "L/kg", 1, 0.1), newStep(100, "L/kg", 1, 1)},
	KindHardness:       {newStep(0, "mg/L", 1, 1)},
	KindFlow:           {newStep(0, "L/min", 1, 0.1)},
	KindNumber:         {newStep(0, "", 1, 0.01)},
}

// perCup is 1 g per 8 fl oz, in g/L.
const perCup = 1000 / cup

// In US units what is lighter than an ounce or less than a teaspoon stays in
// grams and millilitres: no scale or spoon shows it.
var usSteps = map[Kind][]displayStep{
	KindMass: {
		newStep(0, "g", 1, 0.01), newStep(10, "g", 1, 0.1), newStep(ounce, "oz", ounce, 0.1),
		{smallest: pound, unit: "lb", size: pound, step: 0.1 / 16, minorUnit: "oz", minorPerUnit: 16},
		newStep(10*pound, "lb", pound, 0.1), newStep(100*pound, "lb", pound, 1),
	},
	KindVolume: {
		newStep(0, "mL", 1, 0.01), newStep(1, "mL", 1, 0.1), newStep(teaspoon, "tsp", teaspoon, 0.25),
		newStep(fluidOunce, "fl oz", fluidOunce, 0.25), newStep(cup, "fl oz", fluidOunce, 0.5), newStep(quart, "qt", quart, 0.25),
		{smallest: gallon, unit: "gal", size: gallon, step: 0.25 / 4, minorUnit: "qt", minorPerUnit: 4},
		newStep(10*gallon, "gal", gallon, 0.1), newStep(100*gallon, "gal", gallon, 1),
	},
	KindTemperature:           {newStep(0, "°F", 5./9, 1)},
	KindTemperatureDifference: {newStep(0, "°F", 5./9, 0.1)},
	KindConcentration: {
		newStep(0, "g per 8 fl oz", perCup, 0.01), newStep(perCup, "g per 8 fl oz", perCup, 0.1), newStep(100*perCup, "g per 8 fl oz", perCup, 1),
	},
	KindArea:        {newStep(0, "sq in", squareInch, 1), newStep(squareFoot, "sq ft", squareFoot, 0.1), newStep(100*squareFoot, "sq ft", squareFoot, 1)},
	KindAreaDensity: {newStep(0, "oz/yd²", ounce/squareYard, 0.1)},
	KindHardness:    {newStep(0, "gpg", grainPerGallon, 0.1)},
	KindFlow:        {newStep(0, "gal/min", gallon/1000, 0.1)},
}

// displaySteps returns the steps for kind k in system s, or the metric ones if s has none.
func displaySteps(k Kind, s System) []displayStep {
	if s == US && usSteps[k] != nil {
		return usSteps[k]
	}
	return metricSteps[k]
}

// tieTolerance is the relative distance within which a value counts as a tie and is rounded away
// from zero. Builds for different machines differ in the last bits and must print
// alike, and 2.025 must print as 2.03.
const tieTolerance = 1e-12

// steps returns v as a whole number of steps of r.
func (r displayStep) steps(v float64) float64 {
	n := v / (r.size * r.step)
	return math.Floor(n + min(n*tieTolerance, 1e-3) + 0.5) // of a count of billions the tie is less than a whole one
}

// findStep returns the step for v, which is not negative. A value that rounds up to where
// the next step begins belongs to that one.
func findStep(steps []displayStep, v float64) displayStep {
	r := steps[0]
	for _, next := range steps[1:] {
		if max(v, r.steps(v)*r.step*r.size)*(1+tieTolerance) < next.smallest {
			break
		}
		r = next
	}
	return r
}

// Round rounds v, in k's base unit, to what an instrument shows, once; ties go
// away from zero. Masses keep 0.01 g below 10 g, 0.1 g below 100 g, 1 g below
// 1 kg and then 10 g, 100 g, 1 kg a decade each. Volumes keep 0.01 mL below
// 1 mL, 0.1 mL below 10 mL, 1 mL below 1 L and then 10 mL, 100 mL, 1 L.
// Temperatures and differences keep 0.1 °C; strengths 1 mg/L below 0.1 g/L,
// 0.01 g/L below 10 g/L, 0.1 g/L below 100 g/L, then 1 g/L; lengths of time 1 s
// below 2 min, 1 min below 48 h, then 1 h; shares 0.01 % below 1 %, 0.1 % below
// 100 %, then 1 %; a pH 0.1; a count 1; areas 1 cm² below 0.1 m², 0.01 m² below
// 10 m², 0.1 m² below 100 m², then 1 m²; weights of cloth 1 g/m²; volumes per
// mass 0.01 L/kg below 10 L/kg, 0.1 L/kg below 100 L/kg, then 1 L/kg; a hardness
// 1 mg/L and a number 0.01.
// NaN, 10¹² and more, and an unknown kind give zero.
func Round(k Kind, v float64) float64 {
	if !isShowable(v) || metricSteps[k] == nil {
		return 0
	}
	r := findStep(metricSteps[k], math.Abs(v))
	n := r.steps(math.Abs(v))
	if n == 0 {
		return 0
	}
	step := r.size * r.step
	if step < 1 { // n/100 is the decimal fraction nearest to it, n*0.01 is not
		return math.Copysign(n/math.Round(1/step), v)
	}
	return math.Copysign(n*math.Round(step), v)
}

// isShowable reports whether v can be shown: a number below maxSize.
func isShowable(v float64) bool { return math.Abs(v) < maxSize }
