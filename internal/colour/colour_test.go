package colour

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/fault"
	"coldbatch/internal/reftest"
)

func TestDifference(t *testing.T) {
	rows := reftest.Load(t, "ciede2000-pairs.tsv")
	for i, row := range rows {
		p := Lab{row.Number(t, "l1"), row.Number(t, "a1"), row.Number(t, "b1")}
		q := Lab{row.Number(t, "l2"), row.Number(t, "a2"), row.Number(t, "b2")}
		for _, got := range []float64{Difference(p, q), Difference(q, p)} {
			if want := row.Number(t, "de00"); !(math.Abs(got-want) <= 1e-4) {
				t.Errorf("pair %d: %.5f, want %g", i+1, got, want)
			}
		}
	}
	if len(rows) != 34 {
		t.Errorf("%d pairs, the paper has 34", len(rows))
	}
}

func TestFromSRGB(t *testing.T) {
	for _, row := range reftest.Load(t, "srgb-lab.tsv") {
		got, rough, err := Parse("#" + row["srgb"])
		if err != nil || !rough {
			t.Fatalf("%s: %v, rough %t", row["srgb"], err, rough)
		}
		// Published matrices differ in the fifth digit.
		for i, d := range []float64{got.L - row.Number(t, "l"), got.A - row.Number(t, "a"), got.B - row.Number(t, "b")} {
			if !(math.Abs(d) <= 0.03) {
				t.Errorf("%s: %v is off by %g in value %d", row["srgb"], got, d, i)
			}
		}
	}
}

func TestParse(t *testing.T) {
	for _, row := range []struct {
		why, typed string
		want       Lab
	}{
		{"plain", "lab 50 2.6772 -79.7751", Lab{50, 2.6772, -79.7751}},
		{"spaces, capitals", "  LAB  50  +2 -3 ", Lab{50, 2, -3}},
		{"commas between", "lab 50, 2, -3", Lab{50, 2, -3}},
		{"decimal commas and a true minus", "lab 50,5 2,25 −3,125", Lab{50.5, 2.25, -3.125}},
		{"the ends of the range", "lab 100 200 -200", Lab{100, 200, -200}},
		{"black", "lab 0 0 0", Lab{}},
	} {
		if got, rough, err := Parse(row.typed); err != nil || rough || got != row.want {
			t.Errorf("%s: %q is %v, %t, %v", row.why, row.typed, got, rough, err)
		}
	}
	for why, typed := range map[string]string{
		"nothing": "", "a name": "red", "no hash": "b3433a", "three digits": "#b34", "seven": "#b3433a0", "not hexadecimal": "#b3433g",
		"a sign in it": "#+3433a", "an underscore": "#b_433a", "two values": "lab 50 2", "four": "lab 50 2 3 4", "lighter than white": "lab 100.1 0 0", "below black": "lab -0.1 0 0",
		"beyond surfaces": "lab 50 201 0", "no number": "lab NaN 0 0", "no end": "lab 50 Inf 0", "an exponent": "lab 5e1 0 0", "two points": "lab 5.0.1 0 0", "lab alone": "lab",
	} {
		if got, _, err := Parse(typed); !fault.Is(err, fault.Input) || got != (Lab{}) || !strings.Contains(err.Error(), "lab 52.3") {
			t.Errorf("%s: %q is %v, %v", why, typed, got, err)
		}
	}
}

// The steps of the grey scales come out as their grades.
func TestGreyScales(t *testing.T) {
	grade := func(s string) float64 {
		var a, b float64
		if n, _ := fmt.Sscanf(s, "%g-%g", &a, &b); n == 2 {
			return (a + b) / 2
		}
		return a
	}
	at := func(de float64) (Lab, Lab) { return Lab{L: 90}, Lab{L: 90 - de} }
	for _, row := range reftest.Load(t, "grey-scale-change.tsv") {
		got := RateColourChange(at(row.Number(t, "difference")))
		if math.Abs(float64(got)-grade(row["grade"])) > 0.04 || got.Grade() != row["grade"] {
			t.Errorf("change: grade %s is rated %.3f, %s", row["grade"], float64(got), got.Grade())
		}
	}
	// A staining step is neither light alone nor colour alone: the scale is grey,
	// so light alone.
	for _, row := range reftest.Load(t, "grey-scale-staining.tsv") {
		got := RateStaining(at(row.Number(t, "difference")))
		if math.Abs(float64(got)-grade(row["grade"])) > 0.05 || got.Grade() != row["grade"] {
			t.Errorf("staining: grade %s is rated %.3f, %s", row["grade"], float64(got), got.Grade())
		}
	}
}

func TestGrade(t *testing.T) {
	for r, want := range map[GreyScaleRating]string{5: "5", 4.75: "5", 4.744: "4-5", 4.25: "4-5", 4.244: "4", 3.5: "3-4", 1.25: "1-2", 1.24: "1", 1: "1"} {
		if got := r.Grade(); got != want {
			t.Errorf("%g is grade %s, want %s", float64(r), got, want)
		}
	}
}

// Chroma that is lost counts less in a strong colour than in a pale one, and
// lightness the same in both.
func TestChangeWeighsChroma(t *testing.T) {
	pale, strong := RateColourChange(Lab{50, 5, 0}, Lab{50, 2, 0}), RateColourChange(Lab{50, 60, 0}, Lab{50, 57, 0})
	if !(strong > pale) {
		t.Errorf("3 of chroma lost: pale %g, strong %g", float64(pale), float64(strong))
	}
	if a, b := RateColourChange(Lab{50, 5, 0}, Lab{53, 5, 0}), RateColourChange(Lab{50, 60, 0}, Lab{53, 60, 0}); math.Abs(float64(a-b)) > 1e-9 {
		t.Errorf("3 of lightness: pale %g, strong %g", float64(a), float64(b))
	}
}

func drawLab(t *rapid.T, name string) Lab {
	v := rapid.Float64Range(-maxAB, maxAB)
	return Lab{rapid.Float64Range(0, 100).Draw(t, name+".L"), v.Draw(t, name+".a"), v.Draw(t, name+".b")}
}

func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, q := drawLab(t, "p"), drawLab(t, "q")
		if d := Difference(p, p); d != 0 {
			t.Fatalf("%v differs from itself by %g", p, d)
		}
		if RateColourChange(p, p) != 5 || RateStaining(p, p) != 5 {
			t.Fatalf("%v: no difference is rated %g and %g", p, float64(RateColourChange(p, p)), float64(RateStaining(p, p)))
		}
		a, b := Difference(p, q), Difference(q, p)
		if !(a >= 0) || math.IsInf(a, 0) || math.Abs(a-b) > 1e-9*(1+a) {
			t.Fatalf("%v and %v: %g, the other way %g", p, q, a, b)
		}
		for _, r := range []GreyScaleRating{RateColourChange(p, q), RateStaining(p, q)} {
			if !(r >= 1 && r <= 5) {
				t.Fatalf("%v to %v is rated %g", p, q, float64(r))
			}
		}
		if a, b := RateColourChange(p, q), RateColourChange(q, p); math.Abs(float64(a-b)) > 1e-9 {
			t.Fatalf("%v and %v: change %g, the other way %g", p, q, float64(a), float64(b))
		}
		if more := (Lab{q.L + math.Copysign(1, q.L-p.L), q.A, q.B}); RateStaining(p, more) > RateStaining(p, q) {
			t.Fatalf("from %v: %v is rated worse than the one farther in lightness %v", p, q, more)
		}
	})
}

// Every phone's grey is a grey, and lighter ones have more L*.
func TestGreysOfPhones(t *testing.T) {
	last := -1.0
	for v := range 256 {
		c := FromSRGB(uint8(v), uint8(v), uint8(v))
		if math.Abs(c.A) > 1e-9 || math.Abs(c.B) > 1e-9 || !(c.L > last) || c.L > 100+1e-9 {
			t.Fatalf("%d is %v after L* %g", v, c, last)
		}
		last = c.L
	}
}

// FuzzParse reads, writes and reads again.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"lab 50 2.6772 -79.7751", "#b3433a", "LAB 1,5 −2 +3,", "lab 100 0 0", "#ffffff", "lab NaN 0 0", "#-00001", "lab . - +", "lab 1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c, _, err := Parse(s)
		if err != nil {
			if fault.AsFault(err).Code != fault.Input {
				t.Fatal(err)
			}
			return
		}
		// A white that the last bits lift above 100 is written as 100.
		written := fmt.Sprintf("lab %.9f %.9f %.9f", math.Min(c.L, 100), c.A, c.B)
		again, _, err := Parse(written)
		if err != nil || math.Abs(again.L-c.L)+math.Abs(again.A-c.A)+math.Abs(again.B-c.B) > 1e-8 {
			t.Fatalf("%q is %v, written %q, read as %v, %v", s, c, written, again, err)
		}
	})
}
