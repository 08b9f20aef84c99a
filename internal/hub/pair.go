package hub

import (
	"context"
	"slices"
	"strings"

	"coldbatch/internal/api"
	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// The kinds of fact about access. An owner's phone writes kindRevoked, the hub
// kindHelperJoined.
const (
	kindRevoked      = journal.KindDeviceRevoked
	kindHelperJoined = journal.KindHelperJoined
)

// errInvalidCode answers every code that pairs nobody, whatever is wrong with it.
var errInvalidCode = fault.New(fault.Refused, "this code is mistyped, used or expired").
	WithHint("get a new one: on a paired phone under This phone, or with `coldbatch pair` on the computer")

// Pair pairs a phone by its code: as one of the owner's, or as a helper of one batch.
// A phone that asks again, because the answer was lost, is paired again.
func (h *Hub) Pair(ctx context.Context, who rights.Asker, q api.PairRequest) (*api.PairAnswer, error) {
	if err := h.checkNotExample(); err != nil {
		return nil, err
	}
	if err := h.checkDevice(rights.Asker{}, q.Device); err != nil {
		return nil, err
	}
	code, isDigits := journal.ParseDigits(q.Code)
	if !isDigits {
		var err error
		if code, err = journal.ParseCode(q.Code); err != nil {
			return nil, err
		}
	}
	hash, now := hashOf(code), h.system.Now()
	sharedBatch, err := h.batchByShareCode(ctx, hash, h.latestTime())
	if err != nil {
		return nil, err
	}
	// A wrong guess is refused before it waits for the lock to write.
	if a := h.copyAccess(); sharedBatch == "" && a.findInvitation(hash, q.Device, isDigits, now) == nil {
		return nil, errInvalidCode
	}
	paired := &api.PairAnswer{}
	err = h.changeAccess(ctx, func(w *factWriter, a *accessList) error {
		revocations, err := w.countRevocations()
		if err != nil {
			return err
		}
		if i := a.findInvitation(hash, q.Device, isDigits, now); i != nil && i.Revocations == revocations {
			if i.SpentBy = q.Device; i.SpentAt == 0 {
				i.SpentAt = now
			}
			return w.admitOwner(a.findOrAdd(q.Device), q, paired)
		}
		b, err := w.batchSummary(sharedBatch)
		if err != nil {
			return err
		}
		if !b.acceptsShareCode(hash, w.latestTime) { // the sharing ended, or the invitation was used, meanwhile
			return errInvalidCode
		}
		if err := h.checkPutBack(); err != nil {
			return err
		}
		return w.admitHelper(who, a.findOrAdd(q.Device), q, sharedBatch, paired)
	})
	if err != nil {
		return nil, err
	}
	if paired.Batch == "" { // an owner's phone
		h.notePutBackEnded()
	}
	a := h.copyAccess()
	paired.Asker, err = h.askerFor(ctx, *a.findOrAdd(q.Device))
	return paired, err
}

// acceptsShareCode says whether the code with that hash makes a phone a helper of the
// batch now.
func (b batchSummary) acceptsShareCode(hash string, now zone.Instant) bool {
	return slices.ContainsFunc(b.shares, func(s batch.ShareCode) bool { return s.Hash == hash && (s.Until == 0 || now < s.Until) })
}

// batchByShareCode returns the batch that the share code with that hash opens, or "".
func (h *Hub) batchByShareCode(ctx context.Context, hash string, now zone.Instant) (journal.ID, error) {
	var scopes []journal.Scope
	err := h.viewJournal(ctx, func(tx Tx) error {
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
		b, err := h.batchSummary(ctx, id)
		if err != nil {
			return "", err
		}
		if b.acceptsShareCode(hash, now) {
			return id, nil
		}
	}
	return "", nil
}

// admitOwner makes a phone one of the owner's. It withdraws its revocation and what
// made it a helper, so that it may undo what others wrote.
func (w *factWriter) admitOwner(c *credential, q api.PairRequest, paired *api.PairAnswer) error {
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
			return f.Kind == kindHelperJoined && f.Subject == q.Device && f.Device == w.hub.ID
		})
		if err != nil {
			return err
		}
	}
	c.Role, c.Batches = rights.Owner, nil
	if err := w.endPutBack(); err != nil {
		return err
	}
	return w.completePairing(c, q, paired)
}

var errOwnersPhone = fault.New(fault.Refused, "this phone is one of the owner's and is not paired now").
	WithHint("pair it with a code from another phone of the owner, or from `coldbatch pair`")

// errTooManyHelpers says that a batch has as many helpers as it may.
func errTooManyHelpers(n int) error {
	return fault.New(fault.Conflict, "this batch already has %d helpers, the most allowed", n).
		WithHint("the owner can stop sharing and share it again, or allow more: `coldbatch limits --helpers %d` on the computer", 2*n)
}

// admitHelper makes a phone a helper of one batch. A share code does not readmit a
// revoked phone. Every phone of a batch knows the ids of the others, so a phone that was
// paired before must show its token. One that was just paired and has not exchanged since
// may have lost the answer with its token: for a while it gets a new token, for this batch
// alone.
func (w *factWriter) admitHelper(who rights.Asker, c *credential, q api.PairRequest, id journal.ID, paired *api.PairAnswer) error {
	houseFacts, err := w.tx.Scope(journal.HouseScope)
	if err != nil {
		return err
	}
	if revokedIn(houseFacts)[q.Device] {
		return fault.New(fault.Refused, "this phone was removed").WithHint("the owner can pair it again, under Phones")
	}
	if who.Device != q.Device {
		isOwners := c.Role == rights.Owner
		if _, joined := findLetter(houseFacts, q.Device); joined && c.Role == "" {
			batches, err := w.helperBatches(q.Device)
			if err != nil {
				return err
			}
			isOwners = len(batches) == 0
		}
		if isOwners {
			return errOwnersPhone
		}
		if now := w.author.Now; c.TokenHash != "" && (c.LastSeen > c.PairedAt || now < c.PairedAt || now.Sub(c.PairedAt) >= digitsLifetime) {
			return fault.New(fault.Refused, "a phone with this id is paired, and this is not its token").
				WithHint("delete what this browser stores of the app and join again, as a new phone")
		}
		c.Batches = nil
	}
	if who.Device == q.Device || c.TokenHash == "" {
		c.PairedAt = w.author.Now
	}
	paired.Batch = id
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
			limits, err := readLimits(w.tx)
			if err != nil {
				return err
			}
			if len(b.helpers) >= limits.HelperCount {
				return errTooManyHelpers(limits.HelperCount)
			}
			if c.TokenHash == "" { // no phone that is known
				if wrote, err := w.hasWrittenAsOwner(q.Device, id); err != nil {
					return err
				} else if wrote {
					return errOwnersPhone
				}
			}
			if err := w.writeFact(journal.BatchScope(id), q.Device, kindHelperJoined, journal.DeviceNamed{Name: nameOrDefault(q.Name)}); err != nil {
				return err
			}
		}
	}
	return w.completePairing(c, q, paired)
}

// hasWrittenAsOwner says whether a device wrote what only an owner's phone or a hub writes: in the house, on
// the shelf, or in a batch that it never joined as a helper. So the browser at this computer, which is never
// paired, and the hub of an earlier computer are known by what they wrote. It looks first into the batch whose
// code was given, where a helper sees such ids.
func (w *factWriter) hasWrittenAsOwner(device, batch journal.ID) (bool, error) {
	for _, scope := range append([]journal.Scope{journal.BatchScope(batch)}, w.tx.Scopes()...) {
		if kind, _ := scope.Split(); kind == "place" { // where helpers write too
			continue
		}
		facts, err := w.tx.Scope(scope)
		if err != nil {
			return false, err
		}
		wrote, joined := false, false
		for _, f := range facts {
			wrote = wrote || f.Device == device
			joined = joined || f.Kind == kindHelperJoined && f.Subject == device
		}
		if wrote && !joined {
			return true, nil
		}
	}
	return false, nil
}

// helperBatches returns the batches that a phone ever joined as a helper, according to
// the facts.
func (w *factWriter) helperBatches(device journal.ID) (batches []journal.ID, err error) {
	houseFacts, err := w.tx.Scope(journal.HouseScope)
	if err != nil {
		return nil, err
	}
	if _, joined := findLetter(houseFacts, device); !joined { // the hub writes both facts at once
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
		if slices.ContainsFunc(facts, func(f journal.Fact) bool { return f.Kind == kindHelperJoined && f.Subject == device }) {
			batches = append(batches, scope.Batch())
		}
	}
	return batches, nil
}

// completePairing issues a token, and a letter to a phone of the owner's, and fills in
// paired.
func (w *factWriter) completePairing(c *credential, q api.PairRequest, paired *api.PairAnswer) (err error) {
	paired.Hub, paired.Token = w.hub.Identity, w.hub.issueToken(c)
	paired.Letter, err = w.ensureJoined(q.Device, q.Name, c.Role == rights.Owner)
	return err
}

// withdrawFacts withdraws the facts of a scope that match, where they are in effect.
func (w *factWriter) withdrawFacts(scope journal.Scope, match func(journal.Fact) bool) error {
	facts, err := w.tx.Scope(scope)
	if err != nil {
		return err
	}
	for _, f := range journal.Effective(facts, nil) {
		if !match(f) {
			continue
		}
		if err := w.writeFact(scope, f.Subject, journal.KindFactWithdrawn, journal.FactTarget{Target: f.ID}); err != nil {
			return err
		}
	}
	return nil
}

// nameOrDefault returns a phone's name without hidden characters, or "phone" where it has none.
func nameOrDefault(name string) string {
	if name = strings.TrimSpace(journal.PlainText(name)); name == "" {
		return "phone"
	}
	return name
}
