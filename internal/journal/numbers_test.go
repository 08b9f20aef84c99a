package journal

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// numberedPhone is a device that closes bags apart from the others.
type numberedPhone struct {
	*Author
	letter string
	facts  []Fact
}

func (p *numberedPhone) close(t testing.TB, scope Scope) UsedNumber {
	t.Helper()
	u, ok := NumbersFromFacts(p.facts).NextNumber(p.Device, p.letter)
	if !ok {
		t.Fatal("no number was given")
	}
	b := BagClosed{Number: u.Number, Letter: u.Letter, Pieces: []PieceInBag{{p.NewID(), 1}}, Colours: []ColourInBag{{p.NewID(), 1}}}
	p.facts = append(p.facts, mustWrite(t, p.Author, newDraft(scope, KindBagClosed, b))...)
	return u
}

// Two phones close 20 bags or more each while apart, with and without leases, and sync
// now and then; some closings are withdrawn. No number is printed twice.
func TestNumbersAreUnique(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		hub := newAuthor(1000)
		scope := BatchScope(hub.NewID())
		phones := []*numberedPhone{{Author: newAuthor(1001), letter: "A"}, {Author: newAuthor(1002), letter: "B"}}
		var known []Fact
		printed := map[UsedNumber]string{}
		for i := range phones {
			if rapid.Bool().Draw(rt, "leased") {
				l, ok := NumbersFromFacts(known).NextLease(phones[i].Device)
				if !ok {
					rt.Fatal("no lease")
				}
				known = append(known, mustWrite(t, hub, newDraft(scope, KindNumbersLeased, l))...)
			}
		}
		for _, p := range phones {
			p.facts = Union(p.facts, known)
		}
		for n := range 2 * 25 {
			p := phones[rapid.IntRange(0, 1).Draw(rt, "who")]
			u := p.close(t, scope)
			if who, twice := printed[u]; twice {
				rt.Fatalf("bag %d%s was printed by %s and again by %s", u.Number, u.Letter, who, p.letter)
			}
			printed[u] = p.letter
			if rapid.IntRange(0, 5).Draw(rt, "undo") == 0 {
				last := p.facts[len(p.facts)-1]
				p.facts = append(p.facts, mustWrite(t, p.Author, newDraft(scope, KindFactWithdrawn, FactTarget{last.ID}))...)
			}
			if n%7 == 6 && rapid.Bool().Draw(rt, "meet") {
				known = Union(Union(known, phones[0].facts), phones[1].facts)
				if l, ok := NumbersFromFacts(known).NextLease(p.Device); ok && NumbersFromFacts(known).FreeCount(p.Device) < 5 {
					known = append(known, mustWrite(t, hub, newDraft(scope, KindNumbersLeased, l))...)
				}
				for _, q := range phones {
					q.facts = Union(q.facts, known)
				}
			}
		}
	})
}

func TestNumbersRunOut(t *testing.T) {
	a := newAuthor(1003)
	n := Numbers{Leases: []NumbersLeased{{a.Device, MaxNumber - 1, MaxNumber}}}
	if l, ok := n.NextLease(a.Device); ok {
		t.Errorf("leased %v past the highest number", l)
	}
	for i := range 2 {
		u, ok := n.NextNumber(a.Device, "")
		if !ok || u.Number != MaxNumber-1+i {
			t.Fatalf("next is %v, %v", u, ok)
		}
		n.Used = append(n.Used, u)
	}
	if u, ok := n.NextNumber(a.Device, ""); ok {
		t.Errorf("gave %v with no lease left and no letter", u)
	}
	if u, ok := n.NextNumber(a.Device, "H"); !ok || fmt.Sprint(u.Number, u.Letter) != "1 H" && u.Letter != "H" {
		t.Errorf("with a letter the next is %v, %v", u, ok)
	}
}

// A hub that was put back from an old copy leased one block twice: the earlier
// lease keeps the numbers, on every phone alike.
func TestNumbersLeasedTwice(t *testing.T) {
	a, b := newAuthor(1004).Device, newAuthor(1005).Device
	n := Numbers{Leases: []NumbersLeased{{a, 1, 20}, {b, 11, 30}}}
	if u, ok := n.NextNumber(b, ""); !ok || u.Number != 21 {
		t.Errorf("the later lease gives %v first", u)
	}
	if u, ok := n.NextNumber(a, ""); !ok || u.Number != 1 || n.FreeCount(a) != 20 || n.FreeCount(b) != 10 {
		t.Errorf("the earlier gives %v, has %d left, the later %d", u, n.FreeCount(a), n.FreeCount(b))
	}
}

// A lease that no hub gave, from below the first number to above the last.
func TestNumbersOutOfRange(t *testing.T) {
	a := newAuthor(1006).Device
	n := Numbers{Leases: []NumbersLeased{{a, math.MinInt, math.MaxInt}}, Used: []UsedNumber{{Number: math.MaxInt}, {Number: -1}}}
	if u, ok := n.NextNumber(a, ""); !ok || u.Number != 1 || n.FreeCount(a) != MaxNumber {
		t.Errorf("it gives %v first and has %d left", u, n.FreeCount(a))
	}
	if l, ok := n.NextLease(a); ok {
		t.Errorf("leased %v past the highest number", l)
	}
}

// A number that was printed on a blank or a tag is never given again, whoever
// printed it and however often.
func TestPrintedNumbersAreUsed(t *testing.T) {
	a, hub := newAuthor(1100), newAuthor(1101)
	scope := BatchScope(hub.NewID())
	facts := mustWrite(t, hub, newDraft(scope, KindNumbersLeased, NumbersLeased{Device: a.Device, FirstNumber: 1, LastNumber: 20}))
	print := func(kind string, r LabelNumberRange) {
		facts = append(facts, mustWrite(t, a, newDraft(scope, kind, r))...)
	}
	print(KindBlanksPrinted, LabelNumberRange{From: 1, To: 3})
	print(KindPieceTagged, LabelNumberRange{From: 4, To: 5})
	print(KindBlanksPrinted, LabelNumberRange{From: 2, To: 7})
	print(KindBlanksPrinted, LabelNumberRange{From: 1, To: 2, Letter: "H"})
	n := NumbersFromFacts(facts)
	seen := map[UsedNumber]bool{}
	for _, u := range n.Used {
		if seen[u] {
			t.Errorf("%v is listed twice", u)
		}
		seen[u] = true
	}
	if len(seen) != 9 {
		t.Errorf("%d numbers are used, want 9: %v", len(seen), n.Used)
	}
	if u, ok := n.NextNumber(a.Device, "H"); !ok || u != (UsedNumber{Number: 8}) {
		t.Errorf("next is %v", u)
	}
	if u, ok := n.NextNumber(hub.Device, "H"); !ok || u != (UsedNumber{Number: 3, Letter: "H"}) {
		t.Errorf("next with the letter alone is %v", u)
	}
	runs, ok := n.NextRanges(a.Device, "H", 15)
	if want := fmt.Sprint([]LabelNumberRange{{From: 8, To: 20}, {From: 3, To: 4, Letter: "H"}}); !ok || fmt.Sprint(runs) != want {
		t.Errorf("15 more are %v, want %v", runs, want)
	}
	if len(n.Used) != 9 {
		t.Errorf("asking for numbers used some: %v", n.Used)
	}
}

// A block is never beyond the highest number, and there is none after it.
func TestBlocksEndAtTheHighestNumber(t *testing.T) {
	id := newAuthor(1102).NewID()
	for _, row := range []struct {
		why      string
		n        Numbers
		size     int
		from, to int // 0: none
	}{
		{"the first", Numbers{}, 20, 1, 20},
		{"after a lease", Numbers{Leases: []NumbersLeased{{FirstNumber: 1, LastNumber: 20}}}, 30, 21, 50},
		{"after a number that was used without one", Numbers{Used: []UsedNumber{{Number: 40}, {Number: 900, Letter: "H"}}}, 20, 41, 60},
		{"the last numbers", Numbers{Leases: []NumbersLeased{{FirstNumber: 1, LastNumber: MaxNumber - 3}}}, 20, MaxNumber - 2, MaxNumber},
		{"none is left", Numbers{Leases: []NumbersLeased{{FirstNumber: 1, LastNumber: MaxNumber}}}, 20, 0, 0},
	} {
		l, ok := row.n.NextFreeBlock(id, row.size)
		if ok != (row.from > 0) || ok && (l.FirstNumber != row.from || l.LastNumber != row.to || l.Device != id) {
			t.Errorf("%s: %+v, %v", row.why, l, ok)
		}
	}
}
