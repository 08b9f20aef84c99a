package unit

import (
	"math"
	"strconv"
	"strings"
)

// missing is printed for what is not a number, or 10¹² base units and more.
const missing = "–"

// Show prints v, in k's base unit, rounded once to what a scale, jug, spoon or
// clock can show: "1.55 g", "1.2 L", "21 °C", "5 h 30 min", "12 %", "pH 11.6".
// In US units: "1 lb 4 oz", "2 fl oz", "1½ tsp", "70 °F", "5 g per 8 fl oz".
// Parse reads it back, to within what is shown. A value that is no number prints
// as "–".
func Show(k Kind, v float64, s Style) string {
	if !sound(v) {
		return missing
	}
	v = scaled(k, v, s.System)
	return mark(k) + join(ladderAt(k, v, s), v, s)
}

// Split gives what Show prints as the number that a person would type into a field, and
// its unit. The number is empty where Show prints two units, as "1 lb 4 oz".
func Split(k Kind, v float64, s Style) (number, unit string) {
	if !sound(v) {
		return "", ""
	}
	v = scaled(k, v, s.System)
	r := ladderAt(k, v, s)
	n := r.steps(math.Abs(v))
	if r.per > 0 {
		return "", ""
	}
	number = decimal(n*r.step, s)
	if v < 0 && n > 0 {
		number = "-" + number
	}
	return number, r.unit
}

// Other prints v in the other system of units; "" where a quantity has the same
// units in both, as hours, or is too small for the other's spoons and scales.
func Other(k Kind, v float64, s Style) string {
	o := s
	if o.System = US; s.System == US {
		o.System = Metric
	}
	if !sound(v) || us[k] == nil || Show(k, v, o) == Show(k, v, s) {
		return ""
	}
	return Show(k, v, o)
}

// Ranged prints a range with its unit once where both ends have the same one:
// "20–29 h", "135–154 g", "5 h 30 min – 7 h". Ends that print alike are printed
// once; a range that
// begins below zero is "−3 °C to 2 °C". The order of the ends does not matter.
// Times of 10 h and more are ranged in whole hours.
func Ranged(k Kind, low, high float64, s Style) string {
	if !sound(low) || !sound(high) {
		return missing
	}
	low, high = scaled(k, min(low, high), s.System), scaled(k, max(low, high), s.System)
	a, b := ladderAt(k, low, s), ladderAt(k, high, s)
	if a.unit != b.unit && a.per == 0 && b.per == 0 && low*10 >= high { // 900 mL–1.2 L
		a = b
	}
	if k == KindDuration && low >= 10*3600 && high < 168*3600 { // a range needs no minutes here
		a, b = wholeHours, wholeHours
	}
	from, to := join(a, low, s), join(b, high, s)
	switch {
	case from == to:
		return mark(k) + to
	case low < 0:
		return from + " to " + to
	case a.unit != b.unit || a.per > 0 || b.per > 0:
		return from + " – " + to
	}
	return mark(k) + strings.TrimSuffix(from, " "+a.unit) + "–" + to
}

// mark stands before the number.
func mark(k Kind) string {
	if k == KindPH {
		return "pH "
	}
	return ""
}

// scaled moves the zero of a temperature to that of the system; sizes stay those
// of the base unit.
func scaled(k Kind, v float64, s System) float64 {
	if k == KindTemperature && s == US {
		return v + 32*5./9
	}
	return v
}

// ladderAt gives the rung for v.
func ladderAt(k Kind, v float64, s Style) rung {
	rungs := ladder(k, s.System)
	if rungs == nil {
		rungs = []rung{on(0, "", 1, 0.01)}
	}
	return at(rungs, math.Abs(v))
}

// join prints v on rung r with its unit.
func join(r rung, v float64, s Style) string {
	n := r.steps(math.Abs(v))
	out := decimal(n*r.step, s)
	switch {
	case r.per > 0:
		out = pair(r, n, s)
	case r.step == 0.25 || r.step == 0.5:
		out = quarters(n * r.step)
	}
	if r.unit != "" && r.per == 0 {
		out += " " + r.unit
	}
	if v < 0 && n > 0 {
		out = "−" + out
	}
	return out
}

// decimal prints v to two digits after the decimal sign, the most that a step
// has, without idle zeros.
func decimal(v float64, s Style) string {
	out := strconv.FormatFloat(v, 'f', 2, 64)
	out = strings.TrimRight(strings.TrimRight(out, "0"), ".")
	if s.Comma {
		out = strings.Replace(out, ".", ",", 1)
	}
	return out
}

// quarters prints a number of quarters as on a spoon or jug.
func quarters(v float64) string {
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

// pair prints n steps in two units: 5 h 30 min, 1 lb 4.5 oz.
func pair(r rung, n float64, s Style) string {
	perUnit := math.Round(1 / r.step)
	whole := math.Floor(n / perUnit)
	out := strconv.FormatFloat(whole, 'f', 0, 64) + " " + r.unit
	if rest := n - whole*perUnit; rest > 0 {
		out += " " + decimal(rest/perUnit*r.per, s) + " " + r.minor
	}
	return out
}
