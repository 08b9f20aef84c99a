package hub

import (
	"context"

	"coldbatch/internal/batch"
	"coldbatch/internal/batchview"
	"coldbatch/internal/cause"
	"coldbatch/internal/fault"
	"coldbatch/internal/rights"
	"coldbatch/internal/unit"
)

// WhyRequest asks what made the faults of a bag. Where Bag is empty it asks about every bag of
// the batch; where Faults is empty, about the faults that each bag was rated with.
type WhyRequest struct {
	Batch  string        `json:"batch"`
	Bag    string        `json:"bag"`
	Faults []cause.Fault `json:"faults"`
	Style  unit.Style    `json:"style"`
}

// Explain says what in the record of a batch's bags probably made their faults.
func (h *Hub) Explain(ctx context.Context, who rights.Asker, q WhyRequest) ([]batchview.WhyView, error) {
	s, e, err := h.readBatch(ctx, who, q.Batch)
	if err != nil {
		return nil, err
	}
	e.Style = q.Style
	out := []batchview.WhyView{}
	for _, b := range s.Bags {
		v, err := batchview.ExplainBag(s, b.ID, q.Faults, e)
		if err != nil {
			return nil, err
		}
		if q.Bag == "" || v.Number == q.Bag {
			out = append(out, v)
		}
	}
	if len(out) == 0 && q.Bag != "" {
		return nil, fault.New(fault.NotFound, "batch %q has no bag %s", s.Name, q.Bag)
	}
	return out, nil
}

// readBatch reads one batch by its id or name, and what a view of it depends on.
func (h *Hub) readBatch(ctx context.Context, who rights.Asker, name string) (s batch.State, e batchview.ViewEnv, err error) {
	if err := checkAct(who, rights.SeeBatch); err != nil {
		return s, e, err
	}
	err = h.viewJournal(ctx, func(tx Tx) (err error) {
		if s, err = findBatch(tx, who, name, h.latestTime()); err != nil {
			return err
		}
		tz := ""
		if n := len(s.Bags); n > 0 {
			tz = s.Bags[n-1].TZ
		}
		e, err = h.batchEnv(tx, who, s, tz)
		return err
	})
	return s, e, err
}
