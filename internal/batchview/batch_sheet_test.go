package batchview

import (
	"encoding/json"
	"strings"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/shelf"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// A batch sheet says what was planned and done: pieces, colours, soak, bags and results.
func TestBatchSheet(t *testing.T) {
	s, bag := good().state(t)
	s.Name = "Spring market"
	s.Bags[0].WeighedGrams = 2000
	s.Results = []batch.Result{{Subject: bag, Overall: 4, Note: "bright as wished"}}
	s.Readings = []batch.ColourReading{{Subject: bag, Lab: [3]float64{42, 38, 30}, Error: 5, Washes: 3}}
	e := ViewEnv{Now: whyStart.Add(10 * zone.Day), Zone: lisbon}
	if words := sheetWords(t, s, shelf.State{}, e); strings.Contains(words, "Cost") {
		t.Errorf("without a price: %q", words)
	}
	// 25 g of rust at 10 for 50 g is 5.00, and five pieces at 2 are 10.00: 15.00 in all, 3.00 each, and
	// with a margin of a third of the price 4.50.
	jar := testID(801)
	st := shelf.State{Sums: shelf.Sums{Currency: "EUR", Margin: 1. / 3}, Items: []shelf.Item{{ID: jar, StockDescribed: journal.StockDescribed{Name: "rust powder", StockType: "dye"},
		Moves: []shelf.Move{{Kind: shelf.Bought, Amount: 50, Price: 10, Currency: "EUR"}}}}}
	for i := range s.Pieces {
		s.Pieces[i].Price = 2
	}
	s.Uses = []batch.StockUse{{FactID: testID(802), StockType: "dye", Stock: jar, Amount: 25}}
	sheet, err := LayOutBatchSheet(s, st, "", e)
	if err != nil || len(sheet.Pages) != 1 || sheet.Paper.Name != "a4" {
		t.Fatalf("%d pages on %s, %v", len(sheet.Pages), sheet.Paper.Name, err)
	}
	text := sheetWords(t, s, st, e)
	for _, want := range []string{"Spring market", "5 pieces", "tee, medium, spiral", "washed before dyeing", "rust", "amber", "25 g/L", "150 g of soda ash in 3 L", "pH 11.5", "Bag 1",
		"closed", "weighed 2 kg wet", "cured 30 h", "rinsed in 9 baths", "4 of 5", "bright as wished", "L* 42 a* 38 b* 30, ± 5, after 3 washes", "Cost", "3.00 EUR",
		"with your margin: 4.50 EUR", "15.00 EUR: rust powder 5.00 EUR, pieces 10.00 EUR; excludes", "page 1 of 1"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in %q", want, text)
		}
	}
	us := e
	us.Style.System = unit.US
	if letter, err := LayOutBatchSheet(s, st, "", us); err != nil || letter.Paper.Width != 215.9 {
		t.Errorf("%+v %v", letter.Paper, err)
	}
	if _, err := LayOutBatchSheet(s, st, "a3", e); !fault.Is(err, fault.Input) {
		t.Errorf("a3: %v", err)
	}
	if empty, err := LayOutBatchSheet(batch.State{Name: "empty"}, shelf.State{}, "a4", e); err != nil || len(empty.Pages) != 1 {
		t.Errorf("an empty batch: %d pages, %v", len(empty.Pages), err)
	}
	if _, err := json.Marshal(sheet); err != nil { // it goes over the control socket
		t.Error(err)
	}
}

// sheetWords returns what stands on the first page of a batch sheet.
func sheetWords(t *testing.T, s batch.State, st shelf.State, e ViewEnv) string {
	t.Helper()
	sheet, err := LayOutBatchSheet(s, st, "", e)
	if err != nil {
		t.Fatal(err)
	}
	var words []string
	for _, x := range sheet.Pages[0].Texts {
		words = append(words, x.Text)
	}
	return strings.ReplaceAll(strings.Join(strings.Fields(strings.Join(words, " ")), " "), "\u00a0", " ")
}
