package hub

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"slices"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// access is who was let in and who is awaited. Codes and tokens stand here as
// their SHA-256 alone. Who was let out again, and which batch is shared, is not
// here but in the journal: those are facts, and phones bring them.
type access struct {
	Phones      []credential `json:"phones"`
	Invitations []invitation `json:"invitations"`
}

// credential is one phone's.
type credential struct {
	Device  journal.ID   `json:"device"`
	Token   string       `json:"token"` // hash
	Role    rights.Role  `json:"role"`
	Batches []journal.ID `json:"batches,omitempty"` // that it joined with a share code
	Seen    zone.Instant `json:"seen"`              // its last exchange
}

const accessKey = "access"

// errAccess says that what was kept of the phones does not read.
var errAccess = fault.New(fault.Damaged, "the file does not say which phones were let in").
	WithHint("run `coldbatch check`, or go back to a backup")

func hashOf(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}

// readAccess reads what Open keeps in memory.
func readAccess(j Journal) (a access, err error) {
	err = j.View(func(tx Tx) error {
		if b := tx.Meta(accessKey); len(b) > 0 && json.Unmarshal(b, &a) != nil {
			return errAccess
		}
		return nil
	})
	return a, err
}

// change lets do work on a copy of the access and write facts; both are kept or
// neither.
func (h *Hub) change(do func(p *pen, a *access) error) error {
	h.changing.Lock()
	defer h.changing.Unlock()
	now := h.world.Now()
	var next access
	p, err := h.write(now, func(p *pen) error {
		next = h.known().clone()
		h.mu.Lock()
		for i, c := range next.Phones {
			next.Phones[i].Seen = max(c.Seen, h.seen[c.Device])
		}
		h.mu.Unlock()
		if err := do(p, &next); err != nil {
			return err
		}
		text, err := json.Marshal(next)
		if err != nil {
			return err
		}
		return p.tx.SetMeta(accessKey, text)
	})
	if err != nil {
		return err
	}
	h.mu.Lock()
	h.access = next
	h.mu.Unlock()
	h.hint(p.seq)
	return nil
}

func (h *Hub) known() access {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.access
}

func (a access) clone() access {
	b := access{Invitations: slices.Clone(a.Invitations)}
	for _, c := range a.Phones {
		c.Batches = slices.Clone(c.Batches)
		b.Phones = append(b.Phones, c)
	}
	return b
}

// of gives the credential of a device, a new one where it has none.
func (a *access) of(device journal.ID) *credential {
	i := slices.IndexFunc(a.Phones, func(c credential) bool { return c.Device == device })
	if i < 0 {
		i = len(a.Phones)
		a.Phones = append(a.Phones, credential{Device: device})
	}
	return &a.Phones[i]
}

// token draws a new token for a phone and keeps its hash.
func (h *Hub) token(c *credential) string {
	var b [32]byte
	h.world.Random(b[:])
	text := base64.RawURLEncoding.EncodeToString(b[:])
	c.Token = hashOf(text)
	return text
}

// Local is whoever sits at this computer: the house is theirs.
func (h *Hub) Local() rights.Asker { return rights.Asker{Role: rights.Owner} }

// Who says whose token it is. An empty or unknown one is a stranger's. A phone
// that was let out, or whose batches are shared no more, is a stranger who is
// known to be Out.
func (h *Hub) Who(token string) (rights.Asker, error) {
	stranger := rights.Asker{Role: rights.Stranger}
	if token == "" || h.Example {
		return stranger, nil
	}
	hash := hashOf(token)
	for _, c := range h.known().Phones {
		if c.Token == hash {
			return h.asker(c)
		}
	}
	return stranger, nil
}

func (h *Hub) asker(c credential) (rights.Asker, error) {
	out := rights.Asker{Role: rights.Stranger, Device: c.Device, Out: true}
	gone, err := h.letOut()
	if err != nil || gone[c.Device] {
		return out, err
	}
	if c.Role == rights.Owner {
		return rights.Asker{Role: rights.Owner, Device: c.Device}, nil
	}
	who := rights.Asker{Role: rights.Helper, Device: c.Device}
	for _, id := range c.Batches {
		in, err := h.helps(id)
		if err != nil {
			return out, err
		}
		if in[c.Device] {
			who.Batches = append(who.Batches, id)
		}
	}
	if len(who.Batches) == 0 {
		return out, nil
	}
	return who, nil
}

// may returns a fault where who may not act.
func may(who rights.Asker, act rights.Act) error {
	if rights.May(who.Role, act) {
		return nil
	}
	if who.Role == rights.Helper {
		return fault.New(fault.Refused, "a helper's phone may not do that").WithHint("ask who keeps the house")
	}
	return fault.New(fault.Refused, "this phone is not let in").WithHint("pair it with a code from a phone that is, or from `coldbatch pair`")
}
