package hub

import (
	"context"

	"coldbatch/internal/batchview"
	"coldbatch/internal/rights"
	"coldbatch/internal/shelf"
	"coldbatch/internal/unit"
)

// BatchSheetRequest asks for a batch, by its id, its name or the beginning of its name, on sheets of
// paper: a4, letter, or "" for what the style suggests.
type BatchSheetRequest struct {
	Batch string     `json:"batch"`
	Paper string     `json:"paper"`
	Style unit.Style `json:"style"`
}

// LayOutBatchSheet lays out a batch on sheets of paper.
func (h *Hub) LayOutBatchSheet(ctx context.Context, who rights.Asker, q BatchSheetRequest) (*batchview.BatchSheet, error) {
	s, e, err := h.readBatch(ctx, who, q.Batch)
	if err != nil {
		return nil, err
	}
	e.Style = q.Style
	var st shelf.State
	if err := h.viewJournal(ctx, func(tx Tx) error {
		st, err = readShelf(tx, who, h.latestTime())
		return err
	}); err != nil {
		return nil, err
	}
	out, err := batchview.LayOutBatchSheet(s, st, q.Paper, e)
	if err != nil {
		return nil, err
	}
	return &out, nil
}
