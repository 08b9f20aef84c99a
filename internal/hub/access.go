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

// accessList is who was let in and who is awaited. Codes and tokens stand here as
// their SHA-256 alone. Who was let out again, and which batch is shared, is not
// here but in the journal: those are facts, and phones bring them.
type accessList struct {
	Phones      []credential `json:"phones"`
	Invitations []invitation `json:"invitations"`
}

// credential is one phone's.
type credential struct {
	Device   journal.ID   `json:"device"`
	Token    string       `json:"token"` // hash
	Role     rights.Role  `json:"role"`
	Batches  []journal.ID `json:"batches,omitempty"` // that it joined with a share code
	LastSeen zone.Instant `json:"seen"`              // its last exchange
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
func readAccess(j Journal) (a accessList, err error) {
	err = j.View(func(tx Tx) error {
		if b := tx.Meta(accessKey); len(b) > 0 && json.Unmarshal(b, &a) != nil {
			return errAccess
		}
		return nil
	})
	return a, err
}

// changeAccess lets do work on a copy of the access and write facts; both are kept or
// neither.
func (h *Hub) changeAccess(do func(w *factWriter, a *accessList) error) error {
	h.accessChange.Lock()
	defer h.accessChange.Unlock()
	now := h.system.Now()
	var next accessList
	w, err := h.writeFacts(now, func(w *factWriter) error {
		next = h.copyAccess()
		if err := do(w, &next); err != nil {
			return err
		}
		text, err := json.Marshal(next)
		if err != nil {
			return err
		}
		return w.tx.SetMeta(accessKey, text)
	})
	if err != nil {
		return err
	}
	h.mu.Lock()
	h.access = next
	h.mu.Unlock()
	h.notifySubscribers(w.lastSeq)
	return nil
}

// copyAccess gives a copy of the access, with when each phone was last seen.
func (h *Hub) copyAccess() accessList {
	h.mu.Lock()
	defer h.mu.Unlock()
	a := accessList{Invitations: slices.Clone(h.access.Invitations)}
	for _, c := range h.access.Phones {
		c.Batches = slices.Clone(c.Batches)
		if at, ok := h.lastSeen[c.Device]; ok {
			c.LastSeen = at
		}
		a.Phones = append(a.Phones, c)
	}
	return a
}

// credentialByToken gives the credential with the hash of that token.
func (h *Hub) credentialByToken(hash string) (credential, bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, c := range h.access.Phones {
		if c.Token == hash {
			return c, true
		}
	}
	return credential{}, false
}

// credentialByDevice gives the credential of a device, an empty one where it has none.
func (h *Hub) credentialByDevice(device journal.ID) (c credential) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if had := h.access.find(device); had != nil {
		c = *had
	}
	return c
}

// lastSeenInterval is how exactly the file says when a phone was last seen.
const lastSeenInterval = zone.Hour

// recordSeen notes that a phone exchanged now. It goes to the file once an hour: a sync
// of the disk at each exchange would be too much for it.
func (h *Hub) recordSeen(device journal.ID, now zone.Instant) {
	h.mu.Lock()
	h.lastSeen[device] = now
	i := slices.IndexFunc(h.access.Phones, func(c credential) bool { return c.Device == device })
	var since zone.Span // less than 0 after the clock of the hub was set back
	if i >= 0 {
		since = now.Sub(h.access.Phones[i].LastSeen)
	}
	due := since >= lastSeenInterval || since <= -lastSeenInterval
	h.mu.Unlock()
	if due {
		// What is exchanged counts, also where this finds no room on the disk.
		_ = h.changeAccess(func(*factWriter, *accessList) error { return nil })
	}
}

// find gives the credential of a device, or nil.
func (a *accessList) find(device journal.ID) *credential {
	i := slices.IndexFunc(a.Phones, func(c credential) bool { return c.Device == device })
	if i < 0 {
		return nil
	}
	return &a.Phones[i]
}

// findOrAdd gives the credential of a device, a new one where it has none.
func (a *accessList) findOrAdd(device journal.ID) *credential {
	if a.find(device) == nil {
		a.Phones = append(a.Phones, credential{Device: device})
	}
	return a.find(device)
}

// issueToken draws a new token for a phone and keeps its hash.
func (h *Hub) issueToken(c *credential) string {
	var b [32]byte
	h.system.Random(b[:])
	text := base64.RawURLEncoding.EncodeToString(b[:])
	c.Token = hashOf(text)
	return text
}

// LocalAsker is whoever sits at this computer: the house is theirs.
func (h *Hub) LocalAsker() rights.Asker { return rights.Asker{Role: rights.Owner} }

// AskerByToken says whose token it is. An empty or unknown one is a stranger's. A phone
// that was let out, or whose batches are shared no more, is a stranger who is
// known to be Out.
func (h *Hub) AskerByToken(token string) (rights.Asker, error) {
	stranger := rights.Asker{Role: rights.Stranger}
	if token == "" || h.Example {
		return stranger, nil
	}
	if c, ok := h.credentialByToken(hashOf(token)); ok {
		return h.askerFor(c)
	}
	return stranger, nil
}

func (h *Hub) askerFor(c credential) (rights.Asker, error) {
	out := rights.Asker{Role: rights.Stranger, Device: c.Device, Revoked: true}
	gone, err := h.revokedDevices()
	if err != nil || gone[c.Device] {
		return out, err
	}
	if c.Role == rights.Owner {
		return rights.Asker{Role: rights.Owner, Device: c.Device}, nil
	}
	who := rights.Asker{Role: rights.Helper, Device: c.Device}
	for _, id := range c.Batches {
		b, err := h.batchSummary(id)
		if err != nil {
			return out, err
		}
		if b.helpers[c.Device] {
			who.Batches = append(who.Batches, id)
		}
	}
	if len(who.Batches) == 0 {
		return out, nil
	}
	return who, nil
}

// checkDevice checks the id that a phone gives itself: it is no other's whose token came
// along, and not the hub's.
func (h *Hub) checkDevice(who rights.Asker, device journal.ID) error {
	if err := device.Check("device"); err != nil {
		return err
	}
	if device == h.ID || who.Device != "" && who.Device != device {
		return fault.New(fault.Refused, "this is not the phone that was paired").WithHint("pair it with a code of its own")
	}
	return nil
}

// checkAct returns a fault where who may not act.
func checkAct(who rights.Asker, act rights.Action) error {
	if rights.IsAllowed(who.Role, act) {
		return nil
	}
	if who.Role == rights.Helper {
		return fault.New(fault.Refused, "a helper's phone may not do that").WithHint("ask who keeps the house")
	}
	return fault.New(fault.Refused, "this phone is not let in").WithHint("pair it with a code from a phone that is, or from `coldbatch pair`")
}
