package plan

import (
	"math"

	"coldbatch/internal/alkali"
	"coldbatch/internal/batch"
	"coldbatch/internal/goods"
	"coldbatch/internal/journal"
	"coldbatch/internal/rinse"
	"coldbatch/internal/shelf"
	"coldbatch/internal/unit"
)

// Need is what a batch still needs of one thing, beside what is on the shelf.
type Need struct {
	StockType string     // of the stock
	Stock     journal.ID // the thing on the shelf; empty where none is there
	Name      string     // of the thing or of the colour
	Amount    float64    // g or pieces that are still to be used
	OnShelf   float64    // on the shelf
	IsCounted bool       // somebody said how much is there
}

// Lacking is what must be bought: nothing where nobody said how much is there.
func (n Need) Lacking() float64 {
	if !n.IsCounted {
		return 0
	}
	return max(0, n.Amount-max(0, n.OnShelf))
}

// Totals is what a batch needs in all, of what is not dye.
type Totals struct {
	Soda     unit.Mass   // for a soak that is not mixed yet
	Softener unit.Mass   // for dye water that is not mixed yet
	Bags     int         // for pieces that are in none
	Dye      unit.Volume // of the jugs that are not mixed yet
}

// IsMixed says whether a jug of the colour is at hand.
func IsMixed(s batch.State, colour journal.ID) bool {
	for _, j := range s.Jugs {
		if j.Colour == colour && !j.IsDiscarded && !j.NeedsNewerApp {
			return true
		}
	}
	return false
}

// Needs lists what the batch still takes off the shelf: powder by colour, then soda ash, softener
// and bags. soda is what the planned soak takes, 0 where it is mixed.
func Needs(s batch.State, kit shelf.Kit, levels []shelf.Level, soda unit.Mass) ([]Need, Totals) {
	t := Totals{Soda: soda}
	var list []Need
	for _, c := range s.Colours {
		if IsMixed(s, c.ID) {
			continue
		}
		j := JugOf(s, c, kit)
		t.Dye += j.Volume
		n := Need{StockType: "dye", Stock: c.Stock, Name: c.Name, Amount: float64(j.Powder)}
		if l, ok := levelOf(levels, "dye", c.Stock); ok && c.Stock != "" {
			n.Name, n.OnShelf, n.IsCounted = l.Name, l.Amount, l.IsKnown
		}
		list = append(list, n)
	}
	if kit.HasWater {
		softener, _, _ := alkali.SoftenerMass(unit.Hardness(kit.Hardness), t.Dye)
		t.Softener = unit.Mass(RoundEstimate(float64(softener)))
	}
	for _, p := range s.Pieces {
		if BlendOf(p).HarmedFibre() == "" {
			t.Bags += max(0, p.Count-s.CountBagged(p.ID))
		}
	}
	for _, n := range []Need{
		{StockType: "alkali", Name: "soda ash", Amount: float64(t.Soda)},
		{StockType: "softener", Name: "softener", Amount: float64(t.Softener)},
		{StockType: "bag", Name: "bags", Amount: float64(t.Bags)},
	} {
		if n.Amount <= 0 {
			continue
		}
		if l, ok := levelOf(levels, n.StockType, ""); ok {
			n.Stock, n.Name, n.OnShelf, n.IsCounted = l.ID, l.Name, l.Amount, l.IsKnown
		}
		list = append(list, n)
	}
	return joinNeeds(list), t
}

// RoundEstimate rounds to two significant digits, which is more than an estimate has.
func RoundEstimate(v float64) float64 {
	if v <= 0 || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0
	}
	step := math.Pow(10, math.Floor(math.Log10(v))-1)
	return math.Round(v/step) * step
}

// levelOf finds a thing by its id or, without one, by its sort; all things of the sort count
// together, under the name of the first.
func levelOf(levels []shelf.Level, sort string, id journal.ID) (found shelf.Level, ok bool) {
	for _, l := range levels {
		if l.IsGone && id == "" || l.StockType != sort || id != "" && l.ID != id {
			continue
		}
		if !ok {
			found, ok = l, true
			continue
		}
		found.Amount += l.Amount
		found.IsKnown = found.IsKnown || l.IsKnown
	}
	return found, ok
}

// joinNeeds adds up needs of one thing: two colours may be of one powder.
func joinNeeds(list []Need) (out []Need) {
	at := map[journal.ID]int{}
	for _, n := range list {
		if i, had := at[n.Stock]; had && n.Stock != "" {
			out[i].Amount += n.Amount
			continue
		}
		at[n.Stock] = len(out)
		out = append(out, n)
	}
	return out
}

// Wash is the water for washing all pieces out together.
type Wash struct {
	Bath      unit.Volume
	Cold, Hot int
	Water     unit.Volume
}

// WashOf plans the washing of grams of dry cloth in baths of ratio L/kg; no bath
// is smaller than least litres.
func WashOf(grams, ratio, least float64) (w Wash, ok bool) {
	if grams <= 0 {
		return w, false
	}
	tub := rinse.RinseLoad{Goods: unit.Mass(grams), Bath: unit.Volume(math.Ceil(max(least, grams/1000*ratio)) * 1000),
		HeldBefore: unit.SpecificVolume(goods.HeldWhenFull.Value), HeldAfter: unit.SpecificVolume(goods.HeldAfterWringing.Value), Affinity: rinse.MiddlingAffinity}
	if !tub.BathExceedsHeld() {
		return w, false
	}
	p, ok := tub.Plan(unit.Share(rinse.MaxShareLeft.Value))
	return Wash{tub.Bath, p.ColdBaths, p.HotBaths, p.ColdWater + p.HotWater}, ok
}
