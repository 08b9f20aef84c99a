package journal

import (
	"bytes"
	"testing"

	"pgregory.net/rapid"
)

// drawFacts draws facts of two devices in one batch, including withdrawals and restorings.
func drawFacts(t *rapid.T) []Fact {
	a, b := newAuthor(rapid.Int64Range(0, 50).Draw(t, "seed a")), newAuthor(rapid.Int64Range(51, 99).Draw(t, "seed b"))
	id := a.NewID()
	scope := BatchScope(id)
	var facts []Fact
	for range rapid.IntRange(1, 12).Draw(t, "facts") {
		w := rapid.SampledFrom([]*Author{a, b}).Draw(t, "writer")
		d := newDraft(scope, KindPieceAdded, PieceAdded{Kind: "apron", Count: 1, Grams: 180})
		if len(facts) > 0 {
			target := rapid.SampledFrom(facts).Draw(t, "target").ID
			switch rapid.IntRange(0, 3).Draw(t, "what") {
			case 0:
				d = newDraft(scope, KindFactWithdrawn, FactTarget{target})
			case 1:
				d = newDraft(scope, KindFactRestored, FactTarget{target})
			}
		}
		out, err := w.MakeFacts([]Draft{d})
		if err != nil {
			t.Fatal(err)
		}
		facts = append(facts, out...)
	}
	return facts
}

// isSameSet reports whether a and b hold the same facts in any order.
func isSameSet(a, b []Fact) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if !bytes.Equal(a[i].Text(), b[i].Text()) {
			return false
		}
	}
	return true
}

func TestUnionLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := drawFacts(t)
		pick := func(name string) []Fact {
			var out []Fact
			for _, f := range all {
				if rapid.Bool().Draw(t, name) {
					out = append(out, f)
				}
			}
			return out
		}
		a, b, c := pick("a"), pick("b"), pick("c")
		if !isSameSet(Union(a, b), Union(b, a)) {
			t.Fatal("the order of phones mattered")
		}
		if !isSameSet(Union(Union(a, b), c), Union(a, Union(b, c))) {
			t.Fatal("who met first mattered")
		}
		if !isSameSet(Union(a, a), SortedByStamp(a)) {
			t.Fatal("meeting twice mattered")
		}
		if !isSameSet(Effective(Union(a, b), nil), Effective(append(append([]Fact(nil), b...), a...), nil)) {
			t.Fatal("what holds depended on the order")
		}
	})
}

// A withdrawal may come before its target, and a restoring undoes it.
func TestWithdrawAndRestore(t *testing.T) {
	a := newAuthor(7)
	scope := BatchScope(a.NewID())
	x := mustWrite(t, a, newDraft(scope, KindPieceAdded, PieceAdded{Kind: "apron", Count: 1, Grams: 180}))
	w := mustWrite(t, a, newDraft(scope, KindFactWithdrawn, FactTarget{x[0].ID}))
	r := mustWrite(t, a, newDraft(scope, KindFactRestored, FactTarget{x[0].ID}))
	for _, c := range []struct {
		why   string
		facts []Fact
		live  int
	}{
		{"written", x, 1},
		{"taken back", append(append([]Fact(nil), w...), x...), 0},
		{"put back", append(append(append([]Fact(nil), r...), w...), x...), 1},
		{"a withdrawal without its target waits", w, 0},
	} {
		if got := Effective(c.facts, nil); len(got) != c.live {
			t.Errorf("%s: %d facts hold, want %d", c.why, len(got), c.live)
		}
	}
}

// Anyone may withdraw their own facts, and only the owner those of others.
func TestOnlyOwnerWithdrawsOthersFacts(t *testing.T) {
	owner, helper := newAuthor(8), newAuthor(9)
	scope := BatchScope(owner.NewID())
	isOwner := func(d ID) bool { return d == owner.Device }
	x := mustWrite(t, owner, newDraft(scope, KindPieceAdded, PieceAdded{Kind: "apron", Count: 1, Grams: 180}))
	y := mustWrite(t, helper, newDraft(scope, KindPieceAdded, PieceAdded{Kind: "tote", Count: 1, Grams: 90}))
	helper.LatestStamp, owner.LatestStamp = LatestStamp(helper.LatestStamp, x, MaxTime), LatestStamp(owner.LatestStamp, y, MaxTime)
	byHelper := mustWrite(t, helper, newDraft(scope, KindFactWithdrawn, FactTarget{x[0].ID}), newDraft(scope, KindFactWithdrawn, FactTarget{y[0].ID}))
	got := Effective(append(append(append([]Fact(nil), x...), y...), byHelper...), isOwner)
	if len(got) != 1 || got[0].ID != x[0].ID {
		t.Errorf("after the helper's withdrawals %d facts hold, want the owner's alone", len(got))
	}
	byOwner := mustWrite(t, owner, newDraft(scope, KindFactWithdrawn, FactTarget{y[0].ID}))
	if got := Effective(append(append(append([]Fact(nil), x...), y...), byOwner...), isOwner); len(got) != 1 || got[0].ID != x[0].ID {
		t.Errorf("the owner could not withdraw a helper's fact")
	}
}

// An id has one spelling, that of its 16 bytes. The base32 decoder skips line ends, but an
// id must not contain any.
func TestIDHasOneForm(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		text := rapid.StringOfN(rapid.RuneFrom([]rune("0123456789abcdefghjkmnpqrstvwxyziloU\n")), 24, 27, -1).Draw(r, "id")
		b, err := idEncoding.DecodeString(text)
		want := err == nil && len(b) == 16 && string(NewID([16]byte(b))) == text
		if id := ID(text); id.Valid() != want || (id.Bytes() != nil) != want || want && string(id.Bytes()) != string(b) {
			r.Fatalf("%q is an id: %v", text, !want)
		}
	})
}
