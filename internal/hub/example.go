package hub

import (
	"context"

	"coldbatch/internal/journal"
)

// SeedFacts writes facts into an empty journal, as the example needs.
func (h *Hub) SeedFacts(ctx context.Context, facts []journal.Fact) error {
	_, err := h.writeFacts(ctx, h.system.Now(), func(w *factWriter) error {
		for _, f := range facts {
			if err := w.appendFact(&f); err != nil {
				return err
			}
		}
		return nil
	})
	return err
}
