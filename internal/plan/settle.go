package plan

import (
	"encoding/json"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/shelf"
	"coldbatch/internal/unit"
)

// Settle returns the entries that take off the shelf what the batch was planned to use and never recorded:
// for a batch that was dyed without this program. Each names the colour, or the batch, that it is of, so
// that it counts once if two phones write it, and not at all where a phone recorded the real amount.
func Settle(s batch.State, kit shelf.Kit, levels []shelf.Level, soda unit.Mass) ([]journal.Draft, []Need, error) {
	needs, _ := Needs(s, kit, levels, soda)
	drafts, used := []journal.Draft{}, []Need{}
	add := func(n Need, of journal.ID) error {
		body, err := json.Marshal(journal.StockMoved{Amount: n.Amount, Batch: s.ID, CauseID: of, Note: "as planned"})
		drafts = append(drafts, journal.Draft{Scope: journal.ShelfScope, Subject: n.Stock, Kind: journal.KindStockUsed, Body: body})
		return err
	}
	for _, n := range needs {
		if n.Stock == "" || n.Amount <= 0 {
			continue
		}
		if _, onShelf := levelOf(levels, n.StockType, n.Stock); !onShelf {
			continue
		}
		used = append(used, n)
		if n.StockType != "dye" {
			if err := add(n, s.ID); err != nil {
				return nil, nil, err
			}
			continue
		}
		for _, c := range s.Colours { // of one powder there may be several
			if c.Stock != n.Stock || IsMixed(s, c.ID) {
				continue
			}
			one := n
			one.Amount = float64(JugOf(s, c, kit).Powder)
			if err := add(one, c.ID); err != nil {
				return nil, nil, err
			}
		}
	}
	return drafts, used, nil
}
