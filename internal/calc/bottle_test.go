package calc

import (
	"errors"
	"strings"
	"testing"

	"coldbatch/internal/fault"
)

// Bad input is refused in a sentence with the value and what is accepted.
func TestBottleRefuses(t *testing.T) {
	for _, row := range []struct {
		why    string
		inputs map[string]string
		input  string
		says   string
	}{
		{"no division", map[string]string{"strength": "20 g/L", "bottle": "60 mL", "scale": "0 g"}, "scale", `"0 g" is too little: it must be more than 0 g`},
		{"too strong only by its depth", map[string]string{"strength": "400 g/L", "bottle": "60 mL", "depth": "4"}, "depth", "is 1600 g/L, more than the 500 g/L"},
		{"a jug for a factory", map[string]string{"strength": "400 g/L", "bottle": "10 L", "count": "1000"}, "bottle", "4000 kg of powder, more than the 100 kg"},
		{"less than shows", map[string]string{"strength": "0.01 g/L", "bottle": "60 mL"}, "bottle", `"60 mL" of "0.01 g/L" needs less powder than can be shown, which is 0.01 g`},
	} {
		_, err := Run("bottle", row.inputs, Env{})
		var f *fault.Fault
		if !errors.As(err, &f) || f.Code != fault.Input || f.Input != row.input || !strings.Contains(f.Error(), row.says) {
			t.Errorf("%s: %v; want one about %s saying %q", row.why, err, row.input, row.says)
		}
	}
}

// Powder for a stock is not judged as powder for the jug, and strong liquor is warned
// of: above what dissolves without urea, and above what dyes deeper.
func TestBottleText(t *testing.T) {
	for _, row := range []struct{ strength, scale, weighed, want, not string }{
		{"20 g/L", "1 g", "20 g", "make it up to 400 mL in a jug", "Off by"},
		{"20 g/L", "1 g", "", "a scale with steps of 0.1 g weighs it to 8 %", "Off by"},
		{"20 g/L", "0.1 g", "1.3 g", "Off by", "scale with steps"},
		{"40 g/L", "0.1 g", "", "weigh 2.4 g", "may not all dissolve"},
		{"41 g/L", "0.1 g", "", "above 40 g/L the dye may not all dissolve: see urea", "deeper in proportion"},
		{"18 g per 8 fl oz", "0.1 g", "", "may not all dissolve", "above 76 g/L"},
		{"77 g/L", "0.1 g", "", "above 76 g/L more powder no longer dyes deeper in proportion", "too much"},
	} {
		r, err := Run("bottle", map[string]string{"strength": row.strength, "bottle": "60 mL", "scale": row.scale, "weighed": row.weighed}, Env{})
		if err != nil {
			t.Errorf("%+v: %v", row, err)
			continue
		}
		if text := strings.Join(strings.Fields(Text(r)), " "); !strings.Contains(text, row.want) || strings.Contains(text, row.not) {
			t.Errorf("%+v:\n%s", row, text)
		}
	}
}
