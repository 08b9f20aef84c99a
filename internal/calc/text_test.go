package calc

import (
	"strings"
	"testing"

	"coldbatch/internal/unit"
)

// The reference tells each number's unit as the answer's JSON has it.
func TestReferenceShowsUnits(t *testing.T) {
	for _, row := range []struct {
		why  string
		out  Output
		want string
	}{
		{"a base unit", Output{Label: "Powder", Kind: unit.KindMass}, "Powder; in g ("},
		{"hours, not seconds", Output{Label: "Needed", Kind: unit.KindDuration, ValueUnit: "h"}, "Needed; in h ("},
		{"minutes, not seconds", Output{Label: "Soak", Kind: unit.KindDuration, ValueUnit: "min"}, "Soak; in min ("},
		{"a share in per cent", Output{Label: "Off by", Kind: unit.KindShare, ValueUnit: "%"}, "Off by; in % ("},
		{"a number has none", Output{Label: "Baths", Kind: unit.KindCount}, "Baths ("},
		{"nor has a time", Output{Label: "Ready", Kind: KindInstant}, "Ready ("},
	} {
		if got := row.out.describe(); !strings.HasPrefix(got, row.want) {
			t.Errorf("%s: %q, want %q", row.why, got, row.want)
		}
	}
}
