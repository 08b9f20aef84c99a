package hub

import (
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
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

// Join makes a phone known and gives it its letter: at the computer itself, or
// for one that was paired and meets a hub that forgot it. A phone that joins again
// keeps the letter it has.
func (h *Hub) Join(who rights.Asker, q JoinRequest) (*Joined, error) {
	if err := h.checkNotExample(); err != nil {
		return nil, err
	}
	if err := checkAct(who, rights.SeeBatch); err != nil {
		return nil, err
	}
	if err := h.checkDevice(who, q.Device); err != nil {
		return nil, err
	}
	now := h.system.Now()
	var letter string
	var known bool
	err := h.journal.View(func(tx Tx) error {
		house, err := tx.Scope(journal.HouseScope)
		letter, known = findLetter(house, q.Device)
		return err
	})
	if err != nil || known {
		return &Joined{letter, h.Identity}, err
	}
	w, err := h.writeFacts(now, func(w *factWriter) (err error) {
		letter, err = w.ensureJoined(q.Device, q.Name)
		return err
	})
	if err != nil {
		return nil, err
	}
	h.notifySubscribers(w.lastSeq)
	return &Joined{letter, h.Identity}, nil
}

// ensureJoined makes a phone known, unless it is, and gives its letter.
func (w *factWriter) ensureJoined(device journal.ID, name string) (letter string, err error) {
	house, err := w.tx.Scope(journal.HouseScope)
	if err != nil {
		return "", err
	}
	letter, known := findLetter(house, device)
	if known {
		return letter, nil
	}
	return letter, w.writeFact(journal.HouseScope, device, journal.KindDeviceJoined, journal.DeviceJoined{Name: nameOrDefault(name), Letter: letter})
}

// findLetter gives the letter that device has, else the next one that is free.
// Withdrawn or not, a letter that stood on a label is not given again.
func findLetter(house []journal.Fact, device journal.ID) (letter string, known bool) {
	taken := map[string]bool{}
	for _, f := range journal.Ordered(house) {
		b, ok := journal.DecodeBody[journal.DeviceJoined](f)
		if f.Kind != journal.KindDeviceJoined || !ok {
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
