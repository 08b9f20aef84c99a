package cure

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/dye"
	"coldbatch/internal/reftest"
	"coldbatch/internal/unit"
)

// What mixed_dye.go says about the model at pH 7: why it may not speak there.
func TestModelMayNotSpeakOfPlainWater(t *testing.T) {
	for order, want := range map[float64]float64{1: 690, 0.5: 6} {
		half := math.Ln2 / dichlorotriazine.rate(21, 7, dichlorotriazine.Energy.Value, order) / 86400
		if math.Abs(half/want-1) > 0.05 {
			t.Errorf("order %g: %.1f days, the comment says %g", order, half, want)
		}
	}
	for _, class := range []dye.Class{dye.Dichlorotriazine, dye.Monochlorotriazine} {
		if r := (MixedDye{Class: class, Temperature: 21, Age: 3600}).Remaining(); r != nil {
			t.Errorf("%s without soda ash: %+v", class, r)
		}
	}
}

// Practice at 21 °C, at its limits, and what is left, which decides with soda ash.
func TestFreshness(t *testing.T) {
	const hour, day, minute = 3600, 86400, 60
	for _, row := range []struct {
		why    string
		class  dye.Class
		alkali bool
		at     unit.Temperature
		age    unit.Duration
		want   DyeFreshness
	}{
		{"plain", dye.Dichlorotriazine, false, 21, 3 * day, FreshnessGood},
		{"plain, fourth day", dye.Dichlorotriazine, false, 21, 3*day + 1, FreshnessUseSoon},
		{"plain, a week", dye.Dichlorotriazine, false, 21, 7 * day, FreshnessUseSoon},
		{"plain, eighth day", dye.Dichlorotriazine, false, 21, 7*day + 1, FreshnessWeak},
		{"plain, a fortnight", dye.Dichlorotriazine, false, 21, 14 * day, FreshnessDiscard},
		{"six days in the heat of a car were called use soon", dye.Dichlorotriazine, false, 60, 6 * day, FreshnessDiscard},
		{"twenty days in a refrigerator were called discard", dye.Dichlorotriazine, false, 4, 20 * day, FreshnessUseSoon},

		{"soda just in", dye.Dichlorotriazine, true, 21, 0, FreshnessGood},
		{"half an hour: 73 % left", dye.Dichlorotriazine, true, 21, 30 * minute, FreshnessWeak},
		{"59 min, 54 % left, was called use soon", dye.Dichlorotriazine, true, 21, 59 * minute, FreshnessWeak},
		{"four hours, 8 % left", dye.Dichlorotriazine, true, 21, 4 * hour, FreshnessDiscard},
		{"four hours at 5 °C, 85 % left", dye.Dichlorotriazine, true, 5, 4 * hour, FreshnessUseSoon},
		{"four hours, 99.8 % left, was called discard", dye.Monochlorotriazine, true, 21, 4 * hour, FreshnessGood},
		{"soda ash never keeps dye longer than water does", dye.Monochlorotriazine, true, 21, 4 * day, FreshnessUseSoon},

		{"no rate: practice, within the hour", dye.VinylSulfone, true, 21, hour, FreshnessUseSoon},
		{"no rate: a second later", dye.VinylSulfone, true, 21, hour + 1, FreshnessWeak},
		{"no rate: at four", dye.UnknownClass, true, 21, 4 * hour, FreshnessDiscard},
		{"no rate: before four", dye.UnknownClass, true, 21, 4*hour - 1, FreshnessWeak},
		{"no rate, colder: longer", dye.UnknownClass, true, 5, 4 * hour, FreshnessUseSoon},
		{"no rate, at 31 °C half an hour is 1.4 h", dye.UnknownClass, true, 31, 30 * minute, FreshnessWeak},
	} {
		if got := (MixedDye{Class: row.class, Alkali: row.alkali, Temperature: row.at, Age: row.age}).Freshness(); got != row.want {
			t.Errorf("%s: %s, want %s", row.why, got, row.want)
		}
	}
}

func TestKeepTables(t *testing.T) {
	for _, row := range reftest.Load(t, "keep-alkaline.tsv") {
		m := MixedDye{Class: dye.Class(row["class"]), Alkali: true, Temperature: unit.Temperature(row.Number(t, "celsius")), Age: unit.Minutes(row.Number(t, "minutes"))}
		if got, want := float64(m.Remaining().Share), row.Number(t, "left"); math.Abs(got-want) > 0.0011 {
			t.Errorf("%v: %.4f left", row, got)
		}
	}
	for _, row := range reftest.Load(t, "keep-plain.tsv") {
		m := MixedDye{Temperature: unit.Temperature(row.Number(t, "celsius")), Age: unit.Duration(row.Number(t, "days") * 86400)}
		if got := float64(m.AgeAt21()) / 86400; math.Abs(got-1) > 0.005 {
			t.Errorf("%v: worth %.4f days", row, got)
		}
	}
}

// The half-lives of the anchor, as they follow from the rates in print.
func TestHalfLives(t *testing.T) {
	for _, row := range reftest.Load(t, "hydrolysis.tsv") {
		k, ok := kineticsOf(dye.Class(row["class"]))
		if !ok {
			t.Fatalf("no rate for %s", row["class"])
		}
		half := math.Ln2 / k.rate(60, 10, k.Energy.Value, hydroxideOrder.Value) / 60
		if want := row.Number(t, "half_life"); math.Abs(half/want-1) > 0.01 {
			t.Errorf("%s: half in %.1f min, want %g", row["class"], half, want)
		}
	}
	// At pH 11.2 between the 6.6 h of pH 11 and the 2.9 h of pH 11.5 to 95 % in
	// cure-model.tsv: 6.6 h × 10^(−0.7 × 0.2) × ln 2 / ln 20 = 66 min.
	if r := (MixedDye{Class: dye.Dichlorotriazine, Alkali: true, Temperature: 21}).Remaining(); math.Abs(r.HalfLife.Minutes()-66) > 1 {
		t.Errorf("half in %.1f min at 21 °C", r.HalfLife.Minutes())
	}
}

func TestNoRateNoFigure(t *testing.T) {
	for _, m := range []MixedDye{
		{Class: dye.VinylSulfone, Alkali: true, Temperature: 21},
		{Class: dye.UnknownClass, Alkali: true, Temperature: 21},
		{Class: dye.Dichlorotriazine, Alkali: true, Temperature: 61},
		{Class: dye.Dichlorotriazine, Alkali: true, Temperature: unit.Temperature(math.NaN())},
	} {
		if r := m.Remaining(); r != nil {
			t.Errorf("%+v: %+v", m, r)
		}
	}
}

// Older or warmer is never fresher and never leaves more; soda ash never keeps
// dye longer; the range holds the figure; half the dye is left after the
// half-life.
func TestKeepingOnlyGetsWorse(t *testing.T) {
	rank := map[DyeFreshness]int{FreshnessGood: 0, FreshnessUseSoon: 1, FreshnessWeak: 2, FreshnessDiscard: 3}
	rapid.Check(t, func(t *rapid.T) {
		m := MixedDye{
			Class:       rapid.SampledFrom([]dye.Class{dye.Dichlorotriazine, dye.Monochlorotriazine, dye.VinylSulfone, dye.UnknownClass}).Draw(t, "class"),
			Alkali:      rapid.Bool().Draw(t, "soda"),
			Temperature: unit.Temperature(rapid.Float64Range(0, 55).Draw(t, "at")),
			Age:         unit.Duration(rapid.Float64Range(0, 20*86400).Draw(t, "age")),
		}
		older, warmer, soda := m, m, m
		older.Age *= 1.3
		warmer.Temperature += 3
		soda.Alkali = true
		for _, worse := range []MixedDye{older, warmer, soda} {
			if rank[worse.Freshness()] < rank[m.Freshness()] {
				t.Fatalf("%+v is %s, and %+v %s", m, m.Freshness(), worse, worse.Freshness())
			}
		}
		r := m.Remaining()
		if r == nil {
			return
		}
		if !(0 <= r.Low && r.Low <= r.Share && r.Share <= r.High && r.High <= 1) || !(r.ShortestHalfLife <= r.HalfLife && r.HalfLife <= r.LongestHalfLife) {
			t.Fatalf("%+v", r)
		}
		if older.Remaining().Share > r.Share || warmer.Remaining().Share > r.Share {
			t.Fatalf("more is left later or warmer: %+v", m)
		}
		m.Age = r.HalfLife
		if left := m.Remaining().Share; math.Abs(float64(left)-0.5) > 1e-9 {
			t.Fatalf("%g left after the half-life", float64(left))
		}
	})
}

// Keeping times and freshness agree: dye is good up to the first time, and to be discarded
// after the last.
func TestKeepsPlain(t *testing.T) {
	for _, at := range []unit.Temperature{2, 15, 21, 40} {
		use, good, last := KeepingTimesWithoutSoda(at)
		for _, row := range []struct {
			age  unit.Duration
			want DyeFreshness
		}{{good * 0.999, FreshnessGood}, {good * 1.001, FreshnessUseSoon}, {use * 0.999, FreshnessUseSoon}, {use * 1.001, FreshnessWeak}, {last * 0.999, FreshnessWeak}, {last * 1.001, FreshnessDiscard}} {
			if got := (MixedDye{Class: dye.UnknownClass, Temperature: at, Age: row.age}).Freshness(); got != row.want {
				t.Errorf("%g °C, %.1f h: %s, want %s", float64(at), row.age.Hours(), got, row.want)
			}
		}
	}
	if use, good, last := KeepingTimesWithoutSoda(21); math.Abs(use.Hours()-168) > 1e-9 || math.Abs(good.Hours()-72) > 1e-9 || math.Abs(last.Hours()-336) > 1e-9 {
		t.Errorf("at 21 °C %g, %g, %g h", use.Hours(), good.Hours(), last.Hours())
	}
}
