package hub

import (
	"context"
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

// accessList holds the paired phones and the open invitations. It stores only the
// SHA-256 of codes and tokens. Revocations and shared batches are not in it: they are
// facts in the journal, and phones bring them.
type accessList struct {
	Phones      []credential `json:"phones"`
	Invitations []invitation `json:"invitations"`
}

// credential is what one phone was given.
type credential struct {
	Device    journal.ID   `json:"device"`
	TokenHash string       `json:"token"`
	Role      rights.Role  `json:"role"`
	Batches   []journal.ID `json:"batches,omitempty"` // joined with a share code
	LastSeen  zone.Instant `json:"seen"`              // its last exchange
	PairedAt  zone.Instant `json:"paired,omitempty"`  // when it was given a token that it had proved itself for
}

const accessKey = "access"

// errAccessDamaged says that the stored access list cannot be read.
var errAccessDamaged = fault.New(fault.Damaged, "the list of paired phones is damaged in the journal").
	WithHint("run `coldbatch check`, or restore a backup")

func hashOf(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}

// readAccess reads the stored access list, which the hub then keeps in memory.
func readAccess(j Journal) (a accessList, err error) {
	err = j.View(func(tx Tx) error {
		if b := tx.Meta(accessKey); len(b) > 0 && json.Unmarshal(b, &a) != nil {
			return errAccessDamaged
		}
		return nil
	})
	return a, err
}

// changeAccess runs change on a copy of the access list and a fact writer. It stores
// both results or neither.
func (h *Hub) changeAccess(ctx context.Context, change func(w *factWriter, a *accessList) error) error {
	if err := h.accessLock.acquire(ctx); err != nil {
		return err
	}
	defer h.accessLock.release()
	now := h.system.Now()
	var next accessList
	w, err := h.writeFacts(ctx, now, func(w *factWriter) error {
		next = h.copyAccess()
		if err := change(w, &next); err != nil {
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

// copyAccess returns a copy of the access list with the newest LastSeen of each phone.
func (h *Hub) copyAccess() accessList {
	h.mu.Lock()
	defer h.mu.Unlock()
	a := accessList{Invitations: slices.Clone(h.access.Invitations)}
	for _, c := range h.access.Phones {
		c.Batches = slices.Clone(c.Batches)
		if seen, ok := h.lastSeen[c.Device]; ok {
			c.LastSeen = seen
		}
		a.Phones = append(a.Phones, c)
	}
	return a
}

// credentialByToken returns the credential whose token has that hash.
func (h *Hub) credentialByToken(hash string) (credential, bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	for _, c := range h.access.Phones {
		if c.TokenHash == hash {
			return c, true
		}
	}
	return credential{}, false
}

// credentialByDevice returns the credential of a device, or an empty one.
func (h *Hub) credentialByDevice(device journal.ID) (c credential) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if found := h.access.find(device); found != nil {
		c = *found
	}
	return c
}

// lastSeenInterval says how often LastSeen is written to the file.
const lastSeenInterval = zone.Hour

// recordSeen records that a phone exchanged now. It writes to the file at most once an
// hour, because each write costs a sync of the disk, and besides at the first exchange after
// pairing: whether there was one must survive a restart.
func (h *Hub) recordSeen(ctx context.Context, device journal.ID, now zone.Instant) {
	h.mu.Lock()
	h.lastSeen[device] = now
	due := false
	if c := h.access.find(device); c != nil {
		age := now.Sub(c.LastSeen) // negative after the hub's clock was set back
		paired := h.access.pairedAt(c)
		due = age >= lastSeenInterval || age <= -lastSeenInterval || c.LastSeen <= paired && paired < now
	}
	h.mu.Unlock()
	if due {
		// An error, such as a full disk, must not fail the exchange, which is already
		// stored. The next exchange tries again.
		_ = h.changeAccess(ctx, func(*factWriter, *accessList) error { return nil })
	}
}

// pairedAt returns when a phone was last given a token. Its first exchange after that
// shows that it has the token, so that no other phone gets one in its place.
func (a *accessList) pairedAt(c *credential) zone.Instant {
	at := c.PairedAt
	for _, i := range a.Invitations {
		if i.SpentBy == c.Device {
			at = max(at, i.SpentAt)
		}
	}
	return at
}

// find returns the credential of a device, or nil.
func (a *accessList) find(device journal.ID) *credential {
	i := slices.IndexFunc(a.Phones, func(c credential) bool { return c.Device == device })
	if i < 0 {
		return nil
	}
	return &a.Phones[i]
}

// findOrAdd returns the credential of a device, and adds one where there is none.
func (a *accessList) findOrAdd(device journal.ID) *credential {
	if a.find(device) == nil {
		a.Phones = append(a.Phones, credential{Device: device})
	}
	return a.find(device)
}

// issueToken draws a new token for a phone and stores its hash in c.
func (h *Hub) issueToken(c *credential) string {
	var b [32]byte
	h.system.Random(b[:])
	token := base64.RawURLEncoding.EncodeToString(b[:])
	c.TokenHash = hashOf(token)
	return token
}

// LocalAsker is the person at this computer, who is an owner.
func (h *Hub) LocalAsker() rights.Asker { return rights.Asker{Role: rights.Owner} }

// AskerByToken identifies the phone that holds token. An empty or unknown token is a
// stranger's. A revoked phone, and a helper whose batches are no longer shared, is a
// stranger marked Revoked.
func (h *Hub) AskerByToken(ctx context.Context, token string) (rights.Asker, error) {
	stranger := rights.Asker{Role: rights.Stranger}
	if token == "" || h.Example {
		return stranger, nil
	}
	if c, ok := h.credentialByToken(hashOf(token)); ok {
		return h.askerFor(ctx, c)
	}
	return stranger, nil
}

// askerFor works out the rights of the phone with credential c as of now.
func (h *Hub) askerFor(ctx context.Context, c credential) (rights.Asker, error) {
	removed := rights.Asker{Role: rights.Stranger, Device: c.Device, Revoked: true}
	revoked, err := h.revokedDevices(ctx)
	if err != nil || revoked[c.Device] {
		return removed, err
	}
	if c.Role == rights.Owner {
		return rights.Asker{Role: rights.Owner, Device: c.Device}, nil
	}
	if err := h.checkPutBack(); err != nil {
		return removed, err
	}
	helper := rights.Asker{Role: rights.Helper, Device: c.Device}
	for _, id := range c.Batches {
		b, err := h.batchSummary(ctx, id)
		if err != nil {
			return removed, err
		}
		if b.helpers[c.Device] {
			helper.Batches = append(helper.Batches, id)
		}
	}
	if len(helper.Batches) == 0 {
		return removed, nil
	}
	return helper, nil
}

// checkDevice returns a fault when device, the id that a phone claims, is the hub's or
// is not the id that its token belongs to.
func (h *Hub) checkDevice(who rights.Asker, device journal.ID) error {
	if err := device.Check("device"); err != nil {
		return err
	}
	if device == h.ID || who.Device != "" && who.Device != device {
		return fault.New(fault.Refused, "this is not the phone that was paired").WithHint("pair it with its own code")
	}
	return nil
}

// checkAct returns a fault when who may not act.
func checkAct(who rights.Asker, act rights.Action) error {
	if rights.IsAllowed(who.Role, act) {
		return nil
	}
	if who.Role == rights.Helper {
		return fault.New(fault.Refused, "a helper's phone is not allowed to do that").WithHint("ask the owner")
	}
	return fault.New(fault.Refused, "this phone is not paired").WithHint("pair it with a code from a paired phone, or from `coldbatch pair`")
}
