package hub

import (
	"slices"

	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// Import takes in facts of a file that a phone saved, whoever wrote them, and gives
// how many were new. What an owner's phone could not bring is refused.
func (h *Hub) Import(facts []journal.Fact) (added int, refused []exchange.Refusal, err error) {
	refused = []exchange.Refusal{}
	if err := h.checkNotExample(); err != nil {
		return 0, refused, err
	}
	for part := range slices.Chunk(facts, exchange.MaxFacts) {
		w, err := h.writeFacts(h.system.Now(), func(w *factWriter) error {
			for _, f := range part {
				if err := rights.CheckRelay(rights.Asker{Role: rights.Owner}, f, h.ID); err != nil {
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
		added += len(w.appended)
		h.notifySubscribers(w.lastSeq)
	}
	return added, refused, nil
}
