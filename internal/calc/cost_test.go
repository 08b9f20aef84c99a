package calc

import (
	"strings"
	"testing"

	"coldbatch/internal/unit"
)

// Sums are told to hundredths, and each thing with its own.
func TestCostTold(t *testing.T) {
	r, err := Run("cost", map[string]string{"powders": "rust 12 per 50 g used 14.4 g; deep yellow 5", "soda": "4 per 2 kg used 500 g", "pieces": "2"}, Env{Style: unit.Style{Comma: true}})
	if err != nil {
		t.Fatal(err)
	}
	if got := r.Outputs["per_batch"].Text; got != "9,46" {
		t.Errorf("the batch costs %q", got)
	}
	if got := strings.Join(r.Notes, "|"); got != "rust 3,46, deep yellow 5,00, soda 1,00" {
		t.Errorf("told %q", got)
	}
}
