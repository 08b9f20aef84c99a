package hub

import (
	"cmp"
	"context"

	"coldbatch/internal/api"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// RegisterPhone registers a phone of the owner's and gives it a letter. Used by this computer's own browser,
// and by a paired phone whose hub was restored from an older backup. A phone that is already registered
// keeps its letter.
func (h *Hub) RegisterPhone(ctx context.Context, who rights.Asker, q api.JoinRequest) (*api.JoinAnswer, error) {
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
	err := h.viewJournal(ctx, func(tx Tx) error {
		houseFacts, err := tx.Scope(journal.HouseScope)
		letter, known = findLetter(houseFacts, q.Device)
		return err
	})
	if err != nil || known {
		return &api.JoinAnswer{Letter: letter, Hub: h.Identity}, err
	}
	w, err := h.writeFacts(ctx, now, func(w *factWriter) (err error) {
		letter, err = w.ensureJoined(q.Device, q.Name, who.Role == rights.Owner)
		return err
	})
	if err != nil {
		return nil, err
	}
	h.notifySubscribers(w.lastSeq)
	return &api.JoinAnswer{Letter: letter, Hub: h.Identity}, nil
}

// ensureJoined writes that a phone joined, unless it has, and returns its letter. Only a
// phone of the owner's gets one: there are 24, and helpers come and go.
func (w *factWriter) ensureJoined(device journal.ID, name string, isOwners bool) (letter string, err error) {
	houseFacts, err := w.tx.Scope(journal.HouseScope)
	if err != nil {
		return "", err
	}
	letter, known := findLetter(houseFacts, device)
	if letter == "" && isOwners {
		letter = freeLetter(houseFacts)
	} else if known {
		return letter, nil
	}
	if known && letter == "" { // none is free
		return "", nil
	}
	return letter, w.writeFact(journal.HouseScope, device, journal.KindDeviceJoined, journal.DeviceJoined{Name: nameOrDefault(name), Letter: letter})
}

// findLetter returns the letter of device, or "" where it has none. known says whether it
// joined: a helper has no letter, and gets one once it is the owner's.
func findLetter(houseFacts []journal.Fact, device journal.ID) (letter string, known bool) {
	for _, f := range journal.SortedByStamp(houseFacts) {
		if f.Kind != journal.KindDeviceJoined || f.Subject != device {
			continue
		}
		if b, ok := journal.DecodeBody[journal.DeviceJoined](f); ok {
			known = true
			letter = cmp.Or(letter, b.Letter)
		}
	}
	return letter, known
}

// freeLetter returns the next letter that no phone ever had, or "". A letter that was on
// a label is never given to another phone, even after a withdrawal.
func freeLetter(houseFacts []journal.Fact) string {
	used := map[string]bool{}
	for _, f := range houseFacts {
		if b, ok := journal.DecodeBody[journal.DeviceJoined](f); ok && f.Kind == journal.KindDeviceJoined {
			used[b.Letter] = true
		}
	}
	for _, r := range journal.Letters {
		if !used[string(r)] {
			return string(r)
		}
	}
	return ""
}
