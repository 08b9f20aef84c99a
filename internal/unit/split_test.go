package unit

import "testing"

// A field shows the number that a person would type, and the unit stands beside it.
func TestSplit(t *testing.T) {
	for _, c := range []struct {
		why          string
		kind         Kind
		value        float64
		style        Style
		number, unit string
	}{
		{"a temperature", KindTemperature, 18, Style{}, "18", "°C"},
		{"below zero, with the sign that keyboards have", KindTemperature, -3, Style{}, "-3", "°C"},
		{"in the other system", KindTemperature, 21, Style{System: US}, "70", "°F"},
		{"a decimal comma", KindMass, 14.4, Style{Comma: true}, "14,4", "g"},
		{"a pH, without its name", KindPH, 11.6, Style{}, "11.6", ""},
		{"two units are no number", KindDuration, 5.5 * 3600, Style{}, "", ""},
	} {
		if number, unit := FormatSplit(c.kind, c.value, c.style); number != c.number || unit != c.unit {
			t.Errorf("%s: %q %q, not %q %q", c.why, number, unit, c.number, c.unit)
		}
	}
}
