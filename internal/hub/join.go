package hub

import (
	"errors"
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
	var wrote uint64
	run := func(tx Tx, writing bool) error {
		house, err := tx.Scope(journal.House)
		if err != nil {
			return err
		}
		var known bool
		if letter, known = letterOf(house, q.Device); known {
			return nil
		}
		if !writing {
			return errWrites
		}
		p := h.pen(tx, now)
		if err := p.write(journal.House, q.Device, "device.joined", journal.DeviceJoined{Name: q.Name, Letter: letter}); err != nil {
			return err
		}
		wrote, err = p.done()
		return err
	}
	err := h.journal.View(func(tx Tx) error { return run(tx, false) })
	if errors.Is(err, errWrites) {
		err = h.journal.Update(func(tx Tx) error { return run(tx, true) })
	}
	if err != nil {
		return nil, err
	}
	h.hint(wrote)
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
