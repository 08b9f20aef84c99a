package hub

import (
	"context"
	"slices"

	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// Import adds the facts of a file that the app saved, by whichever phone they were
// written, and returns how many were new. It refuses those that an owner's phone could
// not send either. It writes in parts; on an error added counts the parts before it.
func (h *Hub) Import(ctx context.Context, facts []journal.Fact) (added int, refused []exchange.Refusal, err error) {
	refused = []exchange.Refusal{}
	if err := h.checkNotExample(); err != nil {
		return 0, refused, err
	}
	for part := range slices.Chunk(facts, exchange.MaxFacts) {
		w, err := h.writeFacts(ctx, h.system.Now(), func(w *factWriter) error {
			for _, f := range part {
				err := rights.CheckRelay(rights.Asker{Role: rights.Owner}, f)
				if err == nil {
					err = checkStamp(f, w.latestTime)
				}
				if err != nil {
					refused = append(refused, refuseFact(f.ID, err))
				} else if err := w.appendFact(&f); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			return added, refused, err
		}
		added += len(w.appendedFacts)
		h.notifySubscribers(w.lastSeq)
	}
	return added, refused, nil
}
