package hub

import (
	"context"
	"slices"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// Import adds the facts of a file that the app saved, whichever phone wrote them, and returns how
// many were new. It refuses facts that an owner's phone could not send either. Where phones are
// already paired it also refuses facts that decide who has access: somebody could make up a file to
// get access, or to shut the owner's phones out. It writes in parts; if a part fails, added counts
// the parts before it.
func (h *Hub) Import(ctx context.Context, facts []journal.Fact) (added int, refused []exchange.Refusal, err error) {
	refused = []exchange.Refusal{}
	if err := h.checkNotExample(); err != nil {
		return 0, refused, err
	}
	hasPhones := len(h.copyAccess().Phones) > 0
	for part := range slices.Chunk(facts, exchange.MaxFacts) {
		w, err := h.writeFacts(ctx, h.system.Now(), func(w *factWriter) error {
			for _, f := range part {
				err := rights.CheckRelay(rights.Asker{Role: rights.Owner}, f)
				if err == nil {
					err = checkStamp(f, w.latestTime)
				}
				if err == nil && hasPhones {
					err = w.checkImported(f)
				}
				if err != nil {
					refused = append(refused, refuseFact(f.ID, err))
				} else if err := w.appendFact(&f); err != nil {
					return err
				}
			}
			w.fromPhone = len(w.appendedFacts) // what the hub adds to them is not the file's
			return nil
		})
		if err != nil {
			return added, refused, err
		}
		added += w.fromPhone
		h.notifySubscribers(w.lastSeq)
	}
	return added, refused, nil
}

var errImportedAccess = fault.New(fault.Refused, "this entry decides who has access; a file may do that only while no phone is paired").
	WithHint("share the batch, add the calendar or the sensor, or remove the phone in the app")

// checkImported returns a fault where f is new and a file may not add it to a house with phones: it decides who
// has access, or takes back or restores an entry that does; only the hub writes it; or it begins again a batch
// that is begun.
func (w *factWriter) checkImported(f journal.Fact) error {
	if w.tx.Has(f.ID) {
		return nil
	}
	if err := rights.CheckImport(f); err != nil {
		return err
	}
	if err := w.checkStart(f); err != nil {
		return err
	}
	var unread error
	find := func(id journal.ID) (journal.Fact, bool) {
		facts, err := w.tx.Scope(f.Scope)
		unread = err
		i := slices.IndexFunc(facts, func(g journal.Fact) bool { return g.ID == id })
		if i < 0 {
			return journal.Fact{}, false
		}
		return facts[i], true
	}
	if rights.ChangesAccess(f, find) {
		return errImportedAccess
	}
	return unread
}
