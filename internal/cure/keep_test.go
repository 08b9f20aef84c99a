package cure

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/dye"
	"coldbatch/internal/reftest"
	"coldbatch/internal/unit"
)

// What keep.go says of the model at pH 7: why it may not speak there.
func TestModelMayNotSpeakOfPlainWater(t *testing.T) {
	for order, want := range map[float64]float64{1: 690, 0.5: 6} {
		half := math.Ln2 / dichlorotriazine.rate(21, 7, dichlorotriazine.Energy.Value, order) / 86400
		if math.Abs(half/want-1) > 0.05 {
			t.Errorf("order %g: %.1f days, the comment says %g", order, half, want)
		}
	}
	for _, class := range []dye.Class{dye.Dichlorotriazine, dye.Monochlorotriazine} {
		if r := (Mixed{Class: class, At: 21, Age: 3600}).Remains(); r != nil {
			t.Errorf("%s without soda ash: %+v", class, r)
		}
	}
}

// Practice, at its limits.
func TestFreshness(t *testing.T) {
	const hour, day = 3600, 86400
	for _, row := range []struct {
		why    string
		alkali bool
		at     unit.Temperature
		age    unit.Duration
		want   Freshness
	}{
		{"soda just in", true, 21, 0, UseSoon},
		{"within the hour", true, 21, hour, UseSoon},
		{"a second later", true, 21, hour + 1, Weak},
		{"before four", true, 21, 4*hour - 1, Weak},
		{"at four", true, 21, 4 * hour, Discard},
		{"a cold bottle gets no more time", true, 5, 4 * hour, Discard},
		{"at 31 °C an hour is 2.7 hours' worth", true, 31, 30 * 60, Weak},
		{"plain", false, 21, 3 * day, Good},
		{"plain, fourth day", false, 21, 3*day + 1, UseSoon},
		{"plain, a week", false, 21, 7 * day, UseSoon},
		{"plain, eighth day", false, 21, 7*day + 1, Weak},
		{"plain, a fortnight", false, 21, 14 * day, Discard},
		{"plain at the end of room temperature", false, 25, hour, Good},
		{"plain in the heat", false, 26, hour, UseSoon},
	} {
		if got := (Mixed{Class: dye.Dichlorotriazine, Alkali: row.alkali, At: row.at, Age: row.age}).Freshness(); got != row.want {
			t.Errorf("%s: %s, want %s", row.why, got, row.want)
		}
	}
}

// The half-lives of the anchor, as they follow from the rates in print.
func TestHalfLives(t *testing.T) {
	for _, row := range reftest.Load(t, "hydrolysis.tsv") {
		k, ok := model(dye.Class(row["class"]))
		if !ok {
			t.Fatalf("no rate for %s", row["class"])
		}
		half := math.Ln2 / k.rate(60, 10, k.Energy.Value, order.Value) / 60
		if want := row.Number(t, "half_life"); math.Abs(half/want-1) > 0.01 {
			t.Errorf("%s: half in %.1f min, want %g", row["class"], half, want)
		}
	}
	// At pH 11.2 between the 6.6 h of pH 11 and the 2.9 h of pH 11.5 to 95 % in
	// cure-model.tsv: 6.6 h × 10^(−0.7 × 0.2) × ln 2 / ln 20 = 66 min.
	if r := (Mixed{Class: dye.Dichlorotriazine, Alkali: true, At: 21}).Remains(); math.Abs(r.Half.Minutes()-66) > 1 {
		t.Errorf("half in %.1f min at 21 °C", r.Half.Minutes())
	}
}

func TestNoRateNoFigure(t *testing.T) {
	for _, m := range []Mixed{
		{Class: dye.VinylSulfone, Alkali: true, At: 21},
		{Class: dye.Unknown, Alkali: true, At: 21},
		{Class: dye.Dichlorotriazine, Alkali: true, At: 61},
		{Class: dye.Dichlorotriazine, Alkali: true, At: unit.Temperature(math.NaN())},
	} {
		if r := m.Remains(); r != nil {
			t.Errorf("%+v: %+v", m, r)
		}
	}
}

// Older or warmer is never fresher and never leaves more; soda ash never keeps
// dye longer; the range holds the figure; half the dye is left after the
// half-life.
func TestKeepingOnlyGetsWorse(t *testing.T) {
	rank := map[Freshness]int{Good: 0, UseSoon: 1, Weak: 2, Discard: 3}
	rapid.Check(t, func(t *rapid.T) {
		m := Mixed{
			Class:  rapid.SampledFrom([]dye.Class{dye.Dichlorotriazine, dye.Monochlorotriazine, dye.VinylSulfone, dye.Unknown}).Draw(t, "class"),
			Alkali: rapid.Bool().Draw(t, "soda"),
			At:     unit.Temperature(rapid.Float64Range(0, 55).Draw(t, "at")),
			Age:    unit.Duration(rapid.Float64Range(0, 20*86400).Draw(t, "age")),
		}
		older, warmer, soda := m, m, m
		older.Age *= 1.3
		warmer.At += 3
		soda.Alkali = true
		for _, worse := range []Mixed{older, warmer, soda} {
			if rank[worse.Freshness()] < rank[m.Freshness()] {
				t.Fatalf("%+v is %s, and %+v %s", m, m.Freshness(), worse, worse.Freshness())
			}
		}
		r := m.Remains()
		if r == nil {
			return
		}
		if !(0 <= r.Low && r.Low <= r.Left && r.Left <= r.High && r.High <= 1) || !(r.Fastest <= r.Half && r.Half <= r.Slow) {
			t.Fatalf("%+v", r)
		}
		if older.Remains().Left > r.Left || warmer.Remains().Left > r.Left {
			t.Fatalf("more is left later or warmer: %+v", m)
		}
		m.Age = r.Half
		if left := m.Remains().Left; math.Abs(float64(left)-0.5) > 1e-9 {
			t.Fatalf("%g left after the half-life", float64(left))
		}
	})
}
