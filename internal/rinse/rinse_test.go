package rinse

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/reftest"
	"coldbatch/internal/unit"
)

func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol }

func litres(t *testing.T, row reftest.Row, key string) unit.SpecificVolume {
	return unit.SpecificVolume(row.Number(t, key))
}

// The closed form of one kind of bath, to the digits that are printed.
func TestBaths(t *testing.T) {
	ways := map[float64]Affinity{0: NoAffinity, 5: MiddlingAffinity, 50: StrongAffinity}
	for _, row := range reftest.Load(t, "rinse.tsv") {
		r := litres(t, row, "r")
		tub := RinseLoad{Goods: 1000, Bath: unit.Volume(1000 * row.Number(t, "l")), HeldBefore: r, HeldAfter: r, Affinity: ways[row.Number(t, "k")]}
		n, want := int(row.Number(t, "baths")), row.Number(t, "left")
		if got := tub.DyeLeft(n, 0); !near(float64(got), want, want*0.005) {
			t.Errorf("%v: %g of the dye, want %g", row, float64(got), want)
		}
		if got := tub.AlkaliLeft(n); tub.Affinity == NoAffinity && !near(float64(got), want, want*0.005) {
			t.Errorf("%v: %g of the alkali, want %g", row, float64(got), want)
		}
	}
}

// Cold baths go by the alkali and hot ones by the dye: what clings strongly once asked
// for 23 to 44 cold baths.
func TestPlan(t *testing.T) {
	for _, row := range reftest.Load(t, "rinse-plan.tsv") {
		for _, goods := range []float64{1, 37} {
			tub := RinseLoad{Goods: unit.Mass(1000 * goods), Bath: unit.Volume(1000 * goods * row.Number(t, "bath")),
				HeldBefore: litres(t, row, "held"), HeldAfter: litres(t, row, "after"), Affinity: Affinity(row["clings"])}
			p, ok := tub.Plan(unit.Share(row.Number(t, "target")))
			if !ok || float64(p.ColdBaths) != row.Number(t, "cold") || float64(p.HotBaths) != row.Number(t, "hot") {
				t.Errorf("%v: %+v", row, p)
			}
			for _, x := range []struct {
				what      string
				got, want float64
			}{
				{"alkali", float64(p.AlkaliLeft), row.Number(t, "alkali")}, {"dye", float64(p.DyeLeft), row.Number(t, "dye")},
				{"cold water", float64(p.ColdWater) / 1000 / goods, row.Number(t, "cold_l")},
				{"hot water", float64(p.HotWater) / 1000 / goods, row.Number(t, "hot_l")},
			} {
				if !near(x.got, x.want, x.want*6e-4) {
					t.Errorf("%v: %s %g", row, x.what, x.got)
				}
			}
			if k := tub.Affinity; !near(k.ColdAffinity().Value, row.Number(t, "kc"), 0) || !near(k.HotAffinity().Value, row.Number(t, "kh"), 0) {
				t.Errorf("%s clings by %g and %g, the table has other figures", k, k.ColdAffinity().Value, k.HotAffinity().Value)
			}
		}
	}
}

// Handbooks wash off reactive dye in five to six baths in all: cold, warm, boiling,
// warm and cold (an abstract, "The wash-off of dyeings using interstitial water", has 5
// stages for 2 % dye and 6 for 5 %).
func TestPlanIsLikeTheTrades(t *testing.T) {
	p, _ := RinseLoad{1000, 20_000, 2.2, 1.1, MiddlingAffinity}.Plan(0.001)
	if n := p.ColdBaths + p.HotBaths; n < 5 || n > 6 {
		t.Errorf("%d baths in all: %+v", n, p)
	}
}

// Worked by hand from the balance.
func TestPlanEdges(t *testing.T) {
	for _, row := range []struct {
		why       string
		tub       RinseLoad
		target    unit.Share
		cold, hot int
		ok        bool
	}{
		{"a tenth a bath: exactly three leave a thousandth", RinseLoad{1000, 10_000, 1, 1, NoAffinity}, 0.001, 3, 1, true},
		{"a little less may be left: four", RinseLoad{1000, 10_000, 1, 1, NoAffinity}, 0.000999, 4, 1, true},
		{"one is the least", RinseLoad{1000, 10_000, 1, 1, NoAffinity}, 0.5, 1, 1, true},
		{"a bath that hardly thins", RinseLoad{1000, 2300, 2.2, 2.2, StrongAffinity}, 0.001, MaxBaths + 1, 0, false},
	} {
		if p, ok := row.tub.Plan(row.target); p.ColdBaths != row.cold || p.HotBaths != row.hot || ok != row.ok {
			t.Errorf("%s: %+v (%v)", row.why, p, ok)
		}
	}
}

// Running water fills the tub first, which the exponential alone leaves out.
func TestRunning(t *testing.T) {
	for _, row := range reftest.Load(t, "rinse-running.tsv") {
		tub := RinseLoad{Goods: 2000, Bath: unit.Volume(2000 * row.Number(t, "bath")), HeldBefore: litres(t, row, "held"), HeldAfter: litres(t, row, "after"), Affinity: Affinity(row["clings"])}
		q, long := unit.Flow(2*row.Number(t, "flow")), unit.Minutes(row.Number(t, "minutes"))
		r := tub.RinseRunning(q, long)
		if a, d := row.Number(t, "alkali"), row.Number(t, "dye"); !near(float64(r.AlkaliLeft), a, a*1e-3) || !near(float64(r.DyeLeft), d, d*1e-3) {
			t.Errorf("%v: alkali %g, dye %g", row, float64(r.AlkaliLeft), float64(r.DyeLeft))
		}
		if want := 1000 * float64(q) * long.Minutes(); !near(float64(r.Water), want, 1e-6*want) {
			t.Errorf("%v: %g mL", row, float64(r.Water))
		}
	}
}

func drawRinseLoad(t *rapid.T) RinseLoad {
	tub := RinseLoad{
		Goods:      unit.Mass(rapid.Float64Range(1, 1e5).Draw(t, "goods")),
		HeldBefore: unit.SpecificVolume(rapid.Float64Range(0.3, 5).Draw(t, "held")),
		HeldAfter:  unit.SpecificVolume(rapid.Float64Range(0.3, 5).Draw(t, "after")),
		Affinity:   rapid.SampledFrom([]Affinity{NoAffinity, MiddlingAffinity, StrongAffinity}).Draw(t, "clings"),
	}
	most := max(tub.HeldBefore, tub.HeldAfter)
	tub.Bath = unit.Volume(float64(tub.Goods) * float64(most) * rapid.Float64Range(1.01, 50).Draw(t, "bath"))
	return tub
}

// The target is honoured, by as few baths and as little time as can be.
func TestTargetIsMet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tub := drawRinseLoad(t)
		target := unit.Share(rapid.Float64Range(1e-4, 0.5).Draw(t, "target"))
		if p, ok := tub.Plan(target); ok {
			if p.AlkaliLeft > target*1.000001 || p.DyeLeft > target*1.000001 {
				t.Fatalf("for %g: %+v", float64(target), p)
			}
			if p.ColdBaths > 1 && tub.AlkaliLeft(p.ColdBaths-1) <= target || p.HotBaths > 1 && tub.DyeLeft(p.ColdBaths, p.HotBaths-1) <= target {
				t.Fatalf("fewer do for %g: %+v", float64(target), p)
			}
			if p.HotBathsLow > p.HotBaths || p.HotBaths > p.HotBathsHigh {
				t.Fatalf("hot baths %d, %d–%d", p.HotBaths, p.HotBathsLow, p.HotBathsHigh)
			}
		}
		q := unit.Flow(rapid.Float64Range(0.1, 50).Draw(t, "flow"))
		if long := tub.RunningTime(q, target); !near(float64(tub.RinseRunning(q, long).AlkaliLeft)/float64(target), 1, 1e-6) {
			t.Fatalf("%g s leave %g, not %g", float64(long), float64(tub.RinseRunning(q, long).AlkaliLeft), float64(target))
		}
	})
}

// More baths, more water, less held and a larger bath never leave more.
func TestMoreNeverLeavesMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tub := drawRinseLoad(t)
		n, m := rapid.IntRange(0, 40).Draw(t, "cold"), rapid.IntRange(0, 10).Draw(t, "hot")
		larger, drier := tub, tub
		larger.Bath *= 1.5
		drier.HeldAfter *= 0.9
		for _, more := range []unit.Share{tub.DyeLeft(n+1, m), tub.DyeLeft(n, m+1), larger.DyeLeft(n, m), drier.DyeLeft(n, m)} {
			if more > tub.DyeLeft(n, m) {
				t.Fatalf("%g, was %g", float64(more), float64(tub.DyeLeft(n, m)))
			}
		}
		for _, more := range []unit.Share{tub.AlkaliLeft(n + 1), larger.AlkaliLeft(n), drier.AlkaliLeft(n)} {
			if more > tub.AlkaliLeft(n) {
				t.Fatalf("%g, was %g", float64(more), float64(tub.AlkaliLeft(n)))
			}
		}
		flow, long := unit.Flow(rapid.Float64Range(0, 50).Draw(t, "flow")), unit.Duration(rapid.Float64Range(0, 7200).Draw(t, "time"))
		short := tub.RinseRunning(flow, long)
		if longer := tub.RinseRunning(flow, long*2); longer.AlkaliLeft > short.AlkaliLeft || longer.DyeLeft > short.DyeLeft {
			t.Fatalf("longer leaves more: %+v, %+v", short, longer)
		}
	})
}

// Nothing is lost, bath by bath: the dye in goods and drained water at the end is
// the dye the goods brought, and the water that is counted is the water filled in.
func TestBalanceCloses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tub := drawRinseLoad(t)
		target := unit.Share(rapid.Float64Range(1e-3, 0.5).Draw(t, "target"))
		p, ok := tub.Plan(target)
		if !ok {
			return
		}
		m, in, goods, drained, cold, hot := float64(tub.Goods), float64(tub.HeldBefore), 1.0, 0.0, 0.0, 0.0
		for n := range p.ColdBaths + p.HotBaths {
			k, filled := tub.Affinity.ColdAffinity().Value, &cold
			if n >= p.ColdBaths {
				k, filled = tub.Affinity.HotAffinity().Value, &hot
			}
			*filled += float64(tub.Bath) - in*m
			in = float64(tub.HeldAfter)
			c := goods / (k*m + float64(tub.Bath))
			goods = c * (k + in) * m
			drained += c * (float64(tub.Bath) - in*m)
		}
		if !near(goods+drained, 1, 1e-9) || !near(float64(p.DyeLeft), goods, 1e-9) {
			t.Fatalf("%g drained and %g left; %+v", drained, goods, p)
		}
		if !near(float64(p.ColdWater), cold, 1e-6*cold) || !near(float64(p.HotWater), hot, 1e-6*hot) {
			t.Fatalf("water %+v, bath by bath %g and %g", p, cold, hot)
		}
	})
}

func TestSteps(t *testing.T) {
	for _, c := range []Affinity{NoAffinity, MiddlingAffinity, StrongAffinity, "?"} {
		for _, v := range []string{c.ColdAffinity().Name, c.HotAffinity().Name, c.ColdAffinity().Source.Text, c.HotAffinity().Source.Text} {
			if v == "" {
				t.Errorf("%s: %+v, %+v", c, c.ColdAffinity(), c.HotAffinity())
			}
		}
	}
	got := WashSteps("3 cold baths", "2 hot baths")
	if len(got) != 7 || !strings.HasPrefix(got[3], "3 cold baths, ") || !strings.HasPrefix(got[4], "only then 2 hot baths at 60 °C or hotter") {
		t.Error(got)
	}
}
