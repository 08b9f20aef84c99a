package hub

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"

	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// visibility is what an asker may read, and the name that identifies it in a cursor.
type visibility struct {
	rights.ScopeSet
	scopesHash string // empty: everything
}

// visibleScopes returns the scopes that the asker may read now.
func (w *factWriter) visibleScopes(who rights.Asker) (visibility, error) {
	visible, err := who.ComputeVisibleScopes(func(batch journal.ID) ([]journal.ID, error) {
		b, err := w.batchSummary(batch)
		return b.places, err
	})
	v := visibility{ScopeSet: visible}
	if err != nil || v.Everything {
		return v, err
	}
	var names []string
	for s := range v.Scopes {
		names = append(names, string(s))
	}
	slices.Sort(names)
	sum := sha256.New()
	for _, n := range names {
		sum.Write([]byte(n + "\n"))
	}
	v.scopesHash = hex.EncodeToString(sum.Sum(nil)[:6])
	return v, nil
}

// readVisible adds to a the visible facts after the cursor from, except those it
// acknowledges, and the cursor behind them. A cursor of another visibility starts from
// the beginning, because older facts may have become visible.
func (w *factWriter) readVisible(a *exchange.Answer, from *exchange.Cursor, visible visibility) error {
	var cursor exchange.Cursor // at the beginning
	if from != nil {
		own, err := isOwnCursor(w.tx, *from)
		if err != nil {
			return err
		}
		if a.StartsOver = !own; own && from.ScopesHash == visible.scopesHash {
			cursor = *from
		}
	}
	size := 0
	add := func(seq uint64, f *journal.Fact, isAcked bool) bool {
		include := !isAcked && visible.HasScope(f.Scope)
		if include && (len(a.Facts) == exchange.MaxFacts || size >= exchange.MaxAnswerBytes) {
			a.HasMore = true
			return false
		}
		cursor = exchange.Cursor{Seq: seq, FactID: f.ID, ScopesHash: visible.scopesHash}
		if include {
			a.Facts = append(a.Facts, *f)
			size += len(f.Text())
		}
		return true
	}
	var acks map[journal.ID]bool // made on first use
	isAcked := func(id journal.ID) bool {
		if acks == nil {
			acks = make(map[journal.ID]bool, len(a.Acks))
			for _, id := range a.Acks {
				acks[id] = true
			}
		}
		return acks[id]
	}
	err := w.tx.Since(cursor.Seq, func(seq uint64, f journal.Fact) bool {
		return (w.firstSeq == 0 || seq < w.firstSeq) && add(seq, &f, isAcked(f.ID))
	})
	if err != nil {
		return err
	}
	for i, f := range w.appendedFacts { // these need not be read again
		if a.HasMore || !add(w.firstSeq+uint64(i), f, i < w.fromPhone) {
			break
		}
	}
	if cursor.Seq > 0 {
		a.Cursor = &cursor
	}
	return completeCursor(w.tx, a.Cursor)
}
