package calc

import (
	"errors"
	"strings"
	"testing"

	"coldbatch/internal/fault"
)

// What no scale or jug can do is refused with the value and what is accepted.
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
