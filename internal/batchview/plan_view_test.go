package batchview

import (
	"encoding/json"
	"strings"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/plan"
	"coldbatch/internal/shelf"
	"coldbatch/internal/zone"
)

// stocked is a batch of ten tees in two colours, one from the shelf, with a shelf that has 20 g of its
// powder, soda ash of which nobody said how much, and a wage.
func stocked(t *testing.T) (batch.State, shelf.State) {
	t.Helper()
	y := stockedBatch(t)
	return batch.Build(y.facts), shelf.Build(y.facts)
}

func stockedBatch(t *testing.T) *testBatch {
	t.Helper()
	y := newTestBatch(t, 95, noon)
	stock := func(subject journal.ID, kind string, body any) journal.Fact {
		text, _ := json.Marshal(body)
		facts, err := y.a.MakeFacts([]journal.Draft{{Scope: journal.ShelfScope, Subject: subject, Kind: kind, Body: text}})
		if err != nil {
			t.Fatal(err)
		}
		y.facts = append(y.facts, facts...)
		return facts[0]
	}
	strength := 40.0
	rust := stock("", journal.KindStockKnown, journal.StockDescribed{Name: "rust powder", StockType: "dye", Class: "dichlorotriazine", Strength: &strength, Opened: noon.Add(-400 * zone.Day)})
	stock(rust.Subject, journal.KindStockBought, journal.StockMoved{Amount: 20, Price: 8, Currency: "EUR"})
	stock("", journal.KindStockKnown, journal.StockDescribed{Name: "soda ash", StockType: "alkali"})
	step, hard, wage := 0.1, 200.0, 15.0
	stock("", journal.KindStockKnown, journal.StockDescribed{Name: "pocket scale", StockType: "scale", ScaleStep: &step})
	stock("", journal.KindSumsSet, journal.SumsSet{Currency: new("EUR"), Hardness: &hard, Hourly: &wage})
	a := y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "rust", CapLetters: "RU", RGB: "#b5372a", Class: "dichlorotriazine", Strength: 40, Depth: 1,
		ColourMore: journal.ColourMore{Stock: rust.Subject}})
	y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "lemon", CapLetters: "LE", RGB: "#f2d22e", Class: "dichlorotriazine", Strength: 25, Depth: 1})
	y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "tee-m", Count: 8, Grams: 150, Fibre: "cotton",
		PieceMore: journal.PieceMore{Colours: []journal.ColourInBag{{Colour: a.Subject, Share: 1}}}})
	y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "tee-m", Count: 2, Grams: 150, Fibre: "cotton", MainFibreShare: 0.6,
		PieceMore: journal.PieceMore{Blend: []journal.FibreShare{{Fibre: "cotton", Share: 0.6}, {Fibre: "polyester", Share: 0.4}}}})
	return y
}

// The plan's words are the numbers of package plan.
func TestViewPlan(t *testing.T) {
	s, st := stocked(t)
	e := ViewEnv{Now: noon, Zone: lisbon, Kit: st.Kit, Places: map[journal.ID]batch.PlaceState{}}
	v := ViewPlan(s, st, nil, e)
	for i, c := range s.Colours {
		j := plan.JugOf(s, c, e.Kit)
		if v.Jugs[i].Volume != e.formatVolume(float64(j.Volume)) || v.Jugs[i].Powder != e.formatMass(float64(j.Powder)) {
			t.Errorf("%s: %+v, want %v mL with %v g", c.Name, v.Jugs[i], j.Volume, j.Powder)
		}
	}
	// 1350 g in rust: 1707.75 mL; 1750 mL at 40 g/L are 70 g. 150 g in lemon: 189.75 mL; 200 mL are 5 g.
	if v.Jugs[0].Volume != "1.75 L" || v.Jugs[0].Powder != "70 g" || v.Jugs[1].Volume != "200 mL" || v.Jugs[1].Powder != "5 g" {
		t.Errorf("jugs %+v", v.Jugs)
	}
	if v.Jugs[0].Lacks != "50 g more: 70 g needed, 20 g there" || len(v.Lacks) != 1 {
		t.Errorf("lacks %q, %+v", v.Jugs[0].Lacks, v.Lacks)
	}
	if len(v.Notes) != 1 || !strings.Contains(v.Notes[0], "half the depth, heathered; seams stay white") {
		t.Errorf("notes %q", v.Notes)
	}
	keys := ""
	for _, r := range v.Rows {
		keys += r.Key + " "
	}
	if keys != "soda softener bags wash " || v.Rows[2].Text != "10" {
		t.Errorf("rows %+v", v.Rows)
	}
	if v.Cost == nil || !strings.HasSuffix(v.Cost.PerPiece, " EUR") || !strings.Contains(v.Cost.Incomplete, "lemon") {
		t.Errorf("cost %+v %q", v.Cost, v.CostNote)
	}
	for _, text := range []string{v.Pieces, v.DyeTotal, v.Jugs[0].Need, v.Times.OnePerson} {
		if text == "" || strings.Contains(text, "691") {
			t.Errorf("%q", text)
		}
	}
	if b, err := json.Marshal(ViewPlan(batch.Build(nil), shelf.State{}, nil, ViewEnv{})); err != nil || strings.Contains(string(b), "null") {
		t.Errorf("the plan of an empty batch: %v %s", err, b)
	}
}

// A colour that only silk wears has no use in the plan, but it is not said that no piece uses it.
func TestPlanOfColourWornBySilkAlone(t *testing.T) {
	y := newTestBatch(t, 96, noon)
	violet := y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "violet", CapLetters: "VT", RGB: "#6b3f8c", Class: "dichlorotriazine", Strength: 40, Depth: 1})
	view := func() PlanJug { return ViewPlan(batch.Build(y.facts), shelf.State{}, nil, ViewEnv{}).Jugs[0] }
	if got := view().Worn; got != "no piece uses it" {
		t.Errorf("without a piece: %q", got)
	}
	y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "scarf", Count: 1, Grams: 60, Fibre: "silk",
		PieceMore: journal.PieceMore{Colours: []journal.ColourInBag{{Colour: violet.Subject, Share: 1}}}})
	if got := view(); got.Worn != "only pieces that are left out use it" || got.Need != "" {
		t.Errorf("with a silk scarf: %q, %q", got.Worn, got.Need)
	}
}

// Whoever begins when the plan says has bags that are safely ready when they are to be rinsed; a
// quarter of an hour later is too late. A colder place asks for an earlier start.
func TestPlanStart(t *testing.T) {
	s, st := stocked(t)
	s.RinseAt = noon.Add(4 * zone.Day)
	shed, kitchen := journal.NewID([16]byte{1}), journal.NewID([16]byte{2})
	places := map[journal.ID]batch.PlaceState{
		shed:    batch.BuildPlace([]journal.Fact{placeFact(shed, 1, journal.KindPlaceNamed, `{"name":"shed"}`), placeFact(shed, 2, journal.KindPlaceUsual, `{"low":12,"high":18}`)}),
		kitchen: batch.BuildPlace([]journal.Fact{placeFact(kitchen, 3, journal.KindPlaceNamed, `{"name":"kitchen"}`), placeFact(kitchen, 4, journal.KindPlaceUsual, `{"low":20,"high":22}`)}),
	}
	e := ViewEnv{Now: noon, Zone: lisbon, Kit: st.Kit, Places: places}
	v := ViewPlan(s, st, nil, e).Times
	if len(v.Places) != 3 || v.Places[0].Name != "kitchen" || v.Places[1].Name != "shed, carried into kitchen the next morning" || v.Places[2].Name != "shed" {
		t.Fatalf("places %+v", v.Places)
	}
	if !(v.Places[0].ReadyAt < v.Places[1].ReadyAt && v.Places[1].ReadyAt < v.Places[2].ReadyAt) {
		t.Errorf("ready at %d, %d, %d", v.Places[0].ReadyAt, v.Places[1].ReadyAt, v.Places[2].ReadyAt)
	}
	if !v.Places[0].InTime || !strings.HasPrefix(v.Places[0].StartText, "begin by ") {
		t.Errorf("kitchen: %+v", v.Places[0])
	}
	for _, r := range e.listRoutes(noon) {
		late := func(closed zone.Instant) zone.Instant { return e.routeOutlook(s, r, closed).Late }
		closing := plan.LatestClosing(s.RinseAt, late)
		if closing == 0 || late(closing) > s.RinseAt || late(closing.Add(15*zone.Minute)) <= s.RinseAt && late(closing.Add(15*zone.Minute)) != 0 {
			t.Errorf("%s: closed at %d it is ready at %d for %d", r.name, closing, late(closing), s.RinseAt)
		}
	}
}

func placeFact(id journal.ID, n int, kind, body string) journal.Fact {
	return journal.Fact{ID: journal.NewID([16]byte{100, byte(n)}), Stamp: journal.Stamp{Milliseconds: zone.Instant(n)}, Device: "d", Scope: journal.PlaceScope(id), Subject: id,
		Kind: kind, Version: 1, NeededVersion: 1, At: noon, TZ: "Europe/Lisbon", Body: json.RawMessage(body)}
}

// The shelf shows what is there, what is old, and what to buy.
func TestViewShelf(t *testing.T) {
	s, st := stocked(t)
	e := ViewEnv{Now: noon, Zone: lisbon, Kit: st.Kit}
	v := ViewShelf(st, nil, []batch.State{s}, e)
	if len(v.Groups) != 3 || v.Groups[0].Items[0].Amount != "20 g" || v.Groups[0].Items[0].Price != "40.00 EUR for 100 g" {
		t.Fatalf("groups %+v", v.Groups)
	}
	if notes := v.Groups[0].Items[0].Notes; len(notes) != 1 || !strings.Contains(notes[0], "over a year ago") {
		t.Errorf("an old jar says %q", notes)
	}
	if v.Groups[1].Items[0].Amount != "" {
		t.Errorf("soda ash that nobody weighed is %q", v.Groups[1].Items[0].Amount)
	}
	for _, line := range []string{"– rust powder: 50 g more: 70 g needed, 20 g there", "– soda ash: ", "– lemon: 5 g needed", "– bags: 10 needed"} {
		if !strings.Contains(v.ShareText, line) {
			t.Errorf("the list lacks %q:\n%s", line, v.ShareText)
		}
	}
	if v.Water != "200 mg/L, very hard" {
		t.Errorf("water %q", v.Water)
	}
}
