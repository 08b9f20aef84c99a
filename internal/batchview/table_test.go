package batchview

import (
	"slices"
	"strings"
	"testing"

	"coldbatch/internal/batch"
)

// A row holds the figures of its bag, and no cell begins like a formula.
func TestBagTable(t *testing.T) {
	s, bag := good().state(t)
	s.Name = "=2+3"
	s.Results = []batch.Result{{Subject: bag, Overall: 4, WhiteShare: pointer(0.05), Note: "@home, bright"}}
	s.Readings = []batch.ColourReading{{Subject: bag, Lab: [3]float64{42, -12.5, 30}, Error: 6}}
	rows := BagTable([]batch.State{s}, ViewEnv{Now: whyStart, Zone: lisbon})
	if len(rows) != 2 || len(rows[1]) != len(BagTableHeader) {
		t.Fatalf("%d rows: %v", len(rows), rows)
	}
	cell := func(name string) string { return rows[1][slices.Index(BagTableHeader, name)] }
	for name, want := range map[string]string{"batch": "'=2+3", "bag": "1", "dry_g": "640", "closed": "2026-02-02T02:40Z", "cure_h": "30", "soak_g_per_L": "50", "soak_min": "50", "dye_mL_per_g": "1.15",
		"baths": "9", "rating": "4", "white_share": "0.05", "note": "'@home, bright", "a": "-12.5", "rinsed": "2026-02-03T09:40Z", "done": ""} {
		if got := cell(name); got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
	csv := string(WriteTable([][]string{{"a", "b,c", `say "so"`, " pad", ""}, {"two\nlines", "é", "-5", "'=1", "x"}}))
	if want := "a,\"b,c\",\"say \"\"so\"\"\",\" pad\",\r\n\"two\nlines\",é,-5,'=1,x\r\n"; csv != want {
		t.Errorf("%q, want %q", csv, want)
	}
	for _, text := range []string{"=1", "+1", "-cmd", "@x", "\tx", "\r=1", "-", "-inf", "-NaN", "+5", "-1e999"} {
		if got := SafeCell(text); !strings.HasPrefix(got, "'") {
			t.Errorf("%q stays %q", text, got)
		}
	}
	for _, text := range []string{"", "5", "-5", "-0.25", "rust", "'x"} {
		if got := SafeCell(text); got != text {
			t.Errorf("%q becomes %q", text, got)
		}
	}
}

// A cell whose text goes on with a formula behind a semicolon, a tab or a line break was taken
// for two cells where a comma is the decimal point, and the second for a formula. So are signs
// of full width, and a sign behind spaces or what cannot be seen.
func TestNoPartOfACellIsAFormula(t *testing.T) {
	for text, want := range map[string]string{"rust;=1+1": "rust;'=1+1", "a\n=1": "a\n'=1", "a\t-1+2": "a\t'-1+2", "＝1+1": "'＝1+1", " =1": " '=1", "\ufeff@x": "\ufeff'@x",
		"a; \"+1": "a; \"'+1", "=a;=b": "'=a;'=b", "+5": "'+5", "1-2; a=b; c": "1-2; a=b; c", "rust; deep yellow": "rust; deep yellow"} {
		got := SafeCell(text)
		if got != want || SafeCell(got) != got {
			t.Errorf("%q becomes %q, then %q", text, got, SafeCell(got))
		}
	}
}
