package hub

import (
	"context"
	"encoding/json"

	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// factWriter appends facts within one transaction: facts of phones, and the hub's own.
// It advances the hub's logical clock beyond every fact that it appends, and drops the
// cached state of each batch that it writes to.
type factWriter struct {
	hub           *Hub
	tx            Tx
	author        journal.Author
	latestTime    zone.Instant // the latest time that the hub's clock has shown
	appendedFacts []*journal.Fact
	firstSeq      uint64 // sequence number of appendedFacts[0]
	fromPhone     int    // how many of appendedFacts, from the first on, the phone itself sent
	invalid       invalidation
	summaries     map[journal.ID]batchSummary // computed since the last change
	droppedStates map[journal.ID]bool         // batches whose cached state was dropped
	lastSeq       uint64                      // the newest, set by finish; 0 where nothing was written
}

const stampKey = "stamp"

func (h *Hub) newFactWriter(tx Tx, now zone.Instant) *factWriter {
	a := journal.Author{Device: h.ID, Now: now, TZ: h.Zone, Random: h.system.Random}
	if b := tx.Meta(stampKey); len(b) > 0 {
		_ = a.LatestStamp.UnmarshalText(b) // an unreadable stamp counts as none: appended facts set it again
	}
	return &factWriter{hub: h, tx: tx, author: a, latestTime: h.latestTime(), droppedStates: map[journal.ID]bool{},
		invalid: invalidation{batches: map[journal.ID]bool{}}, summaries: map[journal.ID]batchSummary{}}
}

// appendFact appends a fact unchanged. It does nothing where the fact is known.
func (w *factWriter) appendFact(f *journal.Fact) error {
	if len(w.appendedFacts) == 0 {
		w.firstSeq = w.tx.Last() + 1
	}
	seq, err := w.tx.Append(*f)
	if err != nil || seq < w.firstSeq+uint64(len(w.appendedFacts)) { // it was known
		return err
	}
	if len(w.appendedFacts) == 0 {
		w.firstSeq = seq
		if err := w.recordEpoch(seq); err != nil {
			return err
		}
	}
	w.appendedFacts = append(w.appendedFacts, f)
	if id := w.invalid.addFact(f); id != "" {
		delete(w.summaries, id)
	}
	if w.author.LatestStamp.Less(f.Stamp) && !f.Stamp.IsAhead(w.latestTime) {
		w.author.LatestStamp = f.Stamp
	}
	if id := f.Scope.Batch(); id != "" && !w.droppedStates[id] {
		w.droppedStates[id] = true
		return w.tx.SetCache(stateKey(id), nil)
	}
	return nil
}

// writeFact makes a fact of the hub's own and appends it.
func (w *factWriter) writeFact(scope journal.Scope, subject journal.ID, kind string, body any) error {
	text, err := json.Marshal(body)
	if err != nil {
		return err
	}
	facts, err := w.author.MakeFacts([]journal.Draft{{Scope: scope, Subject: subject, Kind: kind, Body: text}})
	if err != nil {
		return err
	}
	return w.appendFact(&facts[0])
}

// finish stores the logical clock. It does nothing where nothing was appended.
func (w *factWriter) finish() error {
	if len(w.appendedFacts) == 0 {
		return nil
	}
	w.lastSeq = w.tx.Last()
	if err := w.storeClock(); err != nil {
		return err
	}
	return w.tx.SetMeta(stampKey, []byte(w.author.LatestStamp.String()))
}

// writeFacts runs write in one transaction. When it returns, the facts are on disk and
// the derived cache agrees with them; only then can another call write.
func (h *Hub) writeFacts(ctx context.Context, now zone.Instant, write func(*factWriter) error) (w *factWriter, err error) {
	if err := h.factWriteLock.acquire(ctx); err != nil {
		return nil, err
	}
	defer h.factWriteLock.release()
	err = h.updateJournal(ctx, func(tx Tx) error {
		w = h.newFactWriter(tx, now)
		if err := w.recoverStamp(); err != nil {
			return err
		}
		if err := write(w); err != nil {
			return err
		}
		if err := w.endKnownCodes(); err != nil {
			return err
		}
		return w.finish()
	})
	if err != nil {
		if w != nil { // where only the last sync failed, readers may see the facts nevertheless
			w.summaries = nil
			h.applyInvalidation(w)
		}
		return nil, err
	}
	h.applyInvalidation(w)
	return w, nil
}
