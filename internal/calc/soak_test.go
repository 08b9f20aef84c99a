package calc

import (
	"strings"
	"testing"
)

// What a soak says about dissolving, and the ranges of what is assumed.
func TestSoakText(t *testing.T) {
	for _, row := range []struct{ why, inputs, want, not string }{
		{"cold", "strength=120 g/L|temperature=5 °C", "no: more than the water can hold|use warmer water or less soda ash", "too much for water this cold"},
		{"hotter water holds no more", "strength=400 g/L|temperature=95 °C", "use less soda ash or more water; hotter water holds no more", "use warmer water"},
		{"at the peak warmth has done its part", "strength=400 g/L|temperature=36 °C", "slowly: stir", "use warmer water"},
		{"solubility is known to 6 %", "temperature=25 °C", "Most that dissolves 282 g/L (266–297 g/L)", ""},
		{"dry cloth", "temperature=25 °C", "dry cloth soaks up bath as it is: less is left, but it is no weaker", "carry bath off"},
		// 7.5 L of 10 over 1.1, and over 1.5 and 1.0.
		{"what it serves has the range of wrung cloth", "", "6.82 kg (5–7.5 kg)", ""},
		{"what was given has none", "pickup=110 %", "Serves 6.82 kg Time", "5–7.5 kg"},
		{"a concentrated bath is known to 0.1", "strength=50 g/L", "pH 11.6 (pH 11.5–11.7)", ""},
	} {
		inputs := map[string]string{"water": "10 L"}
		for _, in := range strings.Split(row.inputs, "|") {
			if key, value, ok := strings.Cut(in, "="); ok {
				inputs[key] = value
			}
		}
		r, err := Run("soak", inputs, Env{})
		if err != nil {
			t.Errorf("%s: %v", row.why, err)
			continue
		}
		text := strings.Join(strings.Fields(Text(r)), " ")
		for _, part := range strings.Split(row.want, "|") {
			if !strings.Contains(text, part) {
				t.Errorf("%s: %q is missing in\n%s", row.why, part, text)
			}
		}
		if row.not != "" && strings.Contains(text, row.not) {
			t.Errorf("%s: %q is in\n%s", row.why, row.not, text)
		}
	}
}
