package soak

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/unit"
)

func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol }

// Worked by hand from the mass balance; no outside table exists.
func TestServes(t *testing.T) {
	ten := Bath{Volume: 10_000, Strength: 50}
	for _, row := range []struct {
		why   string
		goods Goods
		least unit.Volume
		want  float64
	}{
		{"dry goods at 110 % use 7.5 L of 10", Goods{Pickup: 1.1}, 2500, 7500 / 1.1},
		{"all of it", Goods{Pickup: 1.1}, 0, 10_000 / 1.1},
		{"as wet in as out: exp(-0.6 m/V) = 0.8", Goods{Pickup: 0.6, WetShareIn: 0.6}, 2500, 10_000 * math.Log(1.25) / 0.6},
		{"spun goods: the thinning comes first", Goods{Pickup: 1.1, WetShareIn: 0.6}, 2500, 10_000 * (1 - math.Pow(0.8, 0.5/0.6)) / 0.5},
		{"spun goods in a bath nearly at its least: the volume comes first", Goods{Pickup: 1.1, WetShareIn: 0.6}, 9000, 1000 / 0.5},
		{"wetter in than out: the bath grows and thins", Goods{Pickup: 1, WetShareIn: 2}, 0, 10_000 * (math.Pow(0.8, -0.5) - 1)},
		{"nothing may be used", Goods{Pickup: 1.1}, 10_000, 0},
	} {
		if got := float64(ten.Serves(row.goods, row.least)); !near(got, row.want, row.want*1e-9) {
			t.Errorf("%s: serves %.3f g, want %.3f", row.why, got, row.want)
		}
	}
	if got := float64(ten.Serves(Goods{}, 2500)); !math.IsInf(got, 1) {
		t.Errorf("goods that carry nothing in or out use the bath up at %g g", got)
	}
}

func TestDissolves(t *testing.T) {
	for _, row := range []struct {
		why  string
		c    unit.Concentration
		warm unit.Temperature
		want Solubility
	}{
		{"the usual soak at room temperature", 50, 21, DissolvesFully},
		{"the same out of a cold tap: over half of 92 g/L", 50, 5, DissolvesSlowly},
		{"beyond saturation at 5 °C (9.2 g per 100 g of water)", 93, 5, DissolvesNot},
		{"the same in warm water", 93, 35, DissolvesFully},
	} {
		if got, limit := CheckSolubility(row.c, row.warm); got != row.want {
			t.Errorf("%s: %s, want %s (limit %.1f g/L)", row.why, got, row.want, limit)
		}
	}
}

func drawBath(t *rapid.T) (Bath, Goods) {
	return Bath{
			Volume:   unit.Volume(rapid.Float64Range(100, 1e5).Draw(t, "volume")),
			Strength: unit.Concentration(rapid.Float64Range(1, 200).Draw(t, "strength")),
		}, Goods{
			DryMass:    unit.Mass(rapid.Float64Range(0, 1e5).Draw(t, "dry")),
			Pickup:     unit.Share(rapid.Float64Range(0.3, 4).Draw(t, "pickup")),
			WetShareIn: unit.Share(rapid.SampledFrom([]float64{0, 0.3, 0.6, 1.1, 2.5}).Draw(t, "wet in")),
		}
}

// Nothing is lost: what is left of the bath and what was carried off add up to
// what was there, and so does the water.
func TestBalanceCloses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, g := drawBath(t)
		end := b.AfterSoaking(g)
		if got, want := float64(end.Soda()+b.SodaCarriedOff(g)), float64(b.Soda()); !near(got, want, want*1e-9) {
			t.Fatalf("soda ash %g of %g", got, want)
		}
		if carried := float64(b.SodaCarriedOff(g)); carried < -1e-9 {
			t.Fatalf("goods brought soda ash in: %g", carried)
		}
		if end.Volume > 0 {
			if got, want := float64(end.Volume), float64(b.Volume)-float64(g.Pickup-g.WetShareIn)*float64(g.DryMass); !near(got, want, 1e-6*math.Abs(want)+1e-6) {
				t.Fatalf("%g mL left, want %g", got, want)
			}
		}
	})
}

// Piece by piece is the same as all of them: the formula does not depend on how
// the goods are divided.
func TestInTwoGoes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, g := drawBath(t)
		whole := b.AfterSoaking(g)
		if whole.Volume < 1 {
			return
		}
		part := rapid.Float64Range(0, 1).Draw(t, "part")
		first, rest := g, g
		first.DryMass, rest.DryMass = unit.Mass(float64(g.DryMass)*part), unit.Mass(float64(g.DryMass)*(1-part))
		two := b.AfterSoaking(first).AfterSoaking(rest)
		if !near(float64(two.Volume), float64(whole.Volume), 1e-6*float64(b.Volume)) || !near(float64(two.Strength), float64(whole.Strength), 1e-6*float64(b.Strength)) {
			t.Fatalf("%v in two goes, %v in one", two, whole)
		}
	})
}

// Dry goods shrink a bath and never thin it; wet goods never make it stronger.
func TestStrength(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, g := drawBath(t)
		end := b.AfterSoaking(g)
		if end.Strength > b.Strength*(1+1e-12) {
			t.Fatalf("%g g/L became %g", float64(b.Strength), float64(end.Strength))
		}
		if g.WetShareIn == 0 && end.Volume > 0 && !near(float64(end.Strength), float64(b.Strength), 1e-12) {
			t.Fatalf("dry goods thinned %g g/L to %g", float64(b.Strength), float64(end.Strength))
		}
	})
}

// What Serves says is what After shows: both limits are kept, and one is met.
func TestServesIsTheLimit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, g := drawBath(t)
		least := unit.Volume(float64(b.Volume) * rapid.Float64Range(0, 0.99).Draw(t, "least"))
		g.DryMass = b.Serves(g, least)
		if math.IsInf(float64(g.DryMass), 0) {
			t.Fatal("no limit")
		}
		end := b.AfterSoaking(g)
		kept := float64(end.Strength) / float64(b.Strength)
		if float64(end.Volume) < float64(least)-1e-6*float64(b.Volume) || end.Volume > 0 && kept < MinStrengthShare.Value-1e-6 {
			t.Fatalf("%g of %g mL, %g of the strength", float64(end.Volume), float64(least), kept)
		}
		if !near(float64(end.Volume), float64(least), 1e-6*float64(b.Volume)) && !near(kept, MinStrengthShare.Value, 1e-6) {
			t.Fatalf("it could serve more: %g of %g mL, %g of the strength", float64(end.Volume), float64(least), kept)
		}
	})
}

// A bath with its top-up serves the goods; one that serves them needs none.
func TestTopUpIsEnough(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, g := drawBath(t)
		least := unit.Volume(float64(b.Volume) * rapid.Float64Range(0, 0.99).Draw(t, "least"))
		more := b
		more.Volume += b.TopUp(g, least)
		if serves := more.Serves(g, least); float64(serves) < float64(g.DryMass)*(1-1e-9) {
			t.Fatalf("with %g mL it serves %g of %g g", float64(more.Volume), float64(serves), float64(g.DryMass))
		}
		if b.Serves(g, least) >= g.DryMass && b.TopUp(g, least) > 1e-6*b.Volume {
			t.Fatalf("a top-up of %g mL that is not needed", float64(b.TopUp(g, least)))
		}
	})
}

// Twice the bath with twice the goods is the same twice.
func TestScales(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, g := drawBath(t)
		k := rapid.Float64Range(0.1, 10).Draw(t, "k")
		b2, g2 := b, g
		b2.Volume *= unit.Volume(k)
		g2.DryMass *= unit.Mass(k)
		least := b.Volume / 4
		for what, pair := range map[string][2]float64{
			"soda":   {float64(b2.Soda()), float64(b.Soda())},
			"serves": {float64(b2.Serves(g2, least*unit.Volume(k))), float64(b.Serves(g, least))},
			"top-up": {float64(b2.TopUp(g2, least*unit.Volume(k))), float64(b.TopUp(g, least))},
		} {
			if !near(pair[0], k*pair[1], 1e-9*(k*pair[1]+float64(b2.Volume))) {
				t.Fatalf("%s: %g, want %g × %g", what, pair[0], k, pair[1])
			}
		}
	})
}
