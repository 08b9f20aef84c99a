package hub

import (
	"slices"

	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// PhoneInfo is one phone that joined the house, as its owner sees it.
type PhoneInfo struct {
	Device  journal.ID   `json:"device"`
	Name    string       `json:"name"`
	Letter  string       `json:"letter"`
	Role    rights.Role  `json:"role,omitempty"` // owner or helper; empty: this computer's own browser, or one not paired since a restore
	Batches []BatchName  `json:"batches"`        // that it helps with
	Joined  zone.Instant `json:"joined"`
	Seen    zone.Instant `json:"seen,omitempty"` // its last exchange; 0 not since the program started
	Paired  bool         `json:"paired"`
	Revoked bool         `json:"revoked"`
	Held    int          `json:"held"` // entries of it that wait for a word
	You     bool         `json:"you"`
}

// BatchName is a batch by its name.
type BatchName struct {
	ID   journal.ID `json:"id"`
	Name string     `json:"name"`
}

// Phones lists the phones of the house in the order they joined.
func (h *Hub) Phones(who rights.Asker) ([]PhoneInfo, error) {
	if err := may(who, rights.RunHouse); err != nil {
		return nil, err
	}
	a := h.known()
	list := []PhoneInfo{}
	err := h.journal.View(func(tx Tx) error {
		facts, err := tx.Scope(journal.House)
		if err != nil {
			return err
		}
		list = phonesOf(facts)
		for i := range list {
			p := &list[i]
			p.You = p.Device == who.Device
			h.mu.Lock()
			p.Seen = h.seen[p.Device]
			h.mu.Unlock()
			x, err := readHeld(tx, p.Device)
			if err != nil {
				return err
			}
			p.Held = len(x.Facts)
			c := a.find(p.Device)
			if c == nil {
				continue
			}
			p.Paired, p.Role, p.Seen = true, c.Role, max(p.Seen, c.Seen)
			for _, id := range c.Batches {
				s, err := state(tx, id)
				if err != nil {
					return err
				}
				for _, x := range s.Helpers {
					if x.Device == p.Device {
						p.Batches = append(p.Batches, BatchName{id, s.Name})
					}
				}
			}
		}
		return nil
	})
	return list, err
}

// phonesOf reads the house's facts. A phone is never forgotten: its letter stands
// on labels.
func phonesOf(facts []journal.Fact) []PhoneInfo {
	list := []PhoneInfo{}
	find := func(device journal.ID) *PhoneInfo {
		i := slices.IndexFunc(list, func(p PhoneInfo) bool { return p.Device == device })
		if i < 0 {
			return nil
		}
		return &list[i]
	}
	for _, f := range journal.Live(facts, nil) {
		p := find(f.Subject)
		switch f.Kind {
		case "device.joined":
			if b, ok := journal.Decode[journal.DeviceJoined](f); ok && p == nil {
				list = append(list, PhoneInfo{Device: f.Subject, Name: b.Name, Letter: b.Letter, Joined: f.At, Batches: []BatchName{}})
			}
		case "device.named":
			if b, ok := journal.Decode[journal.DeviceNamed](f); ok && p != nil {
				p.Name = b.Name
			}
		case kindOut:
			if p != nil {
				p.Revoked = true
			}
		}
	}
	return list
}
