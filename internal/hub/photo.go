package hub

import (
	"context"

	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// CanSeePhoto says whether who may see the photo with that SHA-256 in hex: an owner
// every photo, a helper those that an entry of its batches names.
func (h *Hub) CanSeePhoto(ctx context.Context, who rights.Asker, hash string) (can bool, err error) {
	if who.Role == rights.Owner {
		return true, ctx.Err()
	}
	err = h.viewJournal(ctx, func(tx Tx) error {
		for _, id := range who.Batches {
			facts, err := tx.Scope(journal.BatchScope(id))
			if err != nil {
				return err
			}
			for _, f := range facts {
				if f.Kind != journal.KindPiecePhotographed {
					continue
				}
				if b, ok := journal.DecodeBody[journal.PiecePhotographed](f); ok && b.SHA256 == hash {
					can = true
				}
			}
		}
		return nil
	})
	return can, err
}
