package hub

import (
	"context"
	"encoding/binary"
	"fmt"
	"strings"

	"coldbatch/internal/api"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// Lifetimes of an invitation. The digits are short, so they expire soon. The phone that
// used an invitation may use it again for digitsLifetime: the answer may have been lost.
const (
	linkLifetime   = zone.Day
	digitsLifetime = 10 * zone.Minute
)

// maxInvitations bounds the open invitations: each makes a code easier to guess.
const maxInvitations = 20

// invitation pairs one phone of the owner: by a long code, which a link contains, or
// by eight digits to type.
type invitation struct {
	Code        string       `json:"code"`   // hash
	Digits      string       `json:"digits"` // hash
	CreatedAt   zone.Instant `json:"made"`
	Revocations int          `json:"outs,omitempty"` // how many there had been by then
	SpentBy     journal.ID   `json:"by,omitempty"`   // the phone that used it
	SpentAt     zone.Instant `json:"spent,omitempty"`
}

// canPair says whether the invitation pairs device now, by its digits or by its link.
// Once used it is valid only for the phone that used it, until that phone has
// exchanged: then it has its token.
func (i invitation) canPair(device journal.ID, lastSeen zone.Instant, byDigits bool, now zone.Instant) bool {
	from, lifetime := i.CreatedAt, linkLifetime
	if byDigits {
		lifetime = digitsLifetime
	}
	if i.SpentAt != 0 {
		from, lifetime = i.SpentAt, digitsLifetime
		if i.SpentBy != device || lastSeen > i.SpentAt {
			return false
		}
	}
	return now >= from && now.Sub(from) < lifetime
}

// Invite makes an invitation for another phone of an owner. Its link is valid for a
// day and its digits for ten minutes; one phone uses up both. Revoking any phone ends
// it, because that phone may have made or read it.
func (h *Hub) Invite(ctx context.Context, who rights.Asker) (*api.Invitation, error) {
	if err := h.checkNotExample(); err != nil {
		return nil, err
	}
	if err := checkAct(who, rights.ManageHouse); err != nil {
		return nil, err
	}
	var random [10]byte
	h.system.Random(random[:])
	shown := journal.NewCode(random)
	code := strings.ReplaceAll(shown, "-", "")
	digits, err := h.drawDigits()
	if err != nil {
		return nil, err
	}
	now := h.system.Now()
	err = h.changeAccess(ctx, func(w *factWriter, a *accessList) error {
		revocations, err := w.countRevocations()
		a.Invitations = append(unexpiredInvitations(a.Invitations, now), invitation{Code: hashOf(code), Digits: hashOf(digits), CreatedAt: now, Revocations: revocations})
		return err
	})
	return &api.Invitation{
		Code: code, GroupedCode: shown, Digits: digits[:4] + " " + digits[4:], DigitsExpireAt: now.Add(digitsLifetime),
		Address: strings.ToUpper(fmt.Sprintf("https://%s:%d/join/%s", h.Host, h.HTTPSPort, code)),
	}, err
}

// drawDigits draws eight digits, each combination as likely as any other.
func (h *Hub) drawDigits() (string, error) {
	for range 100 {
		var b [4]byte
		h.system.Random(b[:])
		// The first 42·10⁸ of the 2³² numbers are used, a multiple of 10⁸, so that the
		// remainder is uniform.
		if n := binary.BigEndian.Uint32(b[:]); n < 42e8 {
			return fmt.Sprintf("%08d", n%1e8), nil
		}
	}
	return "", fault.New(fault.Internal, "could not generate a code")
}

// countRevocations counts how often a phone was revoked, undone since or not.
func (w *factWriter) countRevocations() (n int, err error) {
	facts, err := w.tx.Scope(journal.HouseScope)
	for _, f := range facts {
		if f.Kind == kindRevoked {
			n++
		}
	}
	return n, err
}

// unexpiredInvitations returns the invitations that have not expired, without the oldest where
// there would be no room for one more. One from the future, as after the hub's clock
// was set back, counts as expired.
func unexpiredInvitations(list []invitation, now zone.Instant) []invitation {
	var kept []invitation
	for _, i := range list {
		if age := now.Sub(max(i.CreatedAt, i.SpentAt)); age > -digitsLifetime && age < linkLifetime {
			kept = append(kept, i)
		}
	}
	return kept[max(0, len(kept)-maxInvitations+1):]
}

// findInvitation returns the invitation with that hash that is valid for device, or
// nil.
func (a *accessList) findInvitation(hash string, device journal.ID, byDigits bool, now zone.Instant) *invitation {
	var lastSeen zone.Instant
	if c := a.find(device); c != nil {
		lastSeen = c.LastSeen
	}
	for n := range a.Invitations {
		i := &a.Invitations[n]
		if (byDigits && i.Digits == hash || !byDigits && i.Code == hash) && i.canPair(device, lastSeen, byDigits, now) {
			return i
		}
	}
	return nil
}
