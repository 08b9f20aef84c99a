package soak

import (
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/alkali"
	"coldbatch/internal/reftest"
	"coldbatch/internal/unit"
)

// The alkali reserve as PHREEQC computes it: a bath with a known share spent is
// told as that, within the error of the meter.
func TestCheckAgainstTheReserve(t *testing.T) {
	for _, row := range reftest.Load(t, "alkali-reserve.tsv") {
		c, f, ph := row.Number(t, "grams_per_litre"), row.Number(t, "acid"), row.Number(t, "ph")
		k := Check(unit.Concentration(c), 21, unit.PH(ph), Meter)
		if !(float64(k.Low) <= f && f <= float64(k.High)) || !near(float64(k.Spent), f, 0.01+0.1*f) {
			t.Errorf("%g g/L, pH %g: spent %.3f (%.3f–%.3f), want %g", c, ph, float64(k.Spent), float64(k.Low), float64(k.High), f)
		}
		want := map[float64]Verdict{0: VerdictFresh, 0.02: VerdictFresh, 0.5: VerdictSpent, 0.8: VerdictSpent}[f]
		if want == "" {
			want = VerdictWeakening
		}
		if k.Verdict != want {
			t.Errorf("%g g/L, pH %g: %s, want %s", c, ph, k.Verdict, want)
		}
	}
}

func TestCheck(t *testing.T) {
	for _, row := range []struct {
		why      string
		c        unit.Concentration
		warm     unit.Temperature
		measured unit.PH
		with     Instrument
		want     Verdict
	}{
		{"as PHREEQC gives it when fresh", 50, 25, 11.6, Meter, VerdictFresh},
		{"the same by a strip: it may be weakening", 50, 25, 11.6, Strip, VerdictCannotTell},
		{"a strip half a step higher says no more", 50, 25, 12, Strip, VerdictCannotTell},
		{"low enough for a strip to know", 50, 25, 10.5, Strip, VerdictWeakening},
		{"spent, by a strip", 50, 25, 9.5, Strip, VerdictSpent},
		{"baking soda", 50, 25, 8.3, Meter, VerdictWrongPowder},
		{"baking soda by a strip that is half off", 50, 25, 8.8, Strip, VerdictWrongPowder},
		{"just more than that", 50, 25, 8.7, Meter, VerdictSpent},
		{"water", 50, 25, 7, Strip, VerdictWrongPowder},
		{"0.5 above what is expected: a strip is that far off", 50, 25, 12.1, Strip, VerdictCannotTell},
		{"0.6 above the expected 11.6", 50, 25, 12.2, Strip, VerdictTooAlkaline},
		{"the same by a meter", 50, 25, 12.2, Meter, VerdictTooAlkaline},
		{"a cold bath may read 12.3 …", 100, 5, 12.3, Meter, VerdictFresh},
		{"… and more than 12.3 may be caustic soda", 100, 5, 12.41, Meter, VerdictTooAlkaline},
		{"at 0 °C 12.4 is within what is expected, and was told to stop", 50, 0, 12.4, Meter, VerdictFresh},
		{"more than that at 0 °C", 50, 0, 12.7, Meter, VerdictTooAlkaline},
		{"in a weak bath that is known the limit is lower", 5, 25, 11.9, Meter, VerdictTooAlkaline},
		{"above an extrapolated expectation: it may be that which is wrong", 1, 25, 11.9, Meter, VerdictCannotTell},
		{"the same in a hot bath", 50, 60, 12.2, Meter, VerdictCannotTell},
		{"just within what is checked", 5, 45, 11.6, Meter, VerdictTooAlkaline},
		{"over what soda ash can reach, whatever is expected", 1, 25, 12.31, Meter, VerdictTooAlkaline},
		{"baking soda is known in any bath", 1, 25, 8.3, Meter, VerdictWrongPowder},
	} {
		if k := Check(row.c, row.warm, row.measured, row.with); k.Verdict != row.want {
			t.Errorf("%s: %s, want %s (%+v)", row.why, k.Verdict, row.want, k)
		}
	}
}

func TestCheckExtrapolates(t *testing.T) {
	for _, row := range []struct {
		why  string
		c    unit.Concentration
		warm unit.Temperature
		want bool
	}{
		{"usual", 50, 25, false},
		{"weakest and coldest that is checked", 5, 5, false},
		{"weaker", 4.9, 25, true},
		{"stronger, and dissolved", 101, 25, true},
		{"colder", 50, 4, true},
		{"hotter", 50, 46, true},
		{"more than cold water holds counts as what it holds", 400, 5, false},
	} {
		if k := Check(row.c, row.warm, 11, Meter); k.Extrapolated != row.want {
			t.Errorf("%s: %+v", row.why, k)
		}
	}
}

// What does not dissolve in the cold is not expected to do anything.
func TestCheckOfASaturatedBath(t *testing.T) {
	if full, over := Check(alkali.SolubilityLimit(5), 5, 11, Meter), Check(400, 5, 11, Meter); full != over {
		t.Errorf("saturated %+v, more than that %+v", full, over)
	}
}

// A strip never chooses between fresh and weakening where a meter would have to;
// the share spent is a share, within its range; and a bath that is more alkaline
// has never more of it spent.
func TestCheckIsHonest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := unit.Concentration(rapid.Float64Range(1, 400).Draw(t, "c"))
		warm := unit.Temperature(rapid.Float64Range(0, 60).Draw(t, "warm"))
		ph := unit.PH(rapid.Float64Range(0, 14).Draw(t, "ph"))
		meter, strip := Check(c, warm, ph, Meter), Check(c, warm, ph, Strip)
		if strip.Verdict == VerdictFresh {
			t.Fatalf("a strip chose: %+v", strip)
		}
		if strip.Low > meter.Low || strip.High < meter.High {
			t.Fatalf("a strip is surer than a meter: %+v, %+v", strip, meter)
		}
		for _, k := range []CheckResult{meter, strip} {
			if !(0 <= k.Low && k.Low <= k.Spent && k.Spent <= k.High && k.High <= 1) {
				t.Fatalf("not a range of shares: %+v", k)
			}
		}
		if more := Check(c, warm, min(ph+0.1, 14), Meter); more.Spent > meter.Spent+1e-6 {
			t.Fatalf("%+v, and at a higher pH %+v", meter, more)
		}
	})
}

// CausticMargin and MaxPH are checked first.
func TestTooAlkalineIsNeverMissed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := unit.Concentration(rapid.Float64Range(1, 400).Draw(t, "c"))
		warm := unit.Temperature(rapid.Float64Range(0, 60).Draw(t, "warm"))
		expected, _ := alkali.PH(min(c, alkali.SolubilityLimit(warm)), warm, 0)
		ph := min(14, max(12.31, expected+0.61, unit.PH(rapid.Float64Range(0, 14).Draw(t, "ph"))))
		for _, with := range []Instrument{Meter, Strip} {
			if k := Check(c, warm, ph, with); k.Verdict != VerdictTooAlkaline {
				t.Fatalf("pH %g, expected %g: %+v", float64(ph), float64(expected), k)
			}
		}
	})
}
