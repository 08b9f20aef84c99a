package hub

import (
	"slices"

	"coldbatch/internal/batch"
	"coldbatch/internal/house"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// PhoneInfo is one phone that joined the house, as its owner sees it.
type PhoneInfo struct {
	Device      journal.ID   `json:"device"`
	Name        string       `json:"name"`
	Letter      string       `json:"letter"`
	Role        rights.Role  `json:"role,omitempty"` // owner or helper; empty: this computer's own browser, or one not paired since a restore
	Batches     []BatchName  `json:"batches"`        // that it helps with
	Joined      zone.Instant `json:"joined"`
	Seen        zone.Instant `json:"seen,omitempty"` // its last exchange; 0 not since the program started
	Paired      bool         `json:"paired"`
	Revoked     bool         `json:"revoked"`
	Quarantined int          `json:"held"` // entries of it that wait for a word
	Rejected    int          `json:"left"` // that were left out, and can be called back
	You         bool         `json:"you"`
}

// BatchName is a batch by its name.
type BatchName struct {
	ID   journal.ID `json:"id"`
	Name string     `json:"name"`
}

// Phones lists the phones of the house in the order they joined.
func (h *Hub) Phones(who rights.Asker) ([]PhoneInfo, error) {
	if err := checkAct(who, rights.ManageHouse); err != nil {
		return nil, err
	}
	a := h.copyAccess()
	list := []PhoneInfo{}
	err := h.journal.View(func(tx Tx) error {
		facts, err := tx.Scope(journal.HouseScope)
		if err != nil {
			return err
		}
		for _, x := range house.ListPhones(facts) {
			p := PhoneInfo{Device: x.Device, Name: x.Name, Letter: x.Letter, Joined: x.Joined, Revoked: len(x.Revoked) > 0,
				Batches: []BatchName{}, You: x.Device == who.Device}
			if err := h.addDetails(&p, tx, a.find(p.Device)); err != nil {
				return err
			}
			list = append(list, p)
		}
		return nil
	})
	return list, err
}

// addDetails adds what the hub knows of a phone besides; c is nil where it has no
// token.
func (h *Hub) addDetails(p *PhoneInfo, tx Tx, c *credential) error {
	x, err := readQuarantine(tx, p.Device)
	if err != nil {
		return err
	}
	p.Quarantined, p.Rejected = len(x.Facts), len(x.Rejected)
	if c == nil {
		h.mu.Lock()
		defer h.mu.Unlock()
		p.Seen = h.lastSeen[p.Device]
		return nil
	}
	p.Paired, p.Role, p.Seen = true, c.Role, c.LastSeen
	for _, id := range c.Batches {
		s, err := readState(tx, id)
		if err != nil {
			return err
		}
		if slices.ContainsFunc(s.Helpers, func(x batch.Helper) bool { return x.Device == p.Device }) {
			p.Batches = append(p.Batches, BatchName{id, s.Name})
		}
	}
	return nil
}
