package hub

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"

	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// visibility is what an asker may read, and the name that a cursor bears for it.
type visibility struct {
	rights.Visible
	name string // empty: everything
}

// visibleScopes gives what an asker may read now.
func (w *factWriter) visibleScopes(who rights.Asker) (visibility, error) {
	visible, err := who.VisibleScopes(func(batch journal.ID) ([]journal.ID, error) {
		b, err := w.batchSummary(batch)
		return b.places, err
	})
	v := visibility{Visible: visible}
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
	v.name = hex.EncodeToString(sum.Sum(nil)[:6])
	return v, nil
}

// readVisible adds the facts in sight after the cursor but those acknowledged, and the
// cursor behind them. A cursor of another view begins at the beginning: older
// facts may have come into sight.
func (w *factWriter) readVisible(a *exchange.Answer, from *exchange.Cursor, sees visibility) error {
	var at exchange.Cursor // nowhere yet
	if from != nil {
		ours, err := isOwnCursor(w.tx, *from)
		if err != nil {
			return err
		}
		if a.Fresh = !ours; ours && from.View == sees.name {
			at = *from
		}
	}
	size := 0
	each := func(seq uint64, f *journal.Fact, sent bool) bool {
		give := !sent && sees.Has(f.Scope)
		if give && (len(a.Facts) == exchange.MaxFacts || size >= exchange.MaxAnswer) {
			a.More = true
			return false
		}
		at = exchange.Cursor{Seq: seq, ID: f.ID, View: sees.name}
		if give {
			a.Facts = append(a.Facts, *f)
			size += len(f.Text())
		}
		return true
	}
	var acks map[journal.ID]bool // made when there is something to look up
	sent := func(id journal.ID) bool {
		if acks == nil {
			acks = make(map[journal.ID]bool, len(a.Acks))
			for _, id := range a.Acks {
				acks[id] = true
			}
		}
		return acks[id]
	}
	err := w.tx.Since(at.Seq, func(seq uint64, f journal.Fact) bool {
		return (w.firstSeq == 0 || seq < w.firstSeq) && each(seq, &f, sent(f.ID))
	})
	if err != nil {
		return err
	}
	for i, f := range w.appended { // these need not be read again
		if a.More || !each(w.firstSeq+uint64(i), f, i < w.fromPhone) {
			break
		}
	}
	if at.Seq > 0 {
		a.Cursor = &at
	}
	return completeCursor(w.tx, a.Cursor)
}
