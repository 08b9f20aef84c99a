package batchview

import (
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/cure"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// A person types the number under a label or its id; the number of a blank leads to the
// bag that it is tied to.
func TestFindTyped(t *testing.T) {
	bag, tied := journal.ID("0000000000000000000000000b"), journal.ID("0000000000000000000000000c")
	s := batch.State{ID: "0000000000000000000000000a", Name: "market", Bags: []batch.Bag{
		{ID: bag, Number: 8, Letter: "H", Token: "0102030405060708"},
		{ID: tied, Number: 9, Token: "1112131415161718", BoundBlanks: []string{"2122232425262728"}},
	}, Blanks: []batch.BlankLabel{
		{Number: 41, Token: "2122232425262728", Bag: tied},
		{Number: 42, Token: "3132333435363738"},
	}}
	id := func(token string) string { return batch.DecodeToken(token).ID() }
	for _, c := range []struct {
		why, typed string
		bag        journal.ID
		number     string
		blank      string
	}{
		{"a number with its letter", "8H", bag, "8H", ""},
		{"in small letters and with a space", " 8 h ", bag, "8H", ""},
		{"without the letter it is another bag", "8", "", "", ""},
		{"the number of a blank that is tied to a bag", "41", tied, "41", ""},
		{"a blank that is on no bag", "42", "", "", "42"},
		{"an id", id("0102030405060708"), bag, "8H", ""},
		{"the id of a tied blank", id("2122232425262728"), tied, "9", ""},
		{"the id of a free blank", id("3132333435363738"), "", "", "42"},
		{"no such number", "1234", "", "", ""},
	} {
		f, err := FindTyped([]batch.State{s}, c.typed, ViewEnv{})
		if err != nil {
			t.Errorf("%s: %v", c.why, err)
			continue
		}
		if got := len(f.Bags) == 1; got != (c.bag != "") || got && (f.Bags[0].Bag != c.bag || f.Bags[0].Number != c.number) {
			t.Errorf("%s: bags %+v", c.why, f.Bags)
		}
		if got := len(f.Blanks) == 1; got != (c.blank != "") || got && (f.Blanks[0].Number != c.blank || f.Blanks[0].Code == "") {
			t.Errorf("%s: blanks %+v", c.why, f.Blanks)
		}
	}
	for _, typed := range []string{"12345", "8HH", "bananas", ""} {
		if _, err := FindTyped([]batch.State{s}, typed, ViewEnv{}); !fault.Is(err, fault.Input) {
			t.Errorf("%q: %v", typed, err)
		}
	}
}

// Who looks through the shelf takes what is ready, leaves what is not, and asks where
// nothing is known.
func TestReadiness(t *testing.T) {
	for v, want := range map[cure.Verdict]Readiness{cure.VerdictKeepWet: ReadinessNotYet, cure.VerdictFrozen: ReadinessNotYet, cure.VerdictProbablyReady: ReadinessReady,
		cure.VerdictReady: ReadinessReady, cure.VerdictNoGain: ReadinessReady, cure.VerdictUnknown: ReadinessUnknown, cure.VerdictNeedsSoda: ReadinessUnknown} {
		if got := readinessOf("cure", v); got != want {
			t.Errorf("%s is %s, not %s", v, got, want)
		}
	}
	if got := readinessOf("rinsed", cure.VerdictReady); got != ReadinessOpened {
		t.Errorf("a rinsed bag is %s", got)
	}
}
