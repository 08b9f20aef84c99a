package unit

import "math"

// rung is how quantities from a size on are shown: in what unit, to what step.
type rung struct {
	from  float64 // base units; the rung holds from here up
	unit  string
	size  float64 // base units in one unit
	step  float64 // what the instrument shows, in the unit
	minor string  // of a pair of units, as lb and oz: the smaller, and
	per   float64 // how many of it are one of unit
}

// on makes a rung of a single unit.
func on(from float64, unit string, size, step float64) rung {
	return rung{from: from, unit: unit, size: size, step: step}
}

// wholeHours are for times of days, and for ranges of half a day and more.
var wholeHours = on(48*3600, "h", 3600, 1)

// The steps are what kitchen and pocket scales, syringes and jugs, kitchen
// thermometers and pH meters show: common practice, no source. None needs three
// digits after the decimal sign, for Parse refuses those after a comma.
var metric = map[Kind][]rung{
	KindMass: {
		on(0, "g", 1, 0.01), on(10, "g", 1, 0.1), on(100, "g", 1, 1),
		on(1000, "kg", 1000, 0.01), on(1e4, "kg", 1000, 0.1), on(1e5, "kg", 1000, 1),
	},
	KindVolume: {
		on(0, "mL", 1, 0.01), on(1, "mL", 1, 0.1), on(10, "mL", 1, 1),
		on(1000, "L", 1000, 0.01), on(1e4, "L", 1000, 0.1), on(1e5, "L", 1000, 1),
	},
	KindTemperature:   {on(0, "°C", 1, 0.1)},
	KindDifference:    {on(0, "°C", 1, 0.1)},
	KindConcentration: {on(0, "mg/L", 0.001, 1), on(0.1, "g/L", 1, 0.01), on(10, "g/L", 1, 0.1), on(100, "g/L", 1, 1)},
	KindDuration: {
		on(0, "s", 1, 1), on(120, "min", 60, 1),
		{from: 3600, unit: "h", size: 3600, step: 1. / 60, minor: "min", per: 60}, wholeHours,
		{from: 168 * 3600, unit: "days", size: 86400, step: 1. / 24, minor: "h", per: 24},
	},
	KindShare:          {on(0, "%", 0.01, 0.01), on(0.01, "%", 0.01, 0.1), on(1, "%", 0.01, 1)},
	KindPH:             {on(0, "", 1, 0.1)},
	KindCount:          {on(0, "", 1, 1)},
	KindArea:           {on(0, "cm²", 1e-4, 1), on(0.1, "m²", 1, 0.01), on(10, "m²", 1, 0.1), on(100, "m²", 1, 1)},
	KindAreaDensity:    {on(0, "g/m²", 1, 1)},
	KindSpecificVolume: {on(0, "L/kg", 1, 0.01), on(10, "L/kg", 1, 0.1), on(100, "L/kg", 1, 1)},
	KindHardness:       {on(0, "mg/L", 1, 1)},
	KindFlow:           {on(0, "L/min", 1, 0.1)},
	KindNumber:         {on(0, "", 1, 0.01)},
}

// perCup is 1 g per 8 fl oz, in g/L.
const perCup = 1000 / cup

// In US units what is lighter than an ounce or less than a teaspoon stays in
// grams and millilitres: no scale or spoon shows it.
var us = map[Kind][]rung{
	KindMass: {
		on(0, "g", 1, 0.01), on(10, "g", 1, 0.1), on(ounce, "oz", ounce, 0.1),
		{from: pound, unit: "lb", size: pound, step: 0.1 / 16, minor: "oz", per: 16},
		on(10*pound, "lb", pound, 0.1), on(100*pound, "lb", pound, 1),
	},
	KindVolume: {
		on(0, "mL", 1, 0.01), on(1, "mL", 1, 0.1), on(teaspoon, "tsp", teaspoon, 0.25),
		on(fluidOunce, "fl oz", fluidOunce, 0.25), on(cup, "fl oz", fluidOunce, 0.5), on(quart, "qt", quart, 0.25),
		{from: gallon, unit: "gal", size: gallon, step: 0.25 / 4, minor: "qt", per: 4},
		on(10*gallon, "gal", gallon, 0.1), on(100*gallon, "gal", gallon, 1),
	},
	KindTemperature: {on(0, "°F", 5./9, 1)},
	KindDifference:  {on(0, "°F", 5./9, 0.1)},
	KindConcentration: {
		on(0, "g per 8 fl oz", perCup, 0.01), on(perCup, "g per 8 fl oz", perCup, 0.1), on(100*perCup, "g per 8 fl oz", perCup, 1),
	},
	KindArea:        {on(0, "sq in", squareInch, 1), on(squareFoot, "sq ft", squareFoot, 0.1), on(100*squareFoot, "sq ft", squareFoot, 1)},
	KindAreaDensity: {on(0, "oz/yd²", ounce/squareYard, 0.1)},
	KindHardness:    {on(0, "gpg", gpg, 0.1)},
	KindFlow:        {on(0, "gal/min", gallon/1000, 0.1)},
}

// ladder gives the rungs of k in the style's system; in the metric ones where the
// other has none.
func ladder(k Kind, s System) []rung {
	if s == US && us[k] != nil {
		return us[k]
	}
	return metric[k]
}

// tie is the relative distance from a tie within which it counts as one, and is
// rounded away from zero: builds for different machines differ in the last bits
// and must print alike, and 2.025 has to print as 2.03.
const tie = 1e-12

// steps gives how many steps of r the size v has, rounded.
func (r rung) steps(v float64) float64 {
	n := v / (r.size * r.step)
	return math.Floor(n + min(n*tie, 1e-3) + 0.5) // of a count of billions the tie is less than a whole one
}

// at gives the rung that v, not negative, is shown on: a value that rounds up to
// where the next begins is shown on that.
func at(rungs []rung, v float64) rung {
	r := rungs[0]
	for _, next := range rungs[1:] {
		if max(v, r.steps(v)*r.step*r.size)*(1+tie) < next.from {
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
// What is not a number or is 10¹² and more gives zero, as does an unknown kind.
func Round(k Kind, v float64) float64 {
	if !sound(v) || metric[k] == nil {
		return 0
	}
	r := at(metric[k], math.Abs(v))
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

// sound says whether v can be shown.
func sound(v float64) bool { return math.Abs(v) < beyond }
