package batchview

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/label"
	"coldbatch/internal/sheet"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// buildExampleMarket is the example's batch with bags.
func buildExampleMarket(t *testing.T) (batch.State, ViewEnv) {
	t.Helper()
	states, e := buildExample(t, exampleFacts(t, noon, 9), noon)
	for _, s := range states {
		if s.Name == "spring market" {
			return s, e
		}
	}
	t.Fatal("the example has no spring market")
	return batch.State{}, e
}

// What the label says in print is what its code and its bag's page say.
func TestBagLabelSaysWhatTheBagSays(t *testing.T) {
	s, e := buildExampleMarket(t)
	all, _, err := SelectLabels(s, LabelSelection{}, e)
	if err != nil || len(all) == 0 {
		t.Fatalf("%d labels, %v", len(all), err)
	}
	for _, l := range all {
		v, err := ViewBag(s, l.Bag, e)
		if err != nil || v.Stage != "cure" {
			t.Fatalf("bag %s: %s, %v", l.Text.Number, v.Stage, err)
		}
		code, ok := label.FindCode(l.Text.Address)
		in, err := label.Decode(code)
		if !ok || err != nil || code != l.Code || formatBagNumber(in.Number, in.Letter) != l.Text.Number || in.Token.ID() != l.Text.TypedID || l.Ready != v.ReadyAt {
			t.Errorf("bag %s: its code says %+v, %v", l.Text.Number, in, err)
		}
		if len(l.Text.Colours) != len(v.Colours) || l.Text.Batch != s.Name || l.Text.Caution == "" || !strings.HasPrefix(l.Text.ClosedText, "closed ") {
			t.Errorf("bag %s: %+v", l.Text.Number, l.Text)
		}
		if v.ReadyAt == 0 {
			if l.Text.Time != "" || l.Text.TimeLead == "" {
				t.Errorf("bag %s has no time, and its label says %q %q", l.Text.Number, l.Text.TimeLead, l.Text.Time)
			}
			continue
		}
		if l.Text.Time != e.Zone.FormatClockWithDate(v.ReadyAt, false) || !strings.Contains(l.Text.TimeLead, "ready about") || !strings.HasPrefix(l.Text.Condition, "if it stays near ") {
			t.Errorf("bag %s: %q %q, %q", l.Text.Number, l.Text.TimeLead, l.Text.Time, l.Text.Condition)
		}
	}
}

func TestBriefTimes(t *testing.T) {
	for _, row := range []struct{ why, in, want string }{
		{"a 24 h clock", "Sat 2 May 20:25", "SAT 20:25"},
		{"am and pm", "Sat 2 May 8:25 pm", "SAT 8:25 pm"},
		{"an hour that occurs twice keeps its offset", "Sun 25 Oct 01:30 (UTC+1)", "SUN 01:30 (UTC+1)"},
		{"something else", "soon", "soon"},
	} {
		if got := shortenTime(row.in); got != row.want {
			t.Errorf("%s: %q, want %q", row.why, got, row.want)
		}
	}
}

// A batch that somebody flooded with bags is refused before a thousand labels are drawn
// and more; a choice of its bags is printed.
func TestLabelsOfAFloodedBatch(t *testing.T) {
	s, e := buildExampleMarket(t)
	all, _, err := SelectLabels(s, LabelSelection{}, e)
	if err != nil {
		t.Fatal(err)
	}
	flooded := s
	flooded.Bags = slices.Clone(s.Bags)
	curing := s.Bags[slices.IndexFunc(s.Bags, func(b batch.Bag) bool { return b.ID == all[0].Bag })]
	for n := range MaxLabels + 1 {
		curing.Number = 2000 + n
		flooded.Bags = append(flooded.Bags, curing)
	}
	if _, _, err := SelectLabels(flooded, LabelSelection{}, e); !fault.Is(err, fault.Input) || !strings.Contains(err.Error(), "more than 1000 labels") {
		t.Errorf("all of them: %v", err)
	}
	if got, _, err := SelectLabels(flooded, LabelSelection{Bags: []string{all[0].Text.Number}}, e); err != nil || len(got) != 1 {
		t.Errorf("one of them: %d, %v", len(got), err)
	}
}

// A bag that was closed at a time that no label holds, as a phone without a clock writes, does not keep the
// others of its batch from their labels; asked for by its number, it is refused.
func TestLabelsBesideABagOfNoTime(t *testing.T) {
	s, e := buildExampleMarket(t)
	all, _, err := SelectLabels(s, LabelSelection{}, e)
	if err != nil {
		t.Fatal(err)
	}
	odd := s
	odd.Bags = slices.Clone(s.Bags)
	bag := s.Bags[slices.IndexFunc(s.Bags, func(b batch.Bag) bool { return b.ID == all[0].Bag })]
	bag.ID, bag.Number, bag.ClosedAt, bag.Token = "0000000000000000000000000Z", 303, 0, ""
	odd.Bags = append(odd.Bags, bag)
	got, unlabelled, err := SelectLabels(odd, LabelSelection{}, e)
	if err != nil || len(got) != len(all) || !slices.Equal(unlabelled, []string{"303"}) {
		t.Errorf("%d labels, want %d; none for %v, %v", len(got), len(all), unlabelled, err)
	}
	if _, _, err := SelectLabels(odd, LabelSelection{Bags: []string{"303"}}, e); !fault.Is(err, fault.Conflict) {
		t.Errorf("by its number: %v", err)
	}
	odd.Bags = []batch.Bag{bag}
	if _, _, err := SelectLabels(odd, LabelSelection{}, e); !fault.Is(err, fault.Conflict) {
		t.Errorf("alone: %v", err)
	}
}

// One bag or colour with a letter that no label takes does not keep the labels of its
// batch from being printed, and what a terminal would obey is on none of them.
func TestLabelsOfBadLetters(t *testing.T) {
	s, e := buildExampleMarket(t)
	all, _, err := SelectLabels(s, LabelSelection{}, e)
	if err != nil {
		t.Fatal(err)
	}
	paper, err := sheet.FindPaper("a4-70x37")
	if err != nil {
		t.Fatal(err)
	}
	for _, letter := range []string{"\x1b", "\u202e", "É", "AB", "I"} {
		bad := s
		bad.Bags, bad.Colours = slices.Clone(s.Bags), slices.Clone(s.Colours)
		bad.Bags[0].Letter = letter
		bad.Colours[0].CapLetters, bad.Colours[0].Name = letter, letter+strings.Repeat("long", 50)
		got, _, err := SelectLabels(bad, LabelSelection{}, e)
		if err != nil || len(got) != len(all) {
			t.Fatalf("%q: %d of %d labels, %v", letter, len(got), len(all), err)
		}
		pages, _, err := sheet.PrintJob{Paper: paper, Labels: []sheet.LabelText{got[0].Text}}.Pages()
		if err != nil || len(pages) == 0 {
			t.Fatalf("%q: %v", letter, err)
		}
		for _, x := range got {
			if _, code, ok := strings.Cut(x.Text.Address, "/b/"); x.Code == "" || ok && code == "" {
				t.Errorf("%q: a label leads nowhere: %q", letter, x.Text.Address)
			}
		}
	}
}

func TestLabelsPicked(t *testing.T) {
	s, e := buildExampleMarket(t)
	all, _, err := SelectLabels(s, LabelSelection{}, e)
	if err != nil {
		t.Fatal(err)
	}
	some := all[0].Text.Number
	backwards := s
	backwards.Bags = slices.Clone(s.Bags)
	slices.Reverse(backwards.Bags)
	if got, _, err := SelectLabels(backwards, LabelSelection{}, e); err != nil || !reflect.DeepEqual(got, all) {
		t.Errorf("they do not come by number whatever was closed first: %v", err)
	}
	for _, row := range []struct {
		why   string
		pick  LabelSelection
		count int
		code  fault.Code
	}{
		{"all that cure", LabelSelection{LabelKind: "bags"}, len(all), ""},
		{"one by its number", LabelSelection{Bags: []string{" " + strings.ToLower(some)}}, 1, ""},
		{"one that is not there", LabelSelection{Bags: []string{some, "999"}}, 0, fault.NotFound},
		{"a bottle of each colour", LabelSelection{LabelKind: "bottles"}, len(s.Colours), ""},
		{"the bucket", LabelSelection{LabelKind: "bucket"}, 1, ""},
		{"no blanks were printed", LabelSelection{LabelKind: "blanks"}, 0, fault.NotFound},
		{"no tags were", LabelSelection{LabelKind: "tags"}, 0, fault.NotFound},
		{"something else", LabelSelection{LabelKind: "sails"}, 0, fault.Input},
	} {
		got, _, err := SelectLabels(s, row.pick, e)
		if len(got) != row.count || (err == nil) != (row.code == "") || err != nil && !fault.Is(err, row.code) {
			t.Errorf("%s: %d labels, %v", row.why, len(got), err)
		}
	}
	if _, err := BagLabel(s, journal.NewID([16]byte{1}), e); !fault.Is(err, fault.NotFound) {
		t.Errorf("a bag that is not there: %v", err)
	}
	e.Host = ""
	if _, err := BagLabel(s, all[0].Bag, e); !fault.Is(err, fault.Conflict) {
		t.Errorf("no host to name: %v", err)
	}
}

// A colour has one hatching on all labels of its batch, and neighbours differ.
func TestHatchesHoldForTheBatch(t *testing.T) {
	s, e := buildExampleMarket(t)
	all, _, err := SelectLabels(s, LabelSelection{}, e)
	if err != nil {
		t.Fatal(err)
	}
	bottles, _, err := SelectLabels(s, LabelSelection{LabelKind: "bottles"}, e)
	if err != nil {
		t.Fatal(err)
	}
	hatch := map[string]int{}
	for _, l := range append(bottles, all...) {
		for _, c := range l.Text.Colours {
			if had, ok := hatch[c.CapLetters]; ok && had != c.Hatch {
				t.Errorf("%s has hatching %d and %d", c.CapLetters, had, c.Hatch)
			}
			hatch[c.CapLetters] = c.Hatch
		}
	}
	seen := map[int]bool{}
	for caps, h := range hatch {
		if seen[h] && len(hatch) <= sheet.HatchCount {
			t.Errorf("%s shares its hatching", caps)
		}
		seen[h] = true
	}
}

// Bottle and bucket say what is in them, since when, whether soda ash is, that it is
// no drink, and what to do for an eye.
func TestBottleAndBucket(t *testing.T) {
	y := newTestBatch(t, 61, noon)
	c := y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "rust", CapLetters: "RU", RGB: "#b5372a", Class: "dichlorotriazine", Strength: 30, Depth: 1})
	paper := func() sheet.LabelText {
		t.Helper()
		p, err := BottleLabel(batch.Build(y.facts), c.Subject, y.env(noon))
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	if p := paper(); p.Number != "RU" || p.Time != "30 g/L" || len(p.Lines) != 1 || p.ClosedText != "" {
		t.Errorf("planned: %+v", p)
	}
	jug := y.add("", journal.KindJugMixed, journal.JugMixed{Colour: c.Subject, PowderGrams: 7.2, VolumeML: 240})
	p := paper()
	if p.Time != "30 g/L" || !strings.HasPrefix(p.ClosedText, "mixed ") || p.Fold != "no soda ash in it" || len(p.Lines) != 0 {
		t.Errorf("mixed: %+v", p)
	}
	if p.Warning != "Not a drink" || !strings.Contains(p.Caution, "eye") || strings.Contains(p.Caution, "cap") {
		t.Errorf("its caution is %q, %q", p.Warning, p.Caution)
	}
	y.add(jug.Subject, journal.KindJugActivated, journal.JugActivated{SodaGrams: 4})
	if p := paper(); !strings.HasPrefix(p.Fold, "soda ash in it since ") || !strings.Contains(p.Caution, "never cap it tight") || !strings.Contains(p.Caution, "eye") {
		t.Errorf("with soda ash: %+v", p)
	}
	if _, err := BottleLabel(batch.Build(y.facts), journal.NewID([16]byte{1}), y.env(noon)); !fault.Is(err, fault.NotFound) {
		t.Errorf("no such colour: %v", err)
	}

	if p := BucketLabel(batch.Build(y.facts), y.env(noon)); p.Warning != "Not a drink" || len(p.Lines) != 1 || !strings.HasSuffix(p.Time, " g/L") {
		t.Errorf("a planned soak: %+v", p)
	}
	y.add("", journal.KindSoakMixed, journal.SoakMixed{WaterML: 10_000, SodaGrams: 200})
	b := BucketLabel(batch.Build(y.facts), y.env(noon))
	if b.Time != "20 g/L" || !strings.Contains(b.Piece, "200 g in 10 L") || !strings.HasPrefix(b.ClosedText, "mixed ") || !strings.Contains(b.Caution, "eye") {
		t.Errorf("a mixed soak: %+v", b)
	}
	e := y.env(noon)
	e.Style = unit.Style{System: unit.US}
	if us := BucketLabel(batch.Build(y.facts), e); us.Time == b.Time {
		t.Errorf("in US units it says %q", us.Time)
	}
}

// Free blanks are printed again without being asked for; one that hangs on a bag only with
// its whole printing.
func TestLabelsOfBlanksAndTags(t *testing.T) {
	y := newTestBatch(t, 62, noon)
	y.add("", journal.KindNumbersLeased, journal.NumbersLeased{Device: y.a.Device, FirstNumber: 1, LastNumber: 20})
	blanks := y.printBlanks(3)
	piece := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "pillowcase", Count: 2, Grams: 145, Fibre: "cotton", Fold: "spiral"})
	y.add(piece.Subject, journal.KindPieceTagged, journal.LabelNumberRange{From: 4, To: 5})
	if _, err := y.closeWithBlank(blanks[0].Number); err != nil {
		t.Fatal(err)
	}
	s, e := batch.Build(y.facts), y.env(noon.Add(zone.Hour))
	e.Host = "coldbatch.local:8443"
	free, _, err := SelectLabels(s, LabelSelection{LabelKind: "blanks"}, e)
	if err != nil || len(free) != 2 || free[0].Text.Number != "2" {
		t.Fatalf("free blanks: %+v, %v", free, err)
	}
	again, _, err := SelectLabels(s, LabelSelection{LabelKind: "blanks", PrintFacts: []journal.ID{blanks[0].Print}}, e)
	if err != nil || len(again) != 3 {
		t.Errorf("the whole printing again: %d, %v", len(again), err)
	}
	for _, l := range free {
		if l.Text.Lines[0] != "ready about" || l.Text.Caution == "" || l.Text.TypedID == "" || l.Bag != "" {
			t.Errorf("a blank: %+v", l)
		}
	}
	tags, _, err := SelectLabels(s, LabelSelection{LabelKind: "tags"}, e)
	if err != nil || len(tags) != 2 || tags[0].Text.Number != "4" || tags[0].Text.Piece != "Pillowcase, spiral" {
		t.Fatalf("tags: %+v, %v", tags, err)
	}
	code, _ := label.FindCode(tags[0].Text.Address)
	if in, err := label.Decode(code); err != nil || in.Token.ID() != tags[0].Text.Time || !in.IsBlank {
		t.Errorf("the tag's code says %+v, %v; beside it stands %q", in, err, tags[0].Text.Time)
	}
}

// A colour may fill several bottles, each with its label; one colour's can be printed
// alone, and a bucket may have more than one.
func TestLabelsOfSeveralBottles(t *testing.T) {
	s, e := buildExampleMarket(t)
	for _, row := range []struct {
		why  string
		pick LabelSelection
		want int // 0 a fault
	}{
		{"one of each", LabelSelection{LabelKind: "bottles"}, len(s.Colours)},
		{"three of each", LabelSelection{LabelKind: "bottles", Copies: 3}, 3 * len(s.Colours)},
		{"two of one colour", LabelSelection{LabelKind: "bottles", Copies: 2, Colours: []journal.ID{s.Colours[1].ID}}, 2},
		{"a colour of another batch", LabelSelection{LabelKind: "bottles", Colours: []journal.ID{"x"}}, 0},
		{"two buckets", LabelSelection{LabelKind: "bucket", Copies: 2}, 2},
		{"as many as are printed at a time", LabelSelection{LabelKind: "bucket", Copies: batch.MaxBlanks}, batch.MaxBlanks},
		{"one more", LabelSelection{LabelKind: "bucket", Copies: batch.MaxBlanks + 1}, 0},
		{"fewer than none", LabelSelection{LabelKind: "bottles", Copies: -1}, 0},
	} {
		got, _, err := SelectLabels(s, row.pick, e)
		if len(got) != row.want || (err == nil) != (row.want > 0) {
			t.Errorf("%s: %d labels, %v", row.why, len(got), err)
		}
		if row.pick.Colours != nil && err == nil && got[0].Text.Number != s.Colours[1].CapLetters {
			t.Errorf("%s: %+v", row.why, got[0].Text)
		}
	}
}
