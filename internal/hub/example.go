package hub

import "coldbatch/internal/journal"

// SeedFacts writes facts into an empty journal, as for the example.
func (h *Hub) SeedFacts(facts []journal.Fact) error {
	_, err := h.writeFacts(h.system.Now(), func(w *factWriter) error {
		for _, f := range facts {
			if err := w.appendFact(&f); err != nil {
				return err
			}
		}
		return nil
	})
	return err
}
