package unit

import (
	"math"
	"strconv"
	"strings"
)

// noValue is printed for NaN, and for 10¹² base units and more.
const noValue = "–"

// Show prints v, in k's base unit, rounded once to what a scale, jug, spoon or
// clock can show: "1.55 g", "1.2 L", "21 °C", "5 h 30 min", "12 %", "pH 11.6".
// In US units: "1 lb 4 oz", "2 fl oz", "1½ tsp", "70 °F", "5 g per 8 fl oz".
// Parse reads it back, to within the step shown. NaN prints as "–".
func Show(k Kind, v float64, s Style) string {
	if !isShowable(v) {
		return noValue
	}
	v = shiftZero(k, v, s.System)
	return prefix(k) + formatWithStep(displayStepFor(k, v, s), v, s)
}

// ShowError prints the error of a measurement, as a share of it: "30 %", "4 %", "0.2 %". Nobody knows
// an error to more than whole per cents, or to more than one figure below 10 %.
func ShowError(v Share, s Style) string {
	share, step := math.Abs(float64(v)), 0.01
	if share > 0 && share < step {
		step = math.Pow(10, math.Floor(math.Log10(share)))
	}
	return Show(KindShare, math.Round(share/step)*step, s)
}

// FormatSplit returns what Show prints, as the number for an input field and its unit. Both are
// empty where Show prints two units, such as "1 lb 4 oz".
func FormatSplit(k Kind, v float64, s Style) (number, unit string) {
	if !isShowable(v) {
		return "", ""
	}
	v = shiftZero(k, v, s.System)
	r := displayStepFor(k, v, s)
	n := r.steps(math.Abs(v))
	if r.minorPerUnit > 0 {
		return "", ""
	}
	number = formatDecimal(n*r.step, s)
	if v < 0 && n > 0 {
		number = "-" + number
	}
	return number, r.unit
}

// ShowInOther prints v in the other system of units. It returns "" where a quantity has the
// same units in both, such as hours, or is too small for the other system's spoons and
// scales.
func ShowInOther(k Kind, v float64, s Style) string {
	o := s
	if o.System = US; s.System == US {
		o.System = Metric
	}
	if !isShowable(v) || usSteps[k] == nil || Show(k, v, o) == Show(k, v, s) {
		return ""
	}
	return Show(k, v, o)
}

// ShowRange prints a range. The unit is printed once where both ends have the same one:
// "20–29 h", "135–154 g", "5 h 30 min – 7 h". Ends that print alike are printed once. A
// range that begins below zero is "−3 °C to 2 °C". The order of the ends does not
// matter. Times of 10 h and more are printed in whole hours.
func ShowRange(k Kind, low, high float64, s Style) string {
	if !isShowable(low) || !isShowable(high) {
		return noValue
	}
	low, high = shiftZero(k, min(low, high), s.System), shiftZero(k, max(low, high), s.System)
	a, b := displayStepFor(k, low, s), displayStepFor(k, high, s)
	if a.unit != b.unit && a.minorPerUnit == 0 && b.minorPerUnit == 0 && low*10 >= high { // 900 mL–1.2 L
		a = b
	}
	if k == KindDuration && low >= 10*3600 && high < 168*3600 { // a range needs no minutes here
		a, b = wholeHours, wholeHours
	}
	from, to := formatWithStep(a, low, s), formatWithStep(b, high, s)
	switch {
	case from == to:
		return prefix(k) + to
	case low < 0:
		return from + " to " + to
	case a.unit != b.unit || a.minorPerUnit > 0 || b.minorPerUnit > 0:
		return from + " – " + to
	}
	return prefix(k) + strings.TrimSuffix(from, " "+a.unit) + "–" + to
}

// prefix is the text before the number.
func prefix(k Kind) string {
	if k == KindPH {
		return "pH "
	}
	return ""
}

// shiftZero moves the zero of a temperature to that of the system s; the result is still in
// base units.
func shiftZero(k Kind, v float64, s System) float64 {
	if k == KindTemperature && s == US {
		return v + 32*5./9
	}
	return v
}

// displayStepFor returns the step for v.
func displayStepFor(k Kind, v float64, s Style) displayStep {
	steps := displaySteps(k, s.System)
	if steps == nil {
		steps = []displayStep{newStep(0, "", 1, 0.01)}
	}
	return findStep(steps, math.Abs(v))
}

// formatWithStep prints v on step r with its unit.
func formatWithStep(r displayStep, v float64, s Style) string {
	n := r.steps(math.Abs(v))
	out := formatDecimal(n*r.step, s)
	switch {
	case r.minorPerUnit > 0:
		out = formatPair(r, n, s)
	case r.step == 0.25 || r.step == 0.5:
		out = formatQuarters(n * r.step)
	}
	if r.unit != "" && r.minorPerUnit == 0 {
		out += " " + r.unit
	}
	if v < 0 && n > 0 {
		out = "−" + out
	}
	return out
}

// formatDecimal prints v with up to two digits after the decimal sign, the most that a
// step has, without trailing zeros.
func formatDecimal(v float64, s Style) string {
	out := strconv.FormatFloat(v, 'f', 2, 64)
	out = strings.TrimRight(strings.TrimRight(out, "0"), ".")
	if s.Comma {
		out = strings.Replace(out, ".", ",", 1)
	}
	return out
}

// formatQuarters prints a number of quarters as on a spoon or jug.
func formatQuarters(v float64) string {
	whole, part := math.Modf(v)
	out := strconv.FormatFloat(whole, 'f', 0, 64)
	if part == 0 {
		return out
	}
	if whole == 0 {
		out = ""
	}
	return out + map[float64]string{0.25: "¼", 0.5: "½", 0.75: "¾"}[part]
}

// formatPair prints n steps in two units: 5 h 30 min, 1 lb 4.5 oz.
func formatPair(r displayStep, n float64, s Style) string {
	perUnit := math.Round(1 / r.step)
	whole := math.Floor(n / perUnit)
	out := strconv.FormatFloat(whole, 'f', 0, 64) + " " + r.unit
	if rest := n - whole*perUnit; rest > 0 {
		out += " " + formatDecimal(rest/perUnit*r.minorPerUnit, s) + " " + r.minorUnit
	}
	return out
}
