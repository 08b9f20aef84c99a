package hub

import (
	"context"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// CopyMark is the key in meta that marks a journal as a copy made by `coldbatch backup`. By the
// facts of the copy, phones that were removed later still have access, so while the mark is set no
// helper, share code or calendar is admitted. The mark is removed once an owner's phone that was
// paired before has sent all that it has, or once the owner pairs a phone.
const CopyMark = "copy"

// errPutBack says that the journal was put back from a copy. It is no Unavailable, for which an app
// says only that the program is out of reach.
var errPutBack = fault.New(fault.Conflict, "the program at home was restored from a backup: helpers and calendars wait until one of the owner's phones has synced").
	WithHint("open the app at home on one of the owner's phones, or pair one: `coldbatch pair` on the computer")

// putBack is what the hub knows of a journal that was put back from a copy.
type putBack struct {
	waits bool                // CopyMark is set
	knew  map[journal.ID]bool // owner's phones that knew the journal before they met this run of the program
}

func readPutBack(j Journal) (p putBack, err error) {
	p.knew = map[journal.ID]bool{}
	err = j.View(func(tx Tx) error {
		p.waits = len(tx.Meta(CopyMark)) > 0
		return nil
	})
	return p, err
}

// checkPutBack returns a fault while helpers and calendars wait.
func (h *Hub) checkPutBack() error {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.putBack.waits {
		return errPutBack
	}
	return nil
}

// WaitsForOwner says whether helpers and calendars wait, since the journal was put back from a
// copy.
func (h *Hub) WaitsForOwner() bool { return h.checkPutBack() != nil }

// endPutBack removes the mark. notePutBackEnded must follow once that is stored.
func (w *factWriter) endPutBack() error {
	if !w.hub.WaitsForOwner() {
		return nil
	}
	return w.tx.SetMeta(CopyMark, nil)
}

func (h *Hub) notePutBackEnded() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.putBack.waits = false
}

// settlePutBack ends the waiting where an owner's phone knew the journal before and has
// nothing left to send: its request q had no facts and was answered with all that there is. A
// phone that knows only what this run of the program told it has brought nothing back.
func (h *Hub) settlePutBack(ctx context.Context, who rights.Asker, q exchange.Request, a *exchange.Answer) error {
	if who.Role != rights.Owner || !h.WaitsForOwner() {
		return nil
	}
	h.mu.Lock()
	if _, met := h.putBack.knew[q.Device]; !met {
		h.putBack.knew[q.Device] = q.Cursor != nil
	}
	knew := h.putBack.knew[q.Device]
	h.mu.Unlock()
	if !knew || q.Cursor == nil || a.StartsOver || a.HasMore || len(q.Facts) > 0 {
		return nil
	}
	if err := h.updateJournal(ctx, func(tx Tx) error { return tx.SetMeta(CopyMark, nil) }); err != nil {
		return err
	}
	h.notePutBackEnded()
	return nil
}
