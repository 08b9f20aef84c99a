package unit

import "testing"

func TestShowError(t *testing.T) {
	for v, want := range map[Share]string{0: "0 %", 0.0017: "0.2 %", 0.00096: "0.1 %", 0.042: "4 %", 0.091: "9 %", 0.0996: "10 %", -0.375: "38 %", 0.833: "83 %", 1.5: "150 %"} {
		if got := ShowError(v, Style{}); got != want {
			t.Errorf("%v is printed as %q, want %q", v, got, want)
		}
	}
}
