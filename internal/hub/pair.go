package hub

import (
	"slices"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// The kinds of fact that say who is in. An owner's phone writes that another is
// out, the hub that one helps.
const (
	kindRevoked     = journal.KindDeviceRevoked
	kindShareJoined = journal.KindShareJoined
)

// PairRequest is a phone that wants to be let in.
type PairRequest struct {
	Device journal.ID `json:"device"`
	Name   string     `json:"name"`
	Code   string     `json:"code"` // eight digits, a link's code, or a share code
}

// Paired is what it is told. The token goes into its cookie and nowhere else.
type Paired struct {
	Joined
	You   rights.Asker `json:"you"`
	Batch journal.ID   `json:"batch,omitempty"` // that it joined as a helper
	Token string       `json:"-"`
}

// errCode is for every code that lets nobody in, whatever is wrong with it.
var errCode = fault.New(fault.Refused, "that code lets nobody in: it is mistyped, spent, or too old").
	WithHint("ask for a fresh one: on a paired phone under This phone, or by `coldbatch pair` on the computer")

// Pair lets a phone in by its code: as one of the owner's, or as a helper of one
// batch. A phone that asks again, because the answer was lost, is let in again.
func (h *Hub) Pair(who rights.Asker, q PairRequest) (*Paired, error) {
	if err := h.checkNotExample(); err != nil {
		return nil, err
	}
	if err := h.checkDevice(rights.Asker{}, q.Device); err != nil {
		return nil, err
	}
	code, short := journal.ParseDigits(q.Code)
	if !short {
		var err error
		if code, err = journal.ParseCode(q.Code); err != nil {
			return nil, err
		}
	}
	hash, now := hashOf(code), h.system.Now()
	shared, err := h.batchByShareCode(hash, now)
	if err != nil {
		return nil, err
	}
	// A guess is told off before anything is locked for writing.
	if known := h.copyAccess(); shared == "" && known.findInvitation(hash, q.Device, short, now) == nil {
		return nil, errCode
	}
	out := &Paired{}
	err = h.changeAccess(func(w *factWriter, a *accessList) error {
		outs, err := w.countRevocations()
		if err != nil {
			return err
		}
		if i := a.findInvitation(hash, q.Device, short, now); i != nil && i.Revocations == outs {
			if i.SpentBy = q.Device; i.SpentAt == 0 {
				i.SpentAt = now
			}
			return w.admitOwner(a.findOrAdd(q.Device), q, out)
		}
		b, err := w.batchSummary(shared)
		if err != nil {
			return err
		}
		if !b.acceptsShareCode(hash, now) { // it was closed, or the invitation spent, this very moment
			return errCode
		}
		return w.admitHelper(who, a.findOrAdd(q.Device), q, shared, out)
	})
	if err != nil {
		return nil, err
	}
	known := h.copyAccess()
	out.You, err = h.askerFor(*known.findOrAdd(q.Device))
	return out, err
}

// acceptsShareCode says whether the code with that hash makes a helper of the batch now.
func (b batchSummary) acceptsShareCode(hash string, now zone.Instant) bool {
	return slices.ContainsFunc(b.shares, func(s batch.Share) bool { return s.Hash == hash && (s.Until == 0 || now < s.Until) })
}

// batchByShareCode gives the batch that the code with that hash opens to a helper, or none.
func (h *Hub) batchByShareCode(hash string, now zone.Instant) (journal.ID, error) {
	var scopes []journal.Scope
	err := h.journal.View(func(tx Tx) error {
		scopes = tx.Scopes()
		return nil
	})
	if err != nil {
		return "", err
	}
	for _, s := range scopes {
		id := s.Batch()
		if id == "" {
			continue
		}
		b, err := h.batchSummary(id)
		if err != nil {
			return "", err
		}
		if b.acceptsShareCode(hash, now) {
			return id, nil
		}
	}
	return "", nil
}

// admitOwner makes a phone the owner's. What made it a helper is taken back, so that it
// may take back what others wrote.
func (w *factWriter) admitOwner(c *credential, q PairRequest, out *Paired) error {
	err := w.withdrawFacts(journal.HouseScope, func(f journal.Fact) bool { return f.Kind == kindRevoked && f.Subject == q.Device })
	if err != nil {
		return err
	}
	batches, err := w.helperBatches(q.Device)
	if err != nil {
		return err
	}
	for _, id := range batches {
		err := w.withdrawFacts(journal.BatchScope(id), func(f journal.Fact) bool {
			return f.Kind == kindShareJoined && f.Subject == q.Device && f.Device == w.hub.ID
		})
		if err != nil {
			return err
		}
	}
	c.Role, c.Batches = rights.Owner, nil
	return w.completePairing(c, q, out)
}

// admitHelper makes a phone a helper of one batch. Who was let out by name is not let
// in by a code that still goes round. The id of a phone is no secret in a batch, so
// none becomes another phone by giving that one's id: an owner's phone shows by its
// token that it is itself, and a helper's that cannot keeps no other batch.
func (w *factWriter) admitHelper(who rights.Asker, c *credential, q PairRequest, id journal.ID, out *Paired) error {
	house, err := w.tx.Scope(journal.HouseScope)
	if err != nil {
		return err
	}
	if revokedIn(house)[q.Device] {
		return fault.New(fault.Refused, "this phone was let out").WithHint("the owner can let it in again, under Phones")
	}
	if who.Device != q.Device {
		theirs := c.Role == rights.Owner
		if _, joined := findLetter(house, q.Device); joined && c.Role == "" {
			helped, err := w.helperBatches(q.Device)
			if err != nil {
				return err
			}
			theirs = len(helped) == 0
		}
		if theirs {
			return fault.New(fault.Refused, "this phone is one of the owner's, and not paired now").
				WithHint("pair it with a code from another phone of the owner, or from `coldbatch pair`")
		}
		c.Batches = nil
	}
	out.Batch = id
	if c.Role != rights.Owner {
		c.Role = rights.Helper
		if !slices.Contains(c.Batches, id) {
			c.Batches = append(c.Batches, id)
		}
		b, err := w.batchSummary(id)
		if err != nil {
			return err
		}
		if !b.helpers[q.Device] {
			if err := w.writeFact(journal.BatchScope(id), q.Device, kindShareJoined, journal.DeviceNamed{Name: nameOrDefault(q.Name)}); err != nil {
				return err
			}
		}
	}
	return w.completePairing(c, q, out)
}

// helperBatches gives the batches that a phone ever joined as a helper, by their facts.
func (w *factWriter) helperBatches(device journal.ID) (batches []journal.ID, err error) {
	house, err := w.tx.Scope(journal.HouseScope)
	if err != nil {
		return nil, err
	}
	if _, joined := findLetter(house, device); !joined { // the hub writes both facts at once
		return nil, nil
	}
	for _, scope := range w.tx.Scopes() {
		if scope.Batch() == "" {
			continue
		}
		facts, err := w.tx.Scope(scope)
		if err != nil {
			return nil, err
		}
		if slices.ContainsFunc(facts, func(f journal.Fact) bool { return f.Kind == kindShareJoined && f.Subject == device }) {
			batches = append(batches, scope.Batch())
		}
	}
	return batches, nil
}

func (w *factWriter) completePairing(c *credential, q PairRequest, out *Paired) (err error) {
	out.Hub, out.Token = w.hub.Identity, w.hub.issueToken(c)
	out.Letter, err = w.ensureJoined(q.Device, q.Name)
	return err
}

// withdrawFacts withdraws the facts of a scope that hold and that is says.
func (w *factWriter) withdrawFacts(scope journal.Scope, is func(journal.Fact) bool) error {
	facts, err := w.tx.Scope(scope)
	if err != nil {
		return err
	}
	for _, f := range journal.Effective(facts, nil) {
		if !is(f) {
			continue
		}
		if err := w.writeFact(scope, f.Subject, journal.KindFactWithdrawn, journal.FactTarget{Target: f.ID}); err != nil {
			return err
		}
	}
	return nil
}

// nameOrDefault gives a phone's name, or a plain one.
func nameOrDefault(name string) string {
	if name = strings.TrimSpace(name); name == "" {
		return "phone"
	}
	return name
}
