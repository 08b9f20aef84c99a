package calc

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// What each colour gets adds up to all of the dye, in the order in which the
// colours were named, and the text lists them in that order.
func TestLiquorSharesAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		names := rapid.Permutation([]string{"rust", "blue-green", "deep yellow", "black"}).Draw(t, "names")
		names = names[:rapid.IntRange(1, len(names)).Draw(t, "n")]
		var shares []string
		for _, n := range names {
			shares = append(shares, n+":"+rapid.SampledFrom([]string{"1", "2", "0.5", "7"}).Draw(t, n))
		}
		r, err := Run("liquor", map[string]string{"goods": "1.3 kg", "shares": strings.Join(shares, "; ")}, Env{})
		if err != nil {
			t.Fatal(err)
		}
		total := 0.0
		for _, n := range names {
			total += r.Outputs[n].Value.(float64)
		}
		if all := r.Outputs["volume"].Value.(float64); total/all > 1.00001 || total/all < 0.99999 {
			t.Fatalf("%g of %g mL", total, all)
		}
		e, _ := Find("liquor")
		var keys []string
		for _, l := range Lines(r, e) {
			keys = append(keys, l.Key)
		}
		if got, want := strings.Join(keys, ", "), "volume, "+strings.Join(names, ", ")+", bottles"; got != want {
			t.Fatalf("%s, want %s", got, want)
		}
	})
}

// Without shares there is no colour; where a piece was weighed, the usual is not
// named.
func TestLiquorText(t *testing.T) {
	r, err := Run("liquor", map[string]string{"goods": "1 kg", "piece_dry": "160 g", "piece_wrung": "336 g", "piece_bagged": "512 g"}, Env{})
	if err != nil {
		t.Fatal(err)
	}
	if _, ok := r.Inputs["full"]; ok || r.Outputs["volume"].Low != nil || len(r.ItemKeys) != 0 {
		t.Errorf("%+v", r)
	}
	if len(r.Notes) != 1 || !strings.Contains(r.Notes[0], "110 % wrung and 220 % full") {
		t.Errorf("notes %q", r.Notes)
	}
}
