package hub

import (
	"strings"

	"coldbatch/internal/journal"
)

// JoinRequest is a phone that wants to belong to the house.
type JoinRequest struct {
	Device journal.ID `json:"device"`
	Name   string     `json:"name"`
}

// Joined is what it is told. Letter goes behind bag numbers that the phone gives
// without a lease; it is empty when all letters are taken.
type Joined struct {
	Letter string   `json:"letter"`
	Hub    Identity `json:"hub"`
}

// Join makes a phone known and gives it its letter. A phone that joins again
// keeps the letter it has.
func (h *Hub) Join(q JoinRequest) (*Joined, error) {
	if err := h.ours(); err != nil {
		return nil, err
	}
	if err := q.Device.Check("device"); err != nil {
		return nil, err
	}
	if strings.TrimSpace(q.Name) == "" {
		q.Name = "phone"
	}
	now := h.world.Now()
	var letter string
	var last uint64
	find := func(tx Tx) (known bool, err error) {
		house, err := tx.Scope(journal.House)
		if err != nil {
			return false, err
		}
		letter, known = letterOf(house, q.Device)
		return known, nil
	}
	err := h.journal.View(func(tx Tx) error {
		known, err := find(tx)
		if err == nil && !known {
			err = errWrites
		}
		return err
	})
	if err == errWrites {
		err = h.journal.Update(func(tx Tx) error {
			if known, err := find(tx); err != nil || known {
				return err
			}
			p := h.pen(tx, now)
			if err := p.write(journal.House, q.Device, "device.joined", journal.DeviceJoined{Name: q.Name, Letter: letter}); err != nil {
				return err
			}
			last = tx.Last()
			return p.done()
		})
	}
	if err != nil {
		return nil, err
	}
	if last > 0 {
		h.hint(last)
	}
	return &Joined{letter, h.Identity}, nil
}

// letterOf gives the letter that device has, else the next one that is free.
// Withdrawn or not, a letter that stood on a label is not given again.
func letterOf(house []journal.Fact, device journal.ID) (letter string, known bool) {
	taken := map[string]bool{}
	for _, f := range journal.Ordered(house) {
		b, ok := journal.Decode[journal.DeviceJoined](f)
		if f.Kind != "device.joined" || !ok {
			continue
		}
		if f.Subject == device {
			return b.Letter, true
		}
		taken[b.Letter] = true
	}
	for _, r := range journal.Letters {
		if !taken[string(r)] {
			return string(r), false
		}
	}
	return "", false
}
