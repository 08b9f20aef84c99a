package price

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

func TestParse(t *testing.T) {
	for _, row := range []struct {
		why, typed string
		name       string
		cost       float64
	}{
		{"a powder", "rust 12 per 50 g used 14.4 g", "rust", 12 * 14.4 / 50},
		{"a name of several words", "deep yellow 12,50 per 50 g used 10 g", "deep yellow", 2.5},
		{"a name with per in it", "cost per jar 12 per 50 g used 10 g", "cost per jar", 2.4},
		{"units that differ", "soda 4 per 2 kg used 500 g", "soda", 1},
		{"a pound for ounces: 16 of them", "soda 4 per lb used 4 oz", "soda", 1},
		{"by the hour", "15 per h used 2 h 30 min", "", 37.5},
		{"by the litre", "softener 8 per L used 250 mL", "softener", 2},
		{"by number", "bags 3 per 50 used 12", "bags", 0.72},
		{"a sum", "parking 5", "parking", 5},
		{"a sum without a name", " 5.25 ", "", 5.25},
		{"nothing used", "rust 12 per 50 g used 0 g", "rust", 0},
	} {
		got, err := Parse(row.typed)
		if err != nil || len(got) != 1 || got[0].Name != row.name || math.Abs(float64(got[0].Cost())-row.cost) > 1e-9 {
			t.Errorf("%s: %q is %+v, %v", row.why, row.typed, got, err)
		}
	}
	for why, typed := range map[string]string{
		"a currency":              "rust $12 per 50 g used 14.4 g",
		"another":                 "rust 12 EUR per 50 g used 14.4 g",
		"no amount used":          "rust 12 per 50 g",
		"nothing that it is for":  "rust 12 used 14.4 g",
		"a volume of a mass":      "rust 12 per 50 g used 2 tsp",
		"a number of a mass":      "rust 12 per 50 g used 2",
		"a price for nothing":     "rust 12 per 0 g used 2 g",
		"no price":                "rust",
		"a price below zero":      "rust -12 per 50 g used 14 g",
		"no unit that is known":   "rust 12 per jar used 1 jar",
		"a price in fractions":    "rust 1 1/2",
		"thousands with a space":  "1 200 per kg used 1 kg",
		"thousands or decimals":   "rust 1,200",
		"more than anyone pays":   "rust 999999999 per 1 g used 2 g",
		"one good and one not":    "rust 12 per 50 g used 14.4 g; yellow",
		"a name that is no price": "used used",
	} {
		got, err := Parse(typed)
		if f := fault.Of(err); !fault.Is(err, fault.Input) || got != nil || f.Typed == "" || f.Sentence == "" {
			t.Errorf("%s: %q is %+v, %v", why, typed, got, err)
		}
	}
	if _, err := Parse(strings.Repeat("a 1;", mostItems)); err != nil {
		t.Error(err)
	}
	if _, err := Parse(strings.Repeat("a 1;", mostItems+1)); !fault.Is(err, fault.Input) {
		t.Errorf("%d items: %v", mostItems+1, err)
	}
	if got, err := Parse(" ; "); err != nil || got != nil {
		t.Errorf("an empty list: %v, %v", got, err)
	}
}

// A worked example: 70 for ten pieces; with 30 % of the price left over, 100.
func TestBatch(t *testing.T) {
	items, err := Parse("powder 25 per 100 g used 40 g; labour 15 per h used 4 h")
	if err != nil {
		t.Fatal(err)
	}
	b := Batch{Items: items, Pieces: 10, Margin: 0.3}
	if math.Abs(float64(b.Cost())-70) > 1e-9 || math.Abs(float64(b.Each(b.Cost()))-7) > 1e-9 || math.Abs(float64(b.Price())-100) > 1e-9 {
		t.Errorf("cost %g, each %g, price %g", float64(b.Cost()), float64(b.Each(b.Cost())), float64(b.Price()))
	}
}

func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 8).Draw(t, "n")
		var items, twice []Item
		for range n {
			i := Item{Price: unit.Number(rapid.Float64Range(0, 1000).Draw(t, "price")), Kind: unit.KindMass,
				Per: rapid.Float64Range(0.1, 1e4).Draw(t, "per"), Used: rapid.Float64Range(0, 1e4).Draw(t, "used")}
			items = append(items, i)
			i.Used *= 2
			twice = append(twice, i)
		}
		b := Batch{Items: items, Pieces: unit.Count(rapid.IntRange(1, 500).Draw(t, "pieces")), Margin: unit.Share(rapid.Float64Range(0, 0.95).Draw(t, "margin"))}
		cost, price := float64(b.Cost()), float64(b.Price())
		near := func(a, b float64) bool { return math.Abs(a-b) <= 1e-9*(1+math.Abs(b)) }
		if !near(price, cost+price*float64(b.Margin)) {
			t.Fatalf("of %g, %g is left over cost %g", price, price-cost, cost)
		}
		if !near(float64(b.Each(b.Cost()))*float64(b.Pieces), cost) {
			t.Fatal("the pieces do not add up to the batch")
		}
		b.Items = twice
		if !near(float64(b.Cost()), 2*cost) {
			t.Fatalf("twice of all costs %g, not twice %g", float64(b.Cost()), cost)
		}
	})
}

// FuzzParse reads, writes and reads again.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"rust 12 per 50 g used 14.4 g; bags 3 per 50 used 12", "15 per h used 2 h 30 min", "5", "per per per used used", " per 1 g used 1 g", "a 1 per \u00bd kg used 1 oz", "\xff 1", "used", "0 per\f 0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		items, err := Parse(s)
		if err != nil {
			if fault.Of(err).Code != fault.Input {
				t.Fatal(err)
			}
			return
		}
		var w []string
		for _, i := range items {
			s := fmt.Sprintf("%s %.9f", i.Name, float64(i.Price))
			if i.Kind != "" {
				u := unit.Unit(i.Kind)
				if i.Kind == unit.KindCount {
					u = "pieces"
				}
				s += fmt.Sprintf(" per %.9f %s used %.9f %s", i.Per, u, i.Used, u)
			}
			w = append(w, s)
			if i.Kind != "" && i.Per < 1e-3 || i.Price > 1e6 || i.Used > 1e9 {
				return // more digits than are written here
			}
		}
		again, err := Parse(strings.Join(w, "; "))
		if err != nil || len(again) != len(items) {
			t.Fatalf("%q, written %q: %v", s, w, err)
		}
		for n, i := range items {
			if d := math.Abs(float64(again[n].Cost() - i.Cost())); again[n].Name != i.Name || d > 1e-3*(1+float64(i.Cost())) {
				t.Fatalf("%q: %+v reads again as %+v", s, i, again[n])
			}
		}
	})
}
