package hub

import (
	"context"
	"slices"

	"coldbatch/internal/batch"
	"coldbatch/internal/batchview"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// ExportedJournal is everything that is recorded: all facts in the order of their stamps, a
// table with a row for each bag, and the hashes of the photos that facts name.
type ExportedJournal struct {
	Facts  []journal.Fact `json:"facts"`
	Table  [][]string     `json:"table"`
	Photos []string       `json:"photos"`
}

// Export returns everything that is recorded. Only an owner may have it: it holds the secrets
// that labels are derived from.
func (h *Hub) Export(ctx context.Context, who rights.Asker) (*ExportedJournal, error) {
	if err := checkAct(who, rights.ManageHouse); err != nil {
		return nil, err
	}
	out := &ExportedJournal{Facts: []journal.Fact{}, Photos: []string{}}
	err := h.viewJournal(ctx, func(tx Tx) error {
		var states []batch.State
		e := batchview.ViewEnv{Now: h.system.Now(), Places: map[journal.ID]batch.PlaceState{}}
		for _, scope := range tx.Scopes() {
			facts, err := tx.Scope(scope)
			if err != nil {
				return err
			}
			out.Facts = append(out.Facts, facts...)
			if id := scope.Batch(); id != "" {
				states = append(states, batch.BuildAsOf(facts, h.latestTime()))
			}
			if id := scope.Place(); id != "" {
				e.Places[id] = batch.BuildPlaceAsOf(facts, h.latestTime())
			}
		}
		var err error
		if e.Zone, err = h.ZoneTable("", e.Now); err != nil {
			return err
		}
		out.Table = batchview.BagTable(states, e)
		return nil
	})
	if err != nil {
		return nil, err
	}
	out.Facts = journal.SortedByStamp(out.Facts)
	for _, f := range out.Facts {
		if b, ok := journal.DecodeBody[journal.PiecePhotographed](f); ok && f.Kind == journal.KindPiecePhotographed && journal.IsPhotoHash(b.SHA256) && !slices.Contains(out.Photos, b.SHA256) {
			out.Photos = append(out.Photos, b.SHA256)
		}
	}
	slices.Sort(out.Photos)
	return out, nil
}
