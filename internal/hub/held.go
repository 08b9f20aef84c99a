package hub

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// What a phone sends that is let in no more is kept apart until an owner has
// looked at it. There is a bound: such a phone must not fill the disk.
const (
	maxHeld      = 5000
	maxHeldBytes = 4 << 20
)

// held is what waits of one phone.
type held struct {
	Facts   []journal.Fact `json:"facts"`
	Left    []journal.Fact `json:"left,omitempty"`    // that an owner left out, and may think better of
	Dropped []journal.ID   `json:"dropped,omitempty"` // of those left out, the older ones that had no room
}

func heldKey(device journal.ID) string { return "held/" + string(device) }

// readHeld leaves out what has come into the journal by another way since, as when
// the phone was let in again.
func readHeld(tx Tx, device journal.ID) (x held, err error) {
	if b := tx.Meta(heldKey(device)); len(b) > 0 && json.Unmarshal(b, &x) != nil {
		return x, fault.New(fault.Damaged, "what waits of phone %s does not read", device).WithHint("run `coldbatch check`, or go back to a backup")
	}
	here := func(f journal.Fact) bool { return tx.Has(f.ID) }
	x.Facts, x.Left = slices.DeleteFunc(x.Facts, here), slices.DeleteFunc(x.Left, here)
	return x, nil
}

func writeHeld(tx Tx, device journal.ID, x held) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false) // a fact's text stays as it is
	if err := e.Encode(x); err != nil {
		return err
	}
	return tx.SetMeta(heldKey(device), b.Bytes())
}

// hold keeps the facts of a phone that is let in no more, and says so.
func (h *Hub) hold(who rights.Asker, texts []json.RawMessage) error {
	c := h.credentialOf(who.Device)
	var facts []journal.Fact
	for _, text := range texts {
		var f journal.Fact
		if json.Unmarshal(text, &f) == nil && c.couldBring(f) {
			facts = append(facts, f)
		}
	}
	waits, full, err := h.wait(who.Device, facts)
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

// holdLate keeps what a helper wrote for a batch that it helps with no more, while it
// helps with another, and says of each that it is not taken as it is.
func (h *Hub) holdLate(who rights.Asker, facts []journal.Fact) (refused []exchange.Refusal, err error) {
	_, full, err := h.wait(who.Device, facts)
	told := fault.New(fault.Refused, "this phone helps with that batch no more; the owner decides on this entry")
	if full {
		told = told.WithHint("there is no room for more until the owner has looked")
	}
	for _, f := range facts {
		refused = append(refused, refusal(f.ID, told))
	}
	return refused, err
}

// wait keeps facts of a phone until an owner has looked at them, and gives how many
// wait then. full says that some found no room.
func (h *Hub) wait(device journal.ID, facts []journal.Fact) (waits int, full bool, err error) {
	run := func(tx Tx) (changed bool, x held, err error) {
		if x, err = readHeld(tx, device); err != nil {
			return false, x, err
		}
		size, known := 0, map[journal.ID]bool{}
		for _, id := range x.Dropped {
			known[id] = true
		}
		for _, f := range x.Left {
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
			if f.Kind == journal.KindWithdrawn || f.Kind == journal.KindRestored {
				if sharing[f.Scope] == nil {
					if sharing[f.Scope], err = sharingOf(tx, f.Scope); err != nil {
						return false, x, err
					}
				}
				if t, _ := journal.Decode[journal.Target](f); sharing[f.Scope][t.Target] {
					continue
				}
			}
			if full = len(x.Facts) >= maxHeld || size+len(f.Text()) > maxHeldBytes; full {
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
			return writeHeld(tx, device, x)
		})
	}
	return waits, full, err
}

// sharingOf gives the facts of a scope that say who helps there.
func sharingOf(tx Tx, scope journal.Scope) (map[journal.ID]bool, error) {
	facts, err := tx.Scope(scope)
	ids := map[journal.ID]bool{}
	for _, f := range facts {
		ids[f.ID] = strings.HasPrefix(f.Kind, shareKinds)
	}
	return ids, err
}

// couldBring says whether the phone wrote f itself and could have brought it while it
// was let in. Of the house and of sharing it brings nothing: who is in is not for it
// to say.
func (c credential) couldBring(f journal.Fact) bool {
	joined := func(s journal.Scope) bool { return slices.Contains(c.Batches, s.Batch()) }
	return c.Device != "" && f.Device == c.Device && f.Scope != journal.House && !strings.HasPrefix(f.Kind, shareKinds) && rights.Write(c.Role, f, joined) == nil
}

// HeldLine is one entry that waits.
type HeldLine struct {
	ID    journal.ID    `json:"id"`
	Kind  string        `json:"kind"`
	Doc   string        `json:"doc"` // what that kind means
	At    zone.Instant  `json:"at"`
	Batch string        `json:"batch,omitempty"` // its name
	Scope journal.Scope `json:"scope"`
}

// Held tells what waits of a phone that is let in no more.
func (h *Hub) Held(who rights.Asker, device journal.ID) ([]HeldLine, error) {
	if err := may(who, rights.RunHouse); err != nil {
		return nil, err
	}
	if err := device.Check("device"); err != nil {
		return nil, err
	}
	lines := []HeldLine{}
	err := h.journal.View(func(tx Tx) error {
		x, err := readHeld(tx, device)
		if err != nil {
			return err
		}
		for _, f := range journal.Ordered(x.Facts) {
			line := HeldLine{ID: f.ID, Kind: f.Kind, At: f.At, Scope: f.Scope}
			if k, known := journal.Find(f.Kind); known {
				line.Doc = k.Doc
			}
			if id := f.Scope.Batch(); id != "" {
				s, err := state(tx, id)
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

// Settled is how many entries wait no more, or again.
type Settled struct {
	Facts int `json:"facts"`
}

// Accept takes what waits of a phone into the journal.
func (h *Hub) Accept(who rights.Asker, device journal.ID) (*Settled, error) {
	return h.settle(who, device, func(p *pen, x *held) error {
		for _, f := range x.Facts {
			if err := p.take(&f); err != nil {
				return err
			}
		}
		x.Facts = nil
		return nil
	})
}

// Discard leaves out what waits of a phone, also when the phone sends it again.
func (h *Hub) Discard(who rights.Asker, device journal.ID) (*Settled, error) {
	return h.settle(who, device, func(_ *pen, x *held) error {
		x.Left, x.Facts = append(x.Left, x.Facts...), nil
		size, from := 0, len(x.Left)
		for from > 0 && len(x.Left)-from < maxHeld && size+len(x.Left[from-1].Text()) <= maxHeldBytes {
			from--
			size += len(x.Left[from].Text())
		}
		for _, f := range x.Left[:from] {
			x.Dropped = append(x.Dropped, f.ID)
		}
		x.Left = x.Left[from:]
		x.Dropped = x.Dropped[max(0, len(x.Dropped)-maxHeld):]
		return nil
	})
}

// Recall lets wait again what was left out of a phone.
func (h *Hub) Recall(who rights.Asker, device journal.ID) (*Settled, error) {
	return h.settle(who, device, func(_ *pen, x *held) error {
		x.Facts, x.Left = append(x.Left, x.Facts...), nil
		return nil
	})
}

func (h *Hub) settle(who rights.Asker, device journal.ID, do func(*pen, *held) error) (*Settled, error) {
	if err := h.ours(); err != nil {
		return nil, err
	}
	if err := may(who, rights.RunHouse); err != nil {
		return nil, err
	}
	if err := device.Check("device"); err != nil {
		return nil, err
	}
	var n int
	p, err := h.write(h.world.Now(), func(p *pen) error {
		x, err := readHeld(p.tx, device)
		if err != nil {
			return err
		}
		before := len(x.Facts)
		if err := do(p, &x); err != nil {
			return err
		}
		n = max(before, len(x.Facts)) - min(before, len(x.Facts))
		return writeHeld(p.tx, device, x)
	})
	if err != nil {
		return nil, err
	}
	h.hint(p.seq)
	return &Settled{n}, nil
}

// SeesPhoto says whether who may see the photo with that SHA-256 in hex: an owner
// any, a helper those that an entry of its batches names.
func (h *Hub) SeesPhoto(who rights.Asker, hash string) (sees bool, err error) {
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
				if f.Kind != "piece.photographed" {
					continue
				}
				if b, ok := journal.Decode[journal.Photo](f); ok && b.SHA256 == hash {
					sees = true
				}
			}
		}
		return nil
	})
	return sees, err
}
