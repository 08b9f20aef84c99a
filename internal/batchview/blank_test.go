package batchview

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/label"
	"coldbatch/internal/zone"
)

// printBlanks prints n blanks as this phone does and returns them as they are printed.
func (y *testBatch) printBlanks(n int) []BlankView {
	y.t.Helper()
	had := len(batch.Build(y.facts).Blanks)
	runs, err := DraftBlanks(batch.Build(y.facts), y.env(noon), n)
	if err != nil {
		y.t.Fatal(err)
	}
	for _, r := range runs {
		y.add("", journal.KindBlanksPrinted, r)
	}
	return ViewBlanks(batch.Build(y.facts), false, y.env(noon))[had:]
}

// bagToClose is a bag of one new apron.
func (y *testBatch) bagToClose() journal.BagClosed {
	p := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "apron", Count: 1, Grams: 180, Fibre: "cotton"})
	c := y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "rust", CapLetters: "RU", RGB: "#b5372a", Class: "dichlorotriazine", Strength: 34, Depth: 1})
	return journal.BagClosed{Pieces: []journal.PieceInBag{{Piece: p.Subject, Count: 1}}, Colours: []journal.ColourInBag{{Colour: c.Subject}}}
}

// closeWithBlank closes a bag with that blank.
func (y *testBatch) closeWithBlank(blank string) (journal.ID, error) {
	d, err := DraftBag(batch.Build(y.facts), y.env(noon), y.bagToClose(), blank)
	if err != nil {
		return "", err
	}
	f := y.add("", journal.KindBagClosed, d.Closed)
	if d.BlankBound != nil {
		y.add(f.Subject, journal.KindBagBound, d.BlankBound)
	}
	return f.Subject, nil
}

func TestABlankBecomesABag(t *testing.T) {
	y := newTestBatch(t, 60, noon)
	y.add("", journal.KindNumbersLeased, journal.NumbersLeased{Device: y.a.Device, FirstNumber: 1, LastNumber: 20})
	printed := y.printBlanks(4)
	if v := y.view(noon); v.FreeBlanksText != "4 numbered blanks are free: 1–4" || v.NextNumber.Text != "5" {
		t.Errorf("told as %q, the next bag is %s", v.FreeBlanksText, v.NextNumber.Text)
	}
	for _, row := range []struct {
		why, typed string
		blank      int
	}{
		{"by its number", " 2 ", 1},
		{"by the address in its code", strings.ToLower(printed[0].Address), 0},
		{"by the id under the code", strings.ToLower(printed[3].TypedID), 3},
	} {
		id, err := y.closeWithBlank(row.typed)
		if err != nil {
			t.Fatalf("%s: %v", row.why, err)
		}
		s := batch.Build(y.facts)
		b, _ := s.Bag(id)
		x, _ := s.BlankByToken(b.BoundBlanks[0])
		if got := formatBagNumber(b.Number, b.Letter); got != printed[row.blank].Number || x.Bag != id {
			t.Errorf("%s: the bag is %s, the blank hangs on %s", row.why, got, x.Bag)
		}
		if l, err := label.Decode(printed[row.blank].Code); err != nil || !l.IsBlank || formatBagNumber(l.Number, l.Letter) != printed[row.blank].Number {
			t.Errorf("%s: its code says %+v, %v", row.why, l, err)
		} else if again, ok := s.BagByToken(b.BoundBlanks[0]); !ok || again.ID != id {
			t.Errorf("%s: the blank's code does not lead to the bag", row.why)
		}
		if again, ok := s.BagByTypedID(printed[row.blank].TypedID); !ok || again.ID != id {
			t.Errorf("%s: the blank's id does not lead to the bag", row.why)
		}
		if v, _ := ViewBag(s, id, y.env(noon)); v.PrintReason != "" || v.NumberClashes || len(v.AttachedBlanks) > 0 {
			t.Errorf("%s: a bag with its blank is told as %q, clash %v, tied %v", row.why, v.PrintReason, v.NumberClashes, v.AttachedBlanks)
		}
	}
	if v := y.view(noon); v.FreeBlanksText != "1 numbered blank is free: 3" {
		t.Errorf("told as %q", v.FreeBlanksText)
	}
}

func TestABlankThatIsNotFree(t *testing.T) {
	y := newTestBatch(t, 61, noon)
	y.add("", journal.KindNumbersLeased, journal.NumbersLeased{Device: y.a.Device, FirstNumber: 1, LastNumber: 20})
	blanks := y.printBlanks(2)
	bag, _ := y.closeWithBlank("1")
	own, _ := y.closeWithBlank("")
	p := y.bagToClose().Pieces[0].Piece
	y.add(p, journal.KindPieceTagged, journal.LabelNumberRange{From: 9, To: 9})
	v, _ := ViewBag(batch.Build(y.facts), own, y.env(noon))
	for _, row := range []struct {
		why, typed string
		code       fault.Code
		says       string
	}{
		{"one blank on two bags", "1", fault.Conflict, "is already on bag 1"},
		{"the same by its code", blanks[0].Code, fault.Conflict, "is already on bag 1"},
		{"a number that was never printed", "17", fault.NotFound, "no blank 17"},
		{"the number of a bag without a blank", "3", fault.NotFound, "no blank 3"},
		{"the label of a bag", v.Address, fault.Conflict, "label of bag 3"},
		{"the tag of a piece", "9", fault.Conflict, "tag of a piece"},
		{"a slip of the finger in the id", "K7M2-Q9X4-G", fault.Input, "not the number"},
		{"words", "two", fault.Input, "not the number"},
	} {
		if _, err := y.closeWithBlank(row.typed); !fault.Is(err, row.code) || !strings.Contains(err.Error(), row.says) {
			t.Errorf("%s: %v, want %q", row.why, err, row.says)
		}
	}
	// Taking the closing back, with what hangs on it, frees the blank.
	for _, f := range y.facts {
		if f.Subject == bag {
			y.add(y.facts[0].Subject, journal.KindFactWithdrawn, journal.FactTarget{Target: f.ID})
		}
	}
	if _, err := FindBlank(batch.Build(y.facts), "1"); err != nil {
		t.Errorf("a blank that was taken off is not free: %v", err)
	}
}

// A bag keeps the number it was closed with; a blank tied to it later leads to it
// too, and so does the one before.
func TestABlankOnABagThatIsClosed(t *testing.T) {
	y := newTestBatch(t, 62, noon)
	y.add("", journal.KindNumbersLeased, journal.NumbersLeased{Device: y.a.Device, FirstNumber: 1, LastNumber: 20})
	blanks := y.printBlanks(2)
	bag, _ := y.closeWithBlank("")
	for _, b := range blanks {
		x, err := FindBlank(batch.Build(y.facts), b.Number)
		if err != nil {
			t.Fatal(err)
		}
		y.add(bag, journal.KindBagBound, journal.BagBound{Token: x.Token})
	}
	s := batch.Build(y.facts)
	v, _ := ViewBag(s, bag, y.env(noon))
	if v.Number != "3" || !slices.Equal(v.AttachedBlanks, []string{"1", "2"}) || v.PrintReason != "" {
		t.Errorf("the bag is %s, tied %v, to print %q", v.Number, v.AttachedBlanks, v.PrintReason)
	}
	for _, b := range blanks {
		if got, ok := s.BagByTypedID(b.TypedID); !ok || got.ID != bag {
			t.Errorf("blank %s leads to %v", b.Number, got.ID)
		}
	}
}

// Two phones apart tie the same blank to two bags: both are told of.
func TestOneBlankOnTwoBags(t *testing.T) {
	y := newTestBatch(t, 63, noon)
	y.add("", journal.KindNumbersLeased, journal.NumbersLeased{Device: y.a.Device, FirstNumber: 1, LastNumber: 20})
	y.printBlanks(1)
	one, _ := y.closeWithBlank("1")
	two, _ := y.closeWithBlank("")
	x := batch.Build(y.facts).Blanks[0]
	y.add(two, journal.KindBagBound, journal.BagBound{Token: x.Token})
	for _, id := range []journal.ID{one, two} {
		if v, _ := ViewBag(batch.Build(y.facts), id, y.env(noon)); !v.NumberClashes {
			t.Errorf("bag %s does not say so", v.Number)
		}
	}
}

// A helper attaches the blank that hangs on an owner's bag to a bag of its own, which it closed earlier, or says so:
// the printed label goes on leading to the owner's bag.
func TestHelperTakesNoLabelOver(t *testing.T) {
	y := newTestBatch(t, 67, noon)
	y.add("", journal.KindNumbersLeased, journal.NumbersLeased{Device: y.a.Device, FirstNumber: 1, LastNumber: 20})
	y.printBlanks(1)
	kai := y.a.NewID()
	y.add("", journal.KindShareOpened, journal.ShareOpened{Hash: "aa"})
	y.add(kai, journal.KindHelperJoined, journal.DeviceNamed{Name: "Kai"})
	other := y.bag("dichlorotriazine", 21)
	other.Device = kai
	y.facts[len(y.facts)-1] = other
	x := batch.Build(y.facts).Blanks[0]
	own, _ := y.closeWithBlank("1")
	y.addAs(kai, other.Subject, journal.KindBagBound, journal.BagBound{Token: x.Token})
	s := batch.Build(y.facts)
	if b, ok := s.BagByToken(x.Token); !ok || b.ID != own {
		t.Errorf("the label leads to %s, not to the owner's bag %s", b.ID, own)
	}
	if v, _ := ViewBag(s, own, y.env(noon)); !v.NumberClashes {
		t.Error("the owner is not told")
	}
}

func TestPrintBlanksRefuses(t *testing.T) {
	y := newTestBatch(t, 64, noon)
	e := y.env(noon)
	e.NumberLetter = ""
	for _, row := range []struct {
		why   string
		count int
		code  fault.Code
	}{
		{"none", 0, fault.Input}, {"fewer than none", -1, fault.Input}, {"more than sheets", batch.MaxBlanks + 1, fault.Input},
		{"a phone without numbers", 1, fault.Conflict},
	} {
		if runs, err := DraftBlanks(batch.Build(y.facts), e, row.count); !fault.Is(err, row.code) {
			t.Errorf("%s: %v, %v", row.why, runs, err)
		}
	}
}

// Whatever is printed, closed, tied and taken back, by phones that are apart and
// meet: no number stands on two labels, a blank is on one bag at most, and the order
// of the facts does not matter.
func TestNoNumberOnTwoLabels(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		base := newTestBatch(rt, 65, noon)
		phones := []*testBatch{base, {t: rt, a: base.a, batch: base.batch}}
		phones[1].a.Device = base.a.NewID()
		phones[1].facts = slices.Clone(base.facts)
		for i, y := range phones {
			if rapid.Bool().Draw(rt, "leased") {
				f := base.add("", journal.KindNumbersLeased, journal.NumbersLeased{Device: y.a.Device, FirstNumber: 1 + 20*i, LastNumber: 20 + 20*i})
				phones[1].facts = append(phones[1].facts, f)
			}
		}
		letters := []string{"A", "B"}
		printed := map[string]journal.ID{} // by whom each number was printed
		stands := func(n string, fact journal.ID) {
			if _, twice := printed[n]; twice {
				rt.Fatalf("number %s stands on two labels", n)
			}
			printed[n] = fact
		}
		for range rapid.IntRange(1, 12).Draw(rt, "acts") {
			i := rapid.IntRange(0, 1).Draw(rt, "who")
			y := phones[i]
			e := y.env(noon)
			e.NumberLetter = letters[i]
			s := batch.Build(y.facts)
			switch rapid.IntRange(0, 3).Draw(rt, "act") {
			case 0:
				runs, err := DraftBlanks(s, e, rapid.IntRange(1, 8).Draw(rt, "count"))
				if err != nil {
					rt.Fatal(err)
				}
				for _, r := range runs {
					f := y.add("", journal.KindBlanksPrinted, r)
					for n := r.From; n <= r.To; n++ {
						stands(formatBagNumber(n, r.Letter), f.ID)
					}
				}
			case 1:
				blank := ""
				for _, x := range s.Blanks {
					if x.Bag == "" && rapid.Bool().Draw(rt, "take it") {
						blank = formatBagNumber(x.Number, x.Letter)
					}
				}
				d, err := DraftBag(s, e, y.bagToClose(), blank)
				if err != nil {
					rt.Fatal(err)
				}
				f := y.add("", journal.KindBagClosed, d.Closed)
				if d.BlankBound != nil {
					y.add(f.Subject, journal.KindBagBound, d.BlankBound)
				} else {
					stands(formatBagNumber(d.Closed.Number, d.Closed.Letter), f.ID)
				}
			case 2:
				if len(y.facts) == 1 {
					continue
				}
				f := rapid.SampledFrom(y.facts[1:]).Draw(rt, "fact")
				y.add(y.facts[0].Subject, journal.KindFactWithdrawn, journal.FactTarget{Target: f.ID})
			case 3:
				all := journal.Union(phones[0].facts, phones[1].facts)
				phones[0].facts, phones[1].facts = all, slices.Clone(all)
			}
		}
		all := journal.Union(phones[0].facts, phones[1].facts)
		s := batch.Build(all)
		slices.Reverse(all)
		if back := batch.Build(all); !reflect.DeepEqual(s, back) {
			rt.Fatal("the order of the facts matters")
		}
		for _, x := range s.Blanks {
			if b, ok := s.Bag(x.Bag); x.Bag != "" && (!ok || !slices.Contains(b.BoundBlanks, x.Token)) {
				rt.Fatalf("blank %d hangs on a bag that does not know it", x.Number)
			}
		}
	})
}

// The tag of a piece keeps its name when the bag is gone.
func TestTheTagOfAPiece(t *testing.T) {
	y := newTestBatch(t, 66, noon)
	p := y.add("", journal.KindPieceAdded, journal.PieceAdded{Kind: "napkin", Count: 3, Grams: 40, Fold: "spiral"})
	y.add(p.Subject, journal.KindPieceTagged, journal.LabelNumberRange{From: 1, To: 3})
	tags := ViewBlanks(batch.Build(y.facts), true, y.env(noon))
	if len(tags) != 3 || tags[2].Number != "3" || tags[2].Piece != p.Subject || !strings.Contains(tags[2].PieceWords, "spiral") {
		t.Fatalf("the tags are %+v", tags)
	}
	shown, err := ViewLabel(tags[2].Address, y.env(noon))
	if err != nil || !shown.PieceTag || shown.Bag.Number != "3" {
		t.Errorf("alone it says %+v, %v", shown, err)
	}
	c := y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "rust", CapLetters: "RU", RGB: "#b5372a", Class: "dichlorotriazine", Strength: 34, Depth: 1})
	b := y.add("", journal.KindBagClosed, journal.BagClosed{Number: 4, Pieces: []journal.PieceInBag{{Piece: p.Subject, Count: 3}}, Colours: []journal.ColourInBag{{Colour: c.Subject, Share: 1}}})
	if got, ok := batch.Build(y.facts).BagByTypedID(tags[0].TypedID); !ok || got.ID != b.Subject {
		t.Errorf("it leads to %v, not to the bag it went into", got.ID)
	}
	if f := FindLabel(batch.Build(y.facts), "", tags[0].TypedID); f.Bag != b.Subject || f.Bags != nil {
		t.Errorf("it leads to %+v", f)
	}
	// Three napkins in two bags: which has the one with this tag, nobody said.
	q := y.add("", journal.KindBagClosed, journal.BagClosed{Number: 5, Pieces: []journal.PieceInBag{{Piece: p.Subject, Count: 1}}, Colours: []journal.ColourInBag{{Colour: c.Subject, Share: 1}}})
	if f := FindLabel(batch.Build(y.facts), "", tags[0].TypedID); !reflect.DeepEqual(f.Bags, []journal.ID{b.Subject, q.Subject}) || f.Piece != p.Subject {
		t.Errorf("of a piece in two bags it leads to %+v", f)
	}
	if s := batch.Build(y.facts); s.Numbers.Used[0].Number != 1 || len(s.Numbers.Used) != 5 {
		t.Errorf("numbers used: %v", s.Numbers.Used)
	}
}

func TestTheLabelOfABagThatWasSplit(t *testing.T) {
	y := newTestBatch(t, 67, noon)
	f := y.bag("dichlorotriazine", 21)
	s := batch.Build(y.facts)
	b, _ := s.Bag(f.Subject)
	next := y.add("", journal.KindBagClosed, journal.BagClosed{Number: 2, Pieces: b.Pieces, Colours: b.Colours})
	y.add(f.Subject, journal.KindBagSplit, journal.BagSplit{Into: next.Subject, Pieces: b.Pieces})
	s = batch.Build(y.facts)
	old, ok := s.BagByToken(b.Token)
	if !ok || old.ID != f.Subject {
		t.Fatalf("the old label leads to %v", old.ID)
	}
	v, _ := ViewBag(s, old.ID, y.env(noon.Add(zone.Hour)))
	if v.Stage != "done" || !reflect.DeepEqual(v.SplitInto, []BagLink{{next.Subject, "2"}}) || v.PrintReason != "" || !strings.Contains(v.Headline, "another bag") {
		t.Errorf("an emptied bag is told as %s, %q, into %v", v.Stage, v.Headline, v.SplitInto)
	}
	today := ViewToday([]batch.State{s}, 0, y.env(noon.Add(zone.Hour)))
	if n := len(today.Groups); n != 1 || len(today.Groups[0].Bags) != 1 {
		t.Errorf("today lists %+v", today.Groups)
	}
}

func TestALabelThatIsOutOfDate(t *testing.T) {
	y := newTestBatch(t, 68, noon)
	f := y.bag("dichlorotriazine", 21)
	tag := func(at zone.Instant) BagView {
		v, err := ViewBag(batch.Build(y.facts), f.Subject, y.env(at))
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	soon := noon.Add(zone.Hour)
	if v := tag(soon); v.LastPrinted != nil || v.PrintReason != "not printed yet" {
		t.Errorf("a bag without a label: %+v, %q", v.LastPrinted, v.PrintReason)
	}
	v := tag(soon)
	y.add(f.Subject, journal.KindBagPrinted, journal.BagPrinted{Code: v.Code, Ready: v.ReadyAt})
	if v := tag(soon); v.LastPrinted == nil || v.LastPrinted.OutOfDateReason != "" || v.PrintReason != "" || v.LastPrinted.PrintedText == "" {
		t.Errorf("just printed: %+v, %q", v.LastPrinted, v.PrintReason)
	}
	blue := y.add("", journal.KindColourChosen, journal.ColourChosen{Name: "blue", CapLetters: "BL", RGB: "#2a37b5", Class: "dichlorotriazine", Strength: 34, Depth: 1})
	undo := y.add(f.Subject, journal.KindBagChanged, journal.BagChanged{Colours: []journal.ColourInBag{{Colour: blue.Subject, Share: 1}}})
	if v := tag(soon); !strings.Contains(v.LastPrinted.OutOfDateReason, "shows other colours") || v.PrintReason != v.LastPrinted.OutOfDateReason {
		t.Errorf("another colour: %+v", v.LastPrinted)
	}
	y.add(y.facts[0].Subject, journal.KindFactWithdrawn, journal.FactTarget{Target: undo.ID})
	cold := 12.0
	y.a.Now = soon
	y.add(f.Subject, journal.KindBagMoved, journal.BagMoved{Celsius: &cold})
	if v := tag(soon.Add(zone.Minute)); v.LastPrinted.OutOfDateReason != "the printed label shows another time: print it again, or trust this screen" {
		t.Errorf("colder: %+v", v.LastPrinted)
	}
	y.add(f.Subject, journal.KindBagOpened, journal.BagOpened{})
	if v := tag(soon.Add(zone.Hour)); v.PrintReason != "" {
		t.Errorf("once opened: %q", v.PrintReason)
	}
}

// A helper binds a token that no printing of its batch has, such as one that it read from the label of
// another batch: it leads to no bag. A blank whose printing was undone hangs on its bag all the same.
func TestForeignBlankLeadsNowhere(t *testing.T) {
	y := newTestBatch(t, 66, noon)
	y.add("", journal.KindNumbersLeased, journal.NumbersLeased{Device: y.a.Device, FirstNumber: 1, LastNumber: 20})
	y.printBlanks(2)
	bag, err := y.closeWithBlank("1")
	if err != nil {
		t.Fatal(err)
	}
	const foreign = "0102030405060708"
	y.add(bag, journal.KindBagBound, journal.BagBound{Token: foreign})
	printing := y.facts[slices.IndexFunc(y.facts, func(f journal.Fact) bool { return f.Kind == journal.KindBlanksPrinted })]
	for _, step := range []string{"bound", "the printing undone"} {
		s := batch.Build(y.facts)
		b, _ := s.Bag(bag)
		if _, ok := s.BagByToken(foreign); ok || len(b.BoundBlanks) != 1 {
			t.Errorf("%s: a label of elsewhere leads to the bag (%v), it has the blanks %q", step, ok, b.BoundBlanks)
		}
		if got, ok := s.BagByToken(b.BoundBlanks[0]); !ok || got.ID != bag {
			t.Errorf("%s: its own blank leads to %q", step, got.ID)
		}
		y.add(y.batch.Batch(), journal.KindFactWithdrawn, journal.FactTarget{Target: printing.ID})
	}
}
