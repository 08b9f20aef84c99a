package hub

import (
	"context"

	"coldbatch/internal/api"
	"coldbatch/internal/house"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// Phones lists the phones of the house in the order in which they joined.
func (h *Hub) Phones(ctx context.Context, who rights.Asker) ([]api.PhoneInfo, error) {
	if err := checkAct(who, rights.ManageHouse); err != nil {
		return nil, err
	}
	list := []api.PhoneInfo{}
	credentials := map[journal.ID]*credential{}
	a := h.copyAccess()
	for i := range a.Phones {
		credentials[a.Phones[i].Device] = &a.Phones[i]
	}
	err := h.viewJournal(ctx, func(tx Tx) error {
		facts, err := tx.Scope(journal.HouseScope)
		if err != nil {
			return err
		}
		batches := helpedBatchCache{tx: tx, now: h.latestTime(), byID: map[journal.ID]helpedBatch{}}
		for _, x := range house.ListPhones(orderAheadFirst(facts, batches.now)) {
			p := api.PhoneInfo{Device: x.Device, Name: x.Name, Letter: x.Letter, JoinedAt: x.Joined, IsRevoked: len(x.Revoked) > 0,
				Batches: []api.BatchName{}, IsAsker: x.Device == who.Device}
			if err := h.addDetails(&p, tx, credentials[p.Device], batches); err != nil {
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
func (h *Hub) addDetails(p *api.PhoneInfo, tx Tx, c *credential, batches helpedBatchCache) error {
	q, err := readQuarantine(tx, p.Device)
	if err != nil {
		return err
	}
	p.QuarantinedCount, p.RejectedCount = len(q.Facts), len(q.Rejected)
	if c == nil {
		h.mu.Lock()
		defer h.mu.Unlock()
		p.LastExchange = h.lastSeen[p.Device]
		return nil
	}
	p.IsPaired, p.Role, p.LastExchange = true, c.Role, c.LastSeen
	for _, id := range c.Batches {
		b, err := batches.get(id)
		if err != nil {
			return err
		}
		if b.helpers[p.Device] {
			p.Batches = append(p.Batches, api.BatchName{ID: id, Name: b.name})
		}
	}
	return nil
}

// helpedBatch is the name of a batch and its helpers.
type helpedBatch struct {
	name    string
	helpers map[journal.ID]bool
}

// helpedBatchCache caches the batches of helpers, so that each is read only once: the state
// of a batch that a thousand phones help with is long.
type helpedBatchCache struct {
	tx   Tx
	now  zone.Instant
	byID map[journal.ID]helpedBatch
}

func (l helpedBatchCache) get(id journal.ID) (helpedBatch, error) {
	if b, known := l.byID[id]; known {
		return b, nil
	}
	s, err := readState(l.tx, id, l.now)
	if err != nil {
		return helpedBatch{}, err
	}
	b := helpedBatch{s.Name, map[journal.ID]bool{}}
	for _, x := range s.Helpers {
		b.helpers[x.Device] = true
	}
	l.byID[id] = b
	return b, nil
}
