package price

import (
	"math/big"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// rat returns an amount as an exact fraction of the standard library.
func rat(a Amount) *big.Rat {
	return new(big.Rat).SetFrac(new(big.Int).SetUint64(a.num), new(big.Int).SetUint64(max(a.den, 1)))
}

func mustRat(t *testing.T, s string) *big.Rat {
	t.Helper()
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		t.Fatal(s)
	}
	return r
}

func TestParse(t *testing.T) {
	for _, row := range []struct {
		why, typed string
		name       string
		cost       string // an exact fraction
	}{
		{"a powder", "rust 12 per 50 g used 14.4 g", "rust", "3.456"},
		{"a name of several words", "deep yellow 12,50 per 50 g used 10 g", "deep yellow", "2.5"},
		{"a name with per in it", "cost per jar 12 per 50 g used 10 g", "cost per jar", "2.4"},
		{"units that differ", "soda 4 per 2 kg used 500 g", "soda", "1"},
		{"a pound for ounces: 16 of them", "soda 4 per lb used 4 oz", "soda", "1"},
		{"by the hour", "15 per h used 2 h 30 min", "", "37.5"},
		{"by the litre", "softener 8 per L used 250 mL", "softener", "2"},
		{"by number", "bags 3 per 50 used 12", "bags", "18/25"},
		{"thirds stay thirds", "bags 1 per 3 used 1", "bags", "1/3"},
		{"a sum", "parking 5", "parking", "5"},
		{"a sum without a name", " 5.25 ", "", "5.25"},
		{"nothing used", "rust 12 per 50 g used 0 g", "rust", "0"},

		{"hours at a price, which was 15", "4 h at 15", "", "60"},
		{"hours and minutes", "4 h 30 min at 15", "", "67.5"},
		{"with a name", "sewing 2 h at 12,50", "sewing", "25"},
		{"a price a minute", "90 min at 0.25 per min", "", "22.5"},
		{"pieces at a price, which was 3.50", "12 tees at 3.50", "tees", "42"},
		{"pieces without a name", "12 at 3.50", "", "42"},
		{"powder at a price", "14.4 g rust at 12 per 50 g", "rust", "3.456"},
		{"the name first", "rust 14.4 g at 12 per 50 g", "rust", "3.456"},
		{"a name with at in it", "parking at market 5", "parking at market", "5"},
	} {
		got, err := Parse(row.typed)
		if err != nil || len(got) != 1 || got[0].Name != row.name {
			t.Errorf("%s: %q is %+v, %v", row.why, row.typed, got, err)
			continue
		}
		if cost, ok := got[0].Cost(); !ok || rat(cost).Cmp(mustRat(t, row.cost)) != 0 {
			t.Errorf("%s: %q costs %v, want %s", row.why, row.typed, rat(cost), row.cost)
		}
	}
	for why, typed := range map[string]string{
		"one of them or all":      "12 tees 3.50",
		"powder at no amount":     "14.4 g at 12",
		"no amount":               "sewing at 15",
		"a price for no hours":    "4 h at 15 per 0 h",
		"hours at a price a gram": "4 h at 15 per g",
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
		"more than is accepted":   "rust 999999999 per 1 g used 2 g",
		"one good and one not":    "rust 12 per 50 g used 14.4 g; yellow",
		"a name that is no price": "used used",
	} {
		got, err := Parse(typed)
		if f := fault.AsFault(err); !fault.Is(err, fault.Input) || got != nil || f.Typed == "" || f.Sentence == "" {
			t.Errorf("%s: %q is %+v, %v", why, typed, got, err)
		}
	}
	if _, err := Parse(strings.Repeat("a 1;", maxItems)); err != nil {
		t.Error(err)
	}
	if _, err := Parse(strings.Repeat("a 1;", maxItems+1)); !fault.Is(err, fault.Input) {
		t.Errorf("%d items: %v", maxItems+1, err)
	}
	if got, err := Parse(" ; "); err != nil || got != nil {
		t.Errorf("an empty list: %v, %v", got, err)
	}
}

// A worked example: 70 for ten pieces; with 30 % of the price left over, 100.
func TestBatch(t *testing.T) {
	items, err := Parse("powder 25 per 100 g used 40 g; 4 h at 15")
	if err != nil {
		t.Fatal(err)
	}
	s, err := PricedBatch{Items: items, Pieces: 10, Margin: 0.3}.Sums()
	if err != nil {
		t.Fatal(err)
	}
	for want, got := range map[string]Amount{"70": s.Cost, "7": s.CostEach, "100": s.Price, "10": s.PriceEach} {
		if rat(got).Cmp(mustRat(t, want)) != 0 {
			t.Errorf("%v, want %s", rat(got), want)
		}
	}
}

// Halves round up, as on an invoice: 67.50 for twelve was 5.62.
func TestRound(t *testing.T) {
	for _, row := range []struct {
		num, den uint64
		decimals int
		want     string
	}{
		{6750, 1200, 2, "5.63"}, {6750, 1200, 3, "5.625"}, {6750, 1200, 0, "6"}, {1, 3, 2, "0.33"}, {2, 3, 2, "0.67"},
		{1, 200, 2, "0.01"}, {1, 201, 2, "0.00"}, {5, 1, 2, "5.00"}, {0, 0, 2, "0.00"}, {1, 2, 0, "1"}, {1005, 1000, 2, "1.01"},
	} {
		if got, ok := NewAmount(row.num, row.den).Round(row.decimals); !ok || got != row.want {
			t.Errorf("%d/%d to %d decimals: %q, want %q", row.num, row.den, row.decimals, got, row.want)
		}
	}
	if got, ok := NewAmount(1<<62, 1).Round(4); ok {
		t.Errorf("too large, and yet %q", got)
	}
}

// Against the exact fractions of the standard library.
func TestAmountsAreExact(t *testing.T) {
	draw := func(t *rapid.T, name string) Amount {
		return NewAmount(rapid.Uint64Range(1, 1e9).Draw(t, name), rapid.Uint64Range(1, 1e6).Draw(t, name+" part"))
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b := draw(t, "a"), draw(t, "b")
		x, y := rat(a), rat(b)
		if got, ok := a.Mul(b); ok && rat(got).Cmp(new(big.Rat).Mul(x, y)) != 0 {
			t.Fatalf("%v × %v is %v", x, y, rat(got))
		}
		if got, ok := a.Div(b); ok && rat(got).Cmp(new(big.Rat).Quo(x, y)) != 0 {
			t.Fatalf("%v / %v is %v", x, y, rat(got))
		}
		if got, ok := a.Add(b); !ok || rat(got).Cmp(new(big.Rat).Add(x, y)) != 0 {
			t.Fatalf("%v + %v is %v", x, y, rat(got))
		}
		if a.Less(b) != (x.Cmp(y) < 0) {
			t.Fatalf("%v < %v is %v", x, y, a.Less(b))
		}
		// big.Rat rounds halves away from zero, too.
		if got, ok := a.Round(2); !ok || got != x.FloatString(2) {
			t.Fatalf("%v is %s, want %s", x, got, x.FloatString(2))
		}
	})
}

// Where no fraction of 64 bits holds a sum, it is right to a billionth; what cannot be
// held even so is told, and never wraps round.
func TestAmountsDoNotOverflow(t *testing.T) {
	a, b := NewAmount(1<<62-1, 1<<61-1), NewAmount(1<<62-3, 1<<60-1)
	sum, ok := a.Add(b)
	diff := new(big.Rat).Sub(rat(sum), new(big.Rat).Add(rat(a), rat(b)))
	if !ok || diff.Abs(diff).Cmp(big.NewRat(1, 1e9)) > 0 {
		t.Errorf("%v, %v: off by %v", rat(sum), ok, diff)
	}
	large := NewAmount(1<<62, 1)
	if _, ok := large.Add(large); ok {
		t.Error("a sum beyond 64 bits is given")
	}
	if _, ok := large.Mul(large); ok {
		t.Error("a product beyond 64 bits is given")
	}
	items := []PricedItem{{Price: large}, {Price: large}}
	if _, err := (PricedBatch{Items: items, Pieces: 1}).Sums(); !fault.Is(err, fault.Input) {
		t.Errorf("a batch beyond 64 bits: %v", err)
	}
}

// Prices as people type them keep their decimals exactly.
func TestAmountOf(t *testing.T) {
	for v, want := range map[float64]string{0: "0", 0.1: "1/10", 14.4: "72/5", 67.5: "135/2", 28.349523125: "28.349523125", 1e12: "1000000000000", 0.7: "0.7", 1e-9: "1/1000000000", 1e-30: "0"} {
		if a, ok := AmountOf(v); !ok || rat(a).Cmp(mustRat(t, want)) != 0 {
			t.Errorf("%g is %v, %v", v, rat(a), ok)
		}
	}
	if a, ok := AmountOf(-1); ok {
		t.Errorf("−1 is %v", rat(a))
	}
}

// ISO 4217, from memory: the yen has no minor unit, the dinar of Kuwait has a thousandth.
func TestDecimals(t *testing.T) {
	for _, row := range []struct {
		typed, list string
		want        int
	}{
		{"", "12", 2}, {"", "12.5", 2}, {"", "12.505; 3", 3}, {"EUR", "12.505", 2}, {"jpy", "12", 0}, {" KWD ", "12", 3}, {"XYZ", "12", 2},
	} {
		var c Currency
		if row.typed != "" {
			var err error
			if c, err = ParseCurrency(row.typed); err != nil {
				t.Fatal(err)
			}
		}
		items, err := Parse(row.list)
		if got := (PricedBatch{Items: items}).Decimals(c); err != nil || got != row.want {
			t.Errorf("%q with %q: %d decimals, want %d (%v)", row.list, row.typed, got, row.want, err)
		}
	}
	for _, typed := range []string{"€", "euro", "E1R", "", "ÄÖÜ"} {
		if c, err := ParseCurrency(typed); !fault.Is(err, fault.Input) {
			t.Errorf("%q is %q", typed, c)
		}
	}
}

// One less 0.94 is 0.06000000000000005 in floating point, and was too long to be exact.
func TestMarginIsExact(t *testing.T) {
	for margin := range 96 {
		s, err := PricedBatch{Items: []PricedItem{{Price: NewAmount(1, 3)}}, Pieces: 7, Margin: unit.Share(margin) / 100}.Sums()
		if want := big.NewRat(100, int64(3*(100-margin))); err != nil || rat(s.Price).Cmp(want) != 0 {
			t.Errorf("%d %%: %v, want %v (%v)", margin, rat(s.Price), want, err)
		}
	}
}

// Eight powders in packs of odd sizes: their exact sum just fits into 64 bits, and a
// margin of it no longer does.
func TestOddPacks(t *testing.T) {
	exact := new(big.Rat)
	var b PricedBatch
	for _, p := range []struct{ cents, per, used uint64 }{{1, 29, 2}, {2, 139, 1}, {2, 298, 1}, {2, 329, 1}, {4, 360, 2}, {21504, 2, 144}, {1, 673, 2}} {
		b.Items = append(b.Items, PricedItem{Price: NewAmount(p.cents, 100), Kind: unit.KindMass, PackAmount: NewAmount(p.per, 10), UsedAmount: NewAmount(p.used, 10)})
		exact.Add(exact, big.NewRat(int64(p.cents*p.used), int64(100*p.per)))
	}
	b.Pieces, b.Margin = 1, 0.01
	s, err := b.Sums()
	if err != nil {
		t.Fatal(err)
	}
	price := exact.Mul(exact, big.NewRat(100, 99))
	if diff := new(big.Rat).Sub(rat(s.Price), price); diff.Abs(diff).Cmp(big.NewRat(1, 1e8)) > 0 {
		t.Errorf("the price is %v, not %v", rat(s.Price), price)
	}
}

func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var items, twice []PricedItem
		for range rapid.IntRange(0, 8).Draw(t, "n") {
			i := PricedItem{Price: NewAmount(rapid.Uint64Range(0, 1e5).Draw(t, "cents"), 100), Kind: unit.KindMass,
				PackAmount: NewAmount(rapid.Uint64Range(1, 1000).Draw(t, "per"), 10), UsedAmount: NewAmount(rapid.Uint64Range(0, 1000).Draw(t, "used"), 10)}
			items = append(items, i)
			i.UsedAmount, _ = i.UsedAmount.Mul(NewAmount(2, 1))
			twice = append(twice, i)
		}
		pieces, margin := rapid.IntRange(1, 500).Draw(t, "pieces"), rapid.IntRange(0, 95).Draw(t, "margin")
		b := PricedBatch{Items: items, Pieces: unit.Count(pieces), Margin: unit.Share(margin) / 100}
		s, err := b.Sums()
		if err != nil {
			t.Fatal(err)
		}
		left := new(big.Rat).Mul(rat(s.Price), big.NewRat(int64(100-margin), 100))
		if left.Cmp(rat(s.Cost)) != 0 {
			t.Fatalf("of %v, %v %% leave %v, and it costs %v", rat(s.Price), margin, left, rat(s.Cost))
		}
		if all := new(big.Rat).Mul(rat(s.CostEach), big.NewRat(int64(pieces), 1)); all.Cmp(rat(s.Cost)) != 0 {
			t.Fatal("the pieces do not add up to the batch")
		}
		b.Items = twice
		d, err := b.Sums()
		if err != nil {
			t.Fatal(err)
		}
		// With many different amounts each sum is right to a billionth.
		diff := new(big.Rat).Sub(rat(d.Cost), new(big.Rat).Mul(rat(s.Cost), big.NewRat(2, 1)))
		if diff.Abs(diff).Cmp(big.NewRat(int64(4*len(items)), 1e9)) > 0 {
			t.Fatalf("twice of all costs %v, not twice %v", rat(d.Cost), rat(s.Cost))
		}
	})
}

// FuzzParse: whatever is typed is a list of sums below the most that anyone pays, or
// refused with a sentence; and it adds up.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"rust 12 per 50 g used 14.4 g; bags 3 per 50 used 12", "15 per h used 2 h 30 min", "5", "per per per used used", " per 1 g used 1 g",
		"a 1 per \u00bd kg used 1 oz", "\xff 1", "used", "0 per\f 0", "4 h at 15", "12 tees at 3.50", "at at at", "1 at 1 per 1e-9 g", "999999999.999999999 per 0.0000001 g used 1 g"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		items, err := Parse(s)
		if err != nil {
			if g := fault.AsFault(err); g.Code != fault.Input || g.Sentence == "" {
				t.Fatal(err)
			}
			return
		}
		for _, i := range items {
			if cost, ok := i.Cost(); !ok || !cost.Less(maxCost) {
				t.Fatalf("%q: %+v", s, i)
			}
		}
		sums, err := PricedBatch{Items: items, Pieces: 7, Margin: 0.3}.Sums()
		if err != nil {
			return
		}
		if sums.Price.Less(sums.Cost) {
			t.Fatalf("%q: costs %v, sold for %v", s, rat(sums.Cost), rat(sums.Price))
		}
	})
}
