package hub

import (
	"context"
	"slices"

	"coldbatch/internal/api"
	"coldbatch/internal/batch"
	"coldbatch/internal/house"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// Phones lists the phones of the house in the order in which they joined.
func (h *Hub) Phones(ctx context.Context, who rights.Asker) ([]api.PhoneInfo, error) {
	if err := checkAct(who, rights.ManageHouse); err != nil {
		return nil, err
	}
	a := h.copyAccess()
	list := []api.PhoneInfo{}
	err := h.viewJournal(ctx, func(tx Tx) error {
		facts, err := tx.Scope(journal.HouseScope)
		if err != nil {
			return err
		}
		for _, x := range house.ListPhones(demoteAhead(facts, h.latestTime())) {
			p := api.PhoneInfo{Device: x.Device, Name: x.Name, Letter: x.Letter, Joined: x.Joined, Revoked: len(x.Revoked) > 0,
				Batches: []api.BatchName{}, You: x.Device == who.Device}
			if err := h.addDetails(&p, tx, a.find(p.Device)); err != nil {
				return err
			}
			list = append(list, p)
		}
		return nil
	})
	return list, err
}

// addDetails adds to p what is not a fact: its quarantine and its credential c, which
// is nil for a phone without a token.
func (h *Hub) addDetails(p *api.PhoneInfo, tx Tx, c *credential) error {
	q, err := readQuarantine(tx, p.Device)
	if err != nil {
		return err
	}
	p.Quarantined, p.Rejected = len(q.Facts), len(q.Rejected)
	if c == nil {
		h.mu.Lock()
		defer h.mu.Unlock()
		p.Seen = h.lastSeen[p.Device]
		return nil
	}
	p.Paired, p.Role, p.Seen = true, c.Role, c.LastSeen
	for _, id := range c.Batches {
		s, err := readState(tx, id, h.latestTime())
		if err != nil {
			return err
		}
		if slices.ContainsFunc(s.Helpers, func(x batch.Helper) bool { return x.Device == p.Device }) {
			p.Batches = append(p.Batches, api.BatchName{ID: id, Name: s.Name})
		}
	}
	return nil
}
