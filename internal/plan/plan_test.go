package plan

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/shelf"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// tees are count pieces of grams each, wearing colours evenly; all of the batch where none is named.
func tees(count int, grams float64, colours ...journal.ID) batch.Piece {
	p := batch.Piece{ID: "p", Kind: "tee-m", Count: count, Grams: grams, Fibre: "cotton"}
	for _, c := range colours {
		p.Colours = append(p.Colours, journal.ColourInBag{Colour: c})
	}
	return p
}

func colours(ids ...journal.ID) (list []batch.Colour) {
	for _, id := range ids {
		list = append(list, batch.Colour{ID: id, Name: string(id), Class: "dichlorotriazine", Strength: 40, Depth: 1})
	}
	return list
}

// 1000 g of cotton takes up 1100 mL, and 15 % is lost: 1265 mL (package liquor, goods).
func TestJugOf(t *testing.T) {
	house := shelf.Kit{Bottles: []shelf.BottleStock{{Holds: 240, Count: 6}}, ScaleStep: 1}
	const oz8 = 236.5882365
	for _, c := range []struct {
		why     string
		pieces  []batch.Piece
		change  func(*batch.Colour)
		kit     shelf.Kit
		need    float64
		volume  float64
		bottles int
		powder  float64
	}{
		{"one colour, all the cloth, marks of 250 mL", []batch.Piece{tees(5, 200)}, nil, shelf.Kit{}, 632.5, 750, 0, 30},
		{"a piece with its own colour leaves the other none", []batch.Piece{tees(5, 200, "b")}, nil, shelf.Kit{}, 0, 50, 0, 2},
		{"small jugs by 50 mL", []batch.Piece{tees(1, 200, "a")}, nil, shelf.Kit{}, 253, 250, 0, 10},
		{"bottles at hand, filled to 200 mL", []batch.Piece{tees(5, 200)}, nil, house, 632.5, 800, 4, 32},
		{"two bottles of 8 fl oz, by half fluid ounces", []batch.Piece{tees(5, 200)}, func(c *batch.Colour) { c.Holds, c.Bottles = oz8, 2 }, shelf.Kit{}, 632.5, 13 * 29.5735295625, 2, 15.4},
		{"a volume by hand", []batch.Piece{tees(5, 200)}, func(c *batch.Colour) { c.VolumeML = 300 }, shelf.Kit{}, 632.5, 300, 0, 12},
		{"grams by hand", []batch.Piece{tees(5, 200)}, func(c *batch.Colour) { c.Grams = 7.25 }, shelf.Kit{}, 632.5, 750, 0, 7.3},
		{"2 % of the cloth in 110 % of liquor is 18.2 g/L", []batch.Piece{tees(5, 200)}, func(c *batch.Colour) { c.OnCloth = 0.02 }, shelf.Kit{}, 632.5, 750, 0, 13.6},
		{"half as deep takes half the dye, and water", []batch.Piece{{ID: "p", Count: 5, Grams: 200, PieceMore: journal.PieceMore{Depth: 0.5}}}, nil, shelf.Kit{}, 316.25, 500, 0, 20},
		{"wool is left out", []batch.Piece{tees(5, 200), {ID: "w", Count: 9, Grams: 300, Fibre: "wool"}}, nil, shelf.Kit{}, 632.5, 750, 0, 30},
		{"a scale of 1 g", []batch.Piece{tees(5, 200)}, func(c *batch.Colour) { c.Strength = 41 }, shelf.Kit{ScaleStep: 1}, 632.5, 750, 0, 31},
	} {
		s := batch.State{Pieces: c.pieces, Colours: colours("a", "b")}
		if c.change != nil {
			c.change(&s.Colours[0])
		}
		j := JugOf(s, s.Colours[0], c.kit)
		if !near(float64(j.Need), c.need) || !near(float64(j.Volume), c.volume) || j.Bottles != c.bottles || !near(float64(j.Powder), c.powder) {
			t.Errorf("%s: needs %v, %v in %d bottles, %v g; want %v, %v, %d, %v", c.why, j.Need, j.Volume, j.Bottles, j.Powder, c.need, c.volume, c.bottles, c.powder)
		}
	}
}

func near(a, b float64) bool { return math.Abs(a-b) < 1e-6*max(1, math.Abs(b)) }

// Whatever the pieces: all jugs together hold what the cloth takes, but for the slack; each is a
// number that a jug or bottles show; and the shares of a piece add up to 1.
func TestJugsHoldWhatTheClothTakes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ids := []journal.ID{"a", "b", "c"}
		s := batch.State{Colours: colours(ids...)}
		for range rapid.IntRange(1, 6).Draw(t, "lines") {
			p := tees(rapid.IntRange(1, 30).Draw(t, "count"), float64(rapid.IntRange(20, 900).Draw(t, "grams")))
			for _, id := range ids {
				if rapid.Bool().Draw(t, "wears") {
					p.Colours = append(p.Colours, journal.ColourInBag{Colour: id, Share: float64(rapid.IntRange(0, 4).Draw(t, "share"))})
				}
			}
			sum := 0.0
			for _, c := range ColourSharesOf(s, p) {
				sum += c.Share
			}
			if !near(sum, 1) {
				t.Fatalf("the shares of %v add up to %v", p.Colours, sum)
			}
			s.Pieces = append(s.Pieces, p)
		}
		kit := shelf.Kit{}
		if rapid.Bool().Draw(t, "bottles") {
			kit.Bottles = []shelf.BottleStock{{Holds: float64(rapid.SampledFrom([]int{60, 120, 240, 250, 500}).Draw(t, "holds"))}}
		}
		cloth, need := 0.0, 0.0
		for _, c := range s.Colours {
			j := JugOf(s, c, kit)
			cloth, need = cloth+float64(j.Cloth), need+float64(j.Need)
			if float64(j.Volume) < float64(j.Need)*0.95-1e-6 && j.Bottles < 100 {
				t.Fatalf("%v mL for %v mL", j.Volume, j.Need)
			}
			if r := math.Mod(float64(j.Volume)+1e-9, 10); r > 1e-6 {
				t.Fatalf("a jug of %v mL", j.Volume)
			}
		}
		grams := 0.0
		for _, p := range s.Pieces {
			grams += p.Grams * float64(p.Count)
		}
		if !near(cloth, grams) || !near(need, grams*1.1*1.15) {
			t.Fatalf("%v g of cloth is worn of %v g, and takes %v mL", cloth, grams, need)
		}
	})
}

// What a batch needs, with what is on the shelf.
func TestNeeds(t *testing.T) {
	id := func(n byte) journal.ID { return journal.NewID([16]byte{n}) }
	rust, bags := id(1), id(2)
	item := func(stock journal.ID, sort string, amount float64) shelf.Level {
		return shelf.Level{Item: shelf.Item{ID: stock, StockDescribed: journal.StockDescribed{Name: sort, StockType: sort}}, Amount: amount, IsKnown: true}
	}
	s := batch.State{Pieces: []batch.Piece{tees(5, 200)}, Colours: colours("a", "b")}
	s.Colours[0].Stock, s.Colours[1].Stock = rust, rust // two colours of one powder, 30 g each
	needs, totals := Needs(s, shelf.Kit{Hardness: 200, HasWater: true}, []shelf.Level{item(rust, "dye", 50), item(bags, "bag", 3)}, 150)
	if len(needs) != 4 || needs[0].Amount != 60 || needs[0].Lacking() != 10 {
		t.Fatalf("needs %+v", needs)
	}
	if needs[1].StockType != "alkali" || needs[1].IsCounted || needs[1].Lacking() != 0 {
		t.Errorf("soda ash of which nothing is known: %+v", needs[1])
	}
	// 200 mg/L in 1.5 L is 0.3 g of CaCO3; 2.04 g of softener a gram, 2 to 3 times (reference of package alkali).
	if got := float64(totals.Softener); got < 0.3*2.04*2 || got > 0.3*2.04*3 {
		t.Errorf("%v g of softener", got)
	}
	if needs[3].Lacking() != 2 || totals.Bags != 5 {
		t.Errorf("bags: %+v, %d", needs[3], totals.Bags)
	}
	s.Jugs = []batch.Jug{{ID: "j", Colour: "a"}}
	if needs, _ = Needs(s, shelf.Kit{}, nil, 0); needs[0].Amount != 30 {
		t.Errorf("once a jug is mixed the rest needs %v g", needs[0].Amount)
	}
}

// Cost by hand: 30 g at 12 for 50 g is 7.20; five tees at 3.50 are 17.50; 24.70 in all, 4.94 each, and
// with a margin of a third of the price 7.41.
func TestCostOf(t *testing.T) {
	rust := journal.NewID([16]byte{1})
	shelfState := shelf.State{Sums: shelf.Sums{Currency: "EUR", Margin: 1. / 3}, Items: []shelf.Item{{ID: rust, StockDescribed: journal.StockDescribed{Name: "rust", StockType: "dye"},
		Moves: []shelf.Move{{Kind: shelf.Bought, Amount: 50, Price: 12, Currency: "EUR"}}}}}
	p := tees(5, 200, "a")
	p.Price = 3.5
	s := batch.State{ID: "b", Pieces: []batch.Piece{p}, Colours: colours("a")}
	s.Colours[0].Stock, s.Colours[0].Grams = rust, 30
	cost := func() Cost {
		levels := shelf.Count(shelfState, nil)
		needs, _ := Needs(s, shelf.Kit{}, levels, 0)
		c, ok, err := CostOf(s, shelfState, levels, needs)
		if !ok || err != nil {
			t.Fatal(ok, err)
		}
		return c
	}
	c := cost()
	for _, row := range []struct{ got, want string }{{must(c.Format(c.Sums.Cost)), "24.70 EUR"}, {must(c.Format(c.Sums.CostEach)), "4.94 EUR"}, {must(c.Format(c.Sums.PriceEach)), "7.41 EUR"}} {
		if row.got != row.want {
			t.Errorf("%s, want %s", row.got, row.want)
		}
	}
	if len(c.Unpriced) != 1 || c.Unpriced[0] != "bags" {
		t.Errorf("without a price: %v, want bags", c.Unpriced)
	}
	// Once it is mixed, what was weighed counts.
	s.Jugs = []batch.Jug{{ID: "j", Colour: "a", PowderGrams: 35}}
	s.Uses = []batch.StockUse{{FactID: "f", StockType: "dye", Stock: rust, Amount: 35}}
	if got := must(cost().Format(cost().Sums.Cost)); got != "25.90 EUR" {
		t.Errorf("with 35 g mixed: %s, want 25.90 EUR", got)
	}
}

func must(text string, err error) string {
	if err != nil {
		return err.Error()
	}
	return text
}

// Bags are closed as late as they can be: a quarter of an hour later is too late.
func TestLatestClosing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cure := zone.Span(rapid.IntRange(1, 160*60).Draw(t, "minutes")) * zone.Minute
		wanted := zone.Instant(1_780_000_000_000) + zone.Instant(rapid.IntRange(0, 86_400_000).Draw(t, "wanted"))
		ready := func(closed zone.Instant) zone.Instant { return closed.Add(cure) }
		got := LatestClosing(wanted, ready)
		if ready(got) > wanted || ready(got.Add(quarter)) <= wanted || got%zone.Instant(quarter) != 0 {
			t.Fatalf("closed at %d for %d with %d", got, wanted, cure)
		}
	})
	if got := LatestClosing(1_780_000_000_000, func(zone.Instant) zone.Instant { return 0 }); got != 0 {
		t.Errorf("what never gets ready is closed at %d", got)
	}
}

// Two people halve the work of hands and no more; mixing goes on while the pieces soak.
func TestSteps(t *testing.T) {
	s := batch.State{Pieces: []batch.Piece{tees(10, 150)}, Colours: colours("a", "b")}
	steps := Steps(s, true, false)
	one, two := TotalTime(steps, StepsBeforeCure, 1), TotalTime(steps, StepsBeforeCure, 2)
	// 10 × 8 min to tie, 60 min in the soak (mixing takes 36), 10 × 8 min to dye.
	if one != unit.Duration(220*60) || two != unit.Duration(140*60) {
		t.Errorf("%v min alone, %v min for two; want 220 and 140", one/60, two/60)
	}
	if got := Steps(batch.State{}, false, false); got != nil {
		t.Errorf("an empty batch takes %v", got)
	}
}
