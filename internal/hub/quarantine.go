package hub

import (
	"bytes"
	"encoding/json"
	"slices"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// What a phone sends that is let in no more is kept apart until an owner has
// looked at it. There is a bound: such a phone must not fill the disk.
const (
	maxQuarantined     = exchange.MaxQuarantined
	maxQuarantineBytes = 4 << 20
)

// quarantine is what waits of one phone.
type quarantine struct {
	Facts    []journal.Fact `json:"facts"`
	Rejected []journal.Fact `json:"left,omitempty"`    // that an owner left out, and may think better of
	Dropped  []journal.ID   `json:"dropped,omitempty"` // of those left out, the older ones that had no room
}

func quarantineKey(device journal.ID) string { return "held/" + string(device) }

// readQuarantine leaves out what has come into the journal by another way since, as when
// the phone was let in again.
func readQuarantine(tx Tx, device journal.ID) (x quarantine, err error) {
	if b := tx.Meta(quarantineKey(device)); len(b) > 0 && json.Unmarshal(b, &x) != nil {
		return x, fault.New(fault.Damaged, "what waits of phone %s does not read", device).WithHint("run `coldbatch check`, or go back to a backup")
	}
	here := func(f journal.Fact) bool { return tx.Has(f.ID) }
	x.Facts, x.Rejected = slices.DeleteFunc(x.Facts, here), slices.DeleteFunc(x.Rejected, here)
	return x, nil
}

func writeQuarantine(tx Tx, device journal.ID, x quarantine) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false) // a fact's text stays as it is
	if err := e.Encode(x); err != nil {
		return err
	}
	return tx.SetMeta(quarantineKey(device), b.Bytes())
}

// quarantineFromRevoked keeps the facts of a phone that is let in no more, and says so.
func (h *Hub) quarantineFromRevoked(who rights.Asker, texts []json.RawMessage) error {
	former := h.credentialByDevice(who.Device).asker()
	var facts []journal.Fact
	for _, text := range texts {
		var f journal.Fact
		if json.Unmarshal(text, &f) == nil && rights.CanQuarantine(former, f) {
			facts = append(facts, f)
		}
	}
	waits, full, err := h.addToQuarantine(who.Device, facts)
	if err != nil {
		return err
	}
	told := fault.New(fault.Refused, "this phone is let in no more")
	switch {
	case waits == 1:
		told = fault.New(fault.Refused, "this phone is let in no more; 1 entry it sent waits for the owner")
	case waits > 1:
		told = fault.New(fault.Refused, "this phone is let in no more; %d entries it sent wait for the owner", waits)
	}
	if full {
		return told.WithHint("there is no room for more until the owner has looked; what you record stays on this phone")
	}
	return told.WithHint("what you record stays on this phone; ask who keeps the house")
}

// quarantineFromHelper keeps what a helper wrote for a batch that it helps with no more, while it
// helps with another, and says of each that it is not taken as it is.
func (h *Hub) quarantineFromHelper(who rights.Asker, facts []journal.Fact) (refused []exchange.Refusal, err error) {
	_, full, err := h.addToQuarantine(who.Device, facts)
	told := fault.New(fault.Refused, "this phone helps with that batch no more; the owner decides on this entry")
	if full {
		told = told.WithHint("there is no room for more until the owner has looked")
	}
	for _, f := range facts {
		refused = append(refused, refuseFact(f.ID, told))
	}
	return refused, err
}

// addToQuarantine keeps facts of a phone until an owner has looked at them, and gives how many
// wait then. full says that some found no room.
func (h *Hub) addToQuarantine(device journal.ID, facts []journal.Fact) (waits int, full bool, err error) {
	run := func(tx Tx) (changed bool, x quarantine, err error) {
		if x, err = readQuarantine(tx, device); err != nil {
			return false, x, err
		}
		size, known := 0, map[journal.ID]bool{}
		for _, id := range x.Dropped {
			known[id] = true
		}
		for _, f := range x.Rejected {
			known[f.ID] = true
		}
		for _, f := range x.Facts {
			known[f.ID] = true
			size += len(f.Text())
		}
		sharing := map[journal.Scope]map[journal.ID]bool{}
		for _, f := range facts {
			if known[f.ID] || tx.Has(f.ID) {
				continue
			}
			if f.Kind == journal.KindFactWithdrawn || f.Kind == journal.KindFactRestored {
				if sharing[f.Scope] == nil {
					if sharing[f.Scope], err = sharingFacts(tx, f.Scope); err != nil {
						return false, x, err
					}
				}
				if t, _ := journal.DecodeBody[journal.FactTarget](f); sharing[f.Scope][t.Target] {
					continue
				}
			}
			if full = len(x.Facts) >= maxQuarantined || size+len(f.Text()) > maxQuarantineBytes; full {
				break
			}
			size += len(f.Text())
			known[f.ID] = true
			x.Facts, changed = append(x.Facts, f), true
		}
		waits = len(x.Facts)
		return changed, x, nil
	}
	var changed bool
	err = h.journal.View(func(tx Tx) (err error) {
		changed, _, err = run(tx)
		return err
	})
	if err == nil && changed {
		err = h.journal.Update(func(tx Tx) error {
			_, x, err := run(tx)
			if err != nil {
				return err
			}
			return writeQuarantine(tx, device, x)
		})
	}
	return waits, full, err
}

// sharingFacts gives the facts of a scope that say who helps there.
func sharingFacts(tx Tx, scope journal.Scope) (map[journal.ID]bool, error) {
	facts, err := tx.Scope(scope)
	ids := map[journal.ID]bool{}
	for _, f := range facts {
		ids[f.ID] = rights.IsSharing(f.Kind)
	}
	return ids, err
}

// asker gives the phone with the rights that it was let in with, revoked since or not.
func (c credential) asker() rights.Asker {
	return rights.Asker{Role: c.Role, Device: c.Device, Batches: c.Batches}
}

// QuarantinedFact is one entry that waits.
type QuarantinedFact struct {
	ID    journal.ID    `json:"id"`
	Kind  string        `json:"kind"`
	Doc   string        `json:"doc"` // what that kind means
	At    zone.Instant  `json:"at"`
	Batch string        `json:"batch,omitempty"` // its name
	Scope journal.Scope `json:"scope"`
}

// Quarantined tells what waits of a phone that is let in no more.
func (h *Hub) Quarantined(who rights.Asker, device journal.ID) ([]QuarantinedFact, error) {
	if err := checkAct(who, rights.ManageHouse); err != nil {
		return nil, err
	}
	if err := device.Check("device"); err != nil {
		return nil, err
	}
	lines := []QuarantinedFact{}
	err := h.journal.View(func(tx Tx) error {
		x, err := readQuarantine(tx, device)
		if err != nil {
			return err
		}
		for _, f := range journal.Ordered(x.Facts) {
			line := QuarantinedFact{ID: f.ID, Kind: f.Kind, At: f.At, Scope: f.Scope}
			if k, known := journal.FindKind(f.Kind); known {
				line.Doc = k.Doc
			}
			if id := f.Scope.Batch(); id != "" {
				s, err := readState(tx, id)
				if err != nil {
					return err
				}
				line.Batch = s.Name
			}
			lines = append(lines, line)
		}
		return nil
	})
	return lines, err
}

// Decided is how many entries wait no more, or again.
type Decided struct {
	Facts int `json:"facts"`
}

// Accept takes what waits of a phone into the journal.
func (h *Hub) Accept(who rights.Asker, device journal.ID) (*Decided, error) {
	return h.editQuarantine(who, device, func(w *factWriter, x *quarantine) error {
		for _, f := range x.Facts {
			if err := w.appendFact(&f); err != nil {
				return err
			}
		}
		x.Facts = nil
		return nil
	})
}

// Reject leaves out what waits of a phone, also when the phone sends it again.
func (h *Hub) Reject(who rights.Asker, device journal.ID) (*Decided, error) {
	return h.editQuarantine(who, device, func(_ *factWriter, x *quarantine) error {
		x.Rejected, x.Facts = append(x.Rejected, x.Facts...), nil
		size, from := 0, len(x.Rejected)
		for from > 0 && len(x.Rejected)-from < maxQuarantined && size+len(x.Rejected[from-1].Text()) <= maxQuarantineBytes {
			from--
			size += len(x.Rejected[from].Text())
		}
		for _, f := range x.Rejected[:from] {
			x.Dropped = append(x.Dropped, f.ID)
		}
		x.Rejected = x.Rejected[from:]
		x.Dropped = x.Dropped[max(0, len(x.Dropped)-maxQuarantined):]
		return nil
	})
}

// Requeue lets wait again what was left out of a phone.
func (h *Hub) Requeue(who rights.Asker, device journal.ID) (*Decided, error) {
	return h.editQuarantine(who, device, func(_ *factWriter, x *quarantine) error {
		x.Facts, x.Rejected = append(x.Rejected, x.Facts...), nil
		return nil
	})
}

func (h *Hub) editQuarantine(who rights.Asker, device journal.ID, do func(*factWriter, *quarantine) error) (*Decided, error) {
	if err := h.checkNotExample(); err != nil {
		return nil, err
	}
	if err := checkAct(who, rights.ManageHouse); err != nil {
		return nil, err
	}
	if err := device.Check("device"); err != nil {
		return nil, err
	}
	var n int
	w, err := h.writeFacts(h.system.Now(), func(w *factWriter) error {
		x, err := readQuarantine(w.tx, device)
		if err != nil {
			return err
		}
		before := len(x.Facts)
		if err := do(w, &x); err != nil {
			return err
		}
		n = max(before, len(x.Facts)) - min(before, len(x.Facts))
		return writeQuarantine(w.tx, device, x)
	})
	if err != nil {
		return nil, err
	}
	h.notifySubscribers(w.lastSeq)
	return &Decided{n}, nil
}

// CanSeePhoto says whether who may see the photo with that SHA-256 in hex: an owner
// any, a helper those that an entry of its batches names.
func (h *Hub) CanSeePhoto(who rights.Asker, hash string) (sees bool, err error) {
	if who.Role == rights.Owner {
		return true, nil
	}
	err = h.journal.View(func(tx Tx) error {
		for _, id := range who.Batches {
			facts, err := tx.Scope(journal.BatchScope(id))
			if err != nil {
				return err
			}
			for _, f := range facts {
				if f.Kind != journal.KindPiecePhotographed {
					continue
				}
				if b, ok := journal.DecodeBody[journal.PiecePhotographed](f); ok && b.SHA256 == hash {
					sees = true
				}
			}
		}
		return nil
	})
	return sees, err
}
