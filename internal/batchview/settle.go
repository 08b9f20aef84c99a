package batchview

import (
	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/plan"
	"coldbatch/internal/shelf"
)

// Settlement is what a batch takes off the shelf that was dyed as planned without being recorded.
type Settlement struct {
	Lines  []ShoppingLine  `json:"lines"`
	Drafts []journal.Draft `json:"drafts"`
}

// SettleBatch works out the settlement of a batch. uses is what all batches used.
func SettleBatch(s batch.State, st shelf.State, uses []shelf.BatchUses, e ViewEnv) (Settlement, error) {
	drafts, needs, err := plan.Settle(s, e.Kit, shelf.Count(st, uses), plannedSoda(s, e))
	out := Settlement{Lines: []ShoppingLine{}, Drafts: drafts}
	for _, n := range needs {
		out.Lines = append(out.Lines, ShoppingLine{n.Name, e.amountText(n.StockType, n.Amount)})
	}
	return out, err
}
