package shelf

import (
	"encoding/json"

	"coldbatch/internal/journal"
)

// Settle returns the entries that keep what a batch used on the record of the shelf, once the
// batch is removed for good and its own facts are gone: what is used up does not come back.
// Every phone that removes the batch may write them; each use counts once.
func Settle(s State, b BatchUses) ([]journal.Draft, error) {
	recordedUses := s.settled()
	drafts := []journal.Draft{}
	for _, u := range b.Uses {
		id := s.resolve(u)
		if id == "" || recordedUses[use{u.FactID, u.StockType}] != "" {
			continue
		}
		body, err := json.Marshal(journal.StockMoved{Amount: u.Amount, Batch: b.Batch, CauseID: u.FactID, PlannedID: u.PlannedID})
		if err != nil {
			return nil, err
		}
		drafts = append(drafts, journal.Draft{Scope: journal.ShelfScope, Subject: id, Kind: journal.KindStockUsed, At: u.At, Body: body})
	}
	return drafts, nil
}
