package calc

import (
	"strings"
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// Sums are rounded once, to hundredths or as the currency has it, and value and text
// agree.
func TestCostWritten(t *testing.T) {
	comma := Env{Style: unit.Style{Comma: true}}
	r, err := Run("cost", map[string]string{"powders": "rust 12 per 50 g used 14.4 g; deep yellow 5", "soda": "4 per 2 kg used 500 g", "pieces": "2"}, comma)
	if err != nil {
		t.Fatal(err)
	}
	if got := r.Outputs["per_batch"].Text; got != "9,46" {
		t.Errorf("the batch costs %q", got)
	}
	if got := strings.Join(r.Notes, "|"); got != "rust 3,46, deep yellow 5,00, soda 1,00" {
		t.Errorf("noted %q", got)
	}
	for _, row := range []struct {
		why, labour, currency string
		value                 float64
		text                  string
	}{
		{"half a cent is rounded up: 67.50 for twelve", "4 h 30 min at 15", "", 5.63, "5.63"},
		{"yen have no decimals", "67.50", "JPY", 6, "6"},
		{"dinars have three", "67.50", "KWD", 5.625, "5.625"},
		{"as many as typed", "67.500", "", 5.625, "5.625"},
		{"a large sum keeps its cents", "1481481.48", "", 123456.79, "123456.79"},
	} {
		r, err := Run("cost", map[string]string{"labour": row.labour, "currency": row.currency, "pieces": "12"}, Env{})
		if err != nil {
			t.Errorf("%s: %v", row.why, err)
			continue
		}
		if got := r.Outputs["per_piece"]; got.Value != row.value || got.Text != row.text {
			t.Errorf("%s: %v, %q; want %v, %q", row.why, got.Value, got.Text, row.value, row.text)
		}
	}
	if _, err := Run("cost", map[string]string{"other": "12 tees 3.50", "pieces": "12"}, Env{}); err == nil || !strings.Contains(fault.AsFault(err).Hint, "12 tees at 3.50") {
		t.Errorf("the price of one or of all: %v", err)
	}
}
