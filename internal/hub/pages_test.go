package hub

import (
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
)

// A helper reads a long journal page by page while its bag is moved about, which
// brings places into its sight, and moves are taken back, which takes them out of it.
// It is never given what is not in its sight then, and in the end it has all that is.
func TestViewChangesBetweenPages(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	scope := journal.BatchScope(market)
	places := []journal.ID{h.newID(), h.newID(), h.newID()}
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	bag := h.closeBagAt(t, one, market, places[0], 1)
	for n := range 2 * exchange.MaxFacts {
		if n%10 == 0 {
			one.write(t, remarkDraft(market, "n"))
		} else { // older readings of every place lie between
			one.write(t, h.readingDraft(places[n%3], "18"))
		}
	}
	h.mustSyncPhone(t, one)
	start, seen, cursor := copyJournal(h), one.LatestStamp, one.cursor
	rapid.Check(t, func(r *rapid.T) {
		h.restore(t, start)
		one.LatestStamp, one.cursor, one.unsentFacts = seen, cursor, nil
		kai := &networkPhone{testPhone: &testPhone{Author: kai.Author, facts: map[journal.ID]journal.Fact{}}, token: kai.token}
		var moves []journal.Fact
		at := map[journal.ID]bool{places[0]: true} // where the bag stands or stood, as the facts have it
		sight := func(f journal.Fact) bool { return f.Scope == scope || at[f.Scope.Place()] }
		page := func() (more bool) {
			a, err := h.Exchange(ctx, h.askerOf(kai), exchange.Request{Device: kai.Device, Cursor: kai.cursor})
			if err != nil || a.StartsOver {
				r.Fatalf("%+v %v", a, err)
			}
			for _, f := range a.Facts {
				if !sight(f) {
					r.Fatalf("out of sight: %s", f.Text())
				}
				kai.facts[f.ID] = f
			}
			kai.cursor = a.Cursor
			return a.HasMore
		}
		for range rapid.IntRange(0, 8).Draw(r, "steps") {
			switch rapid.IntRange(0, 3).Draw(r, "what") {
			case 0:
				place := rapid.SampledFrom(places[1:]).Draw(r, "place")
				if !at[place] {
					moves, at[place] = append(moves, one.write(t, h.moveDraft(market, bag, place))...), true
					h.mustSyncPhone(t, one)
				}
			case 1:
				if n := len(moves); n > 0 {
					b, _ := journal.DecodeBody[journal.BagMoved](moves[n-1])
					h.recordFact(t, one, scope, bag, journal.KindFactWithdrawn, journal.FactTarget{Target: moves[n-1].ID})
					moves = moves[:n-1]
					delete(at, b.Place)
				}
			default:
				page()
			}
		}
		for n := 0; page(); n++ {
			if n > 10 {
				r.Fatal("it does not come to an end")
			}
		}
		for _, f := range h.facts {
			if sight(f) {
				if _, has := kai.facts[f.ID]; !has {
					r.Fatalf("in sight, and not given: %s", f.Text())
				}
			}
		}
	})
}
