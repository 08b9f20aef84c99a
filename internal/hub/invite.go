package hub

import (
	"encoding/binary"
	"fmt"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// How long an invitation is good. The digits are short, so their time is too. The
// phone that spent one may ask again for as long: its answer may have been lost.
const (
	linkLifetime   = zone.Day
	digitsLifetime = 10 * zone.Minute
)

// maxInvitations is how many can be open at a time: each makes a code easier to
// guess.
const maxInvitations = 20

// invitation lets one owner's phone in: by a long code, which stands in a link, or
// by eight digits that are typed.
type invitation struct {
	Code        string       `json:"code"`   // hash
	Digits      string       `json:"digits"` // hash
	CreatedAt   zone.Instant `json:"made"`
	Revocations int          `json:"outs,omitempty"` // how often a phone had been let out by then
	SpentBy     journal.ID   `json:"by,omitempty"`   // the phone that spent it
	SpentAt     zone.Instant `json:"spent,omitempty"`
}

// validFor says whether the invitation lets device in now, by its link or by its
// digits. One that is spent does so only as long as the phone that spent it was
// not seen to have its token.
func (i invitation) validFor(device journal.ID, seen zone.Instant, digits bool, now zone.Instant) bool {
	from, long := i.CreatedAt, linkLifetime
	if digits {
		long = digitsLifetime
	}
	if i.SpentAt != 0 {
		from, long = i.SpentAt, digitsLifetime
		if i.SpentBy != device || seen > i.SpentAt {
			return false
		}
	}
	return now >= from && now.Sub(from) < long
}

// Invitation is shown to whoever brings a phone in, once.
type Invitation struct {
	Code    string       `json:"code"`    // as the link bears it
	Shown   string       `json:"shown"`   // the same, to read
	Digits  string       `json:"digits"`  // "1234 5678"
	Until   zone.Instant `json:"until"`   // of the digits
	Address string       `json:"address"` // of the app, with the code; in capitals, as a QR code has it
}

// Invite makes an invitation for another phone of an owner. The link is good for a
// day and the digits for ten minutes; one phone spends both. Where a phone is let
// out meanwhile they are good no more: it may have made or read them.
func (h *Hub) Invite(who rights.Asker) (*Invitation, error) {
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
	err = h.changeAccess(func(w *factWriter, a *accessList) error {
		outs, err := w.countRevocations()
		a.Invitations = append(unexpired(a.Invitations, now), invitation{Code: hashOf(code), Digits: hashOf(digits), CreatedAt: now, Revocations: outs})
		return err
	})
	return &Invitation{
		Code: code, Shown: shown, Digits: digits[:4] + " " + digits[4:], Until: now.Add(digitsLifetime),
		Address: strings.ToUpper(fmt.Sprintf("https://%s:%d/join/%s", h.Host, h.HTTPS, code)),
	}, err
}

// drawDigits draws eight of them, each number as likely as any other.
func (h *Hub) drawDigits() (string, error) {
	for range 100 {
		var b [4]byte
		h.system.Random(b[:])
		// Of 2³² numbers the first 42·10⁸ are taken, so that the remainder is even.
		if n := binary.BigEndian.Uint32(b[:]); n < 42e8 {
			return fmt.Sprintf("%08d", n%1e8), nil
		}
	}
	return "", fault.New(fault.Internal, "no code could be drawn")
}

// countRevocations gives how often a phone was let out, taken back since or not.
func (w *factWriter) countRevocations() (n int, err error) {
	facts, err := w.tx.Scope(journal.HouseScope)
	for _, f := range facts {
		if f.Kind == kindRevoked {
			n++
		}
	}
	return n, err
}

// unexpired leaves out invitations whose time is over, or comes once more since the clock
// of the hub was set back, and makes room for one more.
func unexpired(list []invitation, now zone.Instant) []invitation {
	var out []invitation
	for _, i := range list {
		if age := now.Sub(max(i.CreatedAt, i.SpentAt)); age > -digitsLifetime && age < linkLifetime {
			out = append(out, i)
		}
	}
	return out[max(0, len(out)-maxInvitations+1):]
}

// findInvitation gives the invitation that lets device in by the code with that hash, or
// nil.
func (a *accessList) findInvitation(hash string, device journal.ID, digits bool, now zone.Instant) *invitation {
	var seen zone.Instant
	if c := a.find(device); c != nil {
		seen = c.LastSeen
	}
	for n := range a.Invitations {
		i := &a.Invitations[n]
		if (digits && i.Digits == hash || !digits && i.Code == hash) && i.validFor(device, seen, digits, now) {
			return i
		}
	}
	return nil
}
