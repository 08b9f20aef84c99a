package calc

import (
	"strings"
	"testing"
)

// testdata/vec/fastness.json checks the figures of fastness; this test checks the texts.
func TestFastnessText(t *testing.T) {
	for _, row := range []struct{ why, before, after, change, not string }{
		{"a meter", "lab 42 48 22", "lab 45 44 20", "grade 3 (2.9)", "rough"},
		{"a photo", "#b3433a", "#b3433a", "rough: grade 5 (5)", ""},
		{"a meter and a photo", "lab 42 48 22", "#b3433a", "rough: grade", ""},
	} {
		r, err := Run("fastness", map[string]string{"before": row.before, "after": row.after, "white_before": "lab 94 0 2", "white_after": "lab 90 4 3"}, Env{})
		if err != nil {
			t.Fatal(err)
		}
		if got := r.Outputs["change"].Text; !strings.HasPrefix(got, row.change) {
			t.Errorf("%s: %q, want %q", row.why, got, row.change)
		}
		text := Text(r)
		if row.not != "" && strings.Contains(text, row.not) {
			t.Errorf("%s: %q is told in\n%s", row.why, row.not, text)
		}
		if row.not == "" && !strings.Contains(text, "no colour meter") || strings.Contains(r.Outputs["staining"].Text, "rough") {
			t.Errorf("%s: the photo is not told, or of the wrong pair:\n%s", row.why, text)
		}
	}
}
