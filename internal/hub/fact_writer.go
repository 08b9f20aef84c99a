package hub

import (
	"encoding/json"

	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// factWriter writes facts within one transaction: those that phones bring and the
// hub's own. It keeps the hub's clock of stamps, which is ahead of every fact it
// has seen, and drops what was worked out from the facts of a scope it writes in.
type factWriter struct {
	hub           *Hub
	tx            Tx
	author        journal.Author
	appended      []*journal.Fact
	firstSeq      uint64 // the sequence of the first of them
	fromPhone     int    // how many of them, the first ones, the phone itself brought
	invalid       invalidation
	summaries     map[journal.ID]batchSummary // worked out since
	droppedStates map[journal.ID]bool         // batches whose cached state was dropped
	lastSeq       uint64                      // the newest, once all is written; 0 where nothing was
}

const stampKey = "stamp"

func (h *Hub) newFactWriter(tx Tx, now zone.Instant) *factWriter {
	a := journal.Author{Device: h.ID, Now: now, TZ: h.Zone, Random: h.system.Random}
	if b := tx.Meta(stampKey); len(b) > 0 {
		_ = a.Seen.UnmarshalText(b) // one that does not read is none
	}
	return &factWriter{hub: h, tx: tx, author: a, droppedStates: map[journal.ID]bool{},
		invalid: invalidation{batches: map[journal.ID]bool{}}, summaries: map[journal.ID]batchSummary{}}
}

// appendFact appends a fact as it came.
func (w *factWriter) appendFact(f *journal.Fact) error {
	if len(w.appended) == 0 {
		w.firstSeq = w.tx.Last() + 1
	}
	seq, err := w.tx.Append(*f)
	if err != nil || seq < w.firstSeq+uint64(len(w.appended)) { // it was known
		return err
	}
	if len(w.appended) == 0 {
		w.firstSeq = seq
		if err := w.recordEra(seq); err != nil {
			return err
		}
	}
	w.appended = append(w.appended, f)
	if id := w.invalid.addFact(f); id != "" {
		delete(w.summaries, id)
	}
	if w.author.Seen.Less(f.Stamp) {
		w.author.Seen = f.Stamp
	}
	if id := f.Scope.Batch(); id != "" && !w.droppedStates[id] {
		w.droppedStates[id] = true
		return w.tx.SetCache(stateKey(id), nil)
	}
	return nil
}

// writeFact appends the hub's own fact.
func (w *factWriter) writeFact(scope journal.Scope, subject journal.ID, kind string, body any) error {
	text, err := json.Marshal(body)
	if err != nil {
		return err
	}
	facts, err := w.author.Write([]journal.Draft{{Scope: scope, Subject: subject, Kind: kind, Body: text}})
	if err != nil {
		return err
	}
	return w.appendFact(&facts[0])
}

// finish keeps the clock of stamps; where nothing was written it does nothing.
func (w *factWriter) finish() error {
	if len(w.appended) == 0 {
		return nil
	}
	w.lastSeq = w.tx.Last()
	return w.tx.SetMeta(stampKey, []byte(w.author.Seen.String()))
}

// writeFacts lets do write in one transaction. When it returns, what was written is on
// the disk, and what it made doubtful is forgotten: before the next one writes.
func (h *Hub) writeFacts(now zone.Instant, do func(*factWriter) error) (w *factWriter, err error) {
	h.factWrite.Lock()
	defer h.factWrite.Unlock()
	err = h.journal.Update(func(tx Tx) error {
		w = h.newFactWriter(tx, now)
		if err := do(w); err != nil {
			return err
		}
		return w.finish()
	})
	if err != nil {
		if w != nil { // where only the last sync failed, what was written may be seen all the same
			w.summaries = nil
			h.applyInvalidation(w)
		}
		return nil, err
	}
	h.applyInvalidation(w)
	return w, nil
}
