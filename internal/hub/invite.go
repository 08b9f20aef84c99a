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
	linkGood   = zone.Day
	digitsGood = 10 * zone.Minute
)

// maxInvitations is how many can be open at a time: each makes a code easier to
// guess.
const maxInvitations = 20

// invitation lets one owner's phone in: by a long code, which stands in a link, or
// by eight digits that are typed.
type invitation struct {
	Code   string       `json:"code"`   // hash
	Digits string       `json:"digits"` // hash
	Made   zone.Instant `json:"made"`
	Outs   int          `json:"outs,omitempty"` // how often a phone had been let out by then
	By     journal.ID   `json:"by,omitempty"`   // the phone that spent it
	Spent  zone.Instant `json:"spent,omitempty"`
}

// good says whether the invitation lets device in now, by its link or by its
// digits. One that is spent does so only as long as the phone that spent it was
// not seen to have its token.
func (i invitation) good(device journal.ID, seen zone.Instant, digits bool, now zone.Instant) bool {
	from, long := i.Made, linkGood
	if digits {
		long = digitsGood
	}
	if i.Spent != 0 {
		from, long = i.Spent, digitsGood
		if i.By != device || seen > i.Spent {
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
	if err := h.ours(); err != nil {
		return nil, err
	}
	if err := may(who, rights.RunHouse); err != nil {
		return nil, err
	}
	var random [10]byte
	h.world.Random(random[:])
	shown := journal.NewCode(random)
	code := strings.ReplaceAll(shown, "-", "")
	digits, err := h.digits()
	if err != nil {
		return nil, err
	}
	now := h.world.Now()
	err = h.change(func(p *pen, a *access) error {
		outs, err := p.outs()
		a.Invitations = append(live(a.Invitations, now), invitation{Code: hashOf(code), Digits: hashOf(digits), Made: now, Outs: outs})
		return err
	})
	return &Invitation{
		Code: code, Shown: shown, Digits: digits[:4] + " " + digits[4:], Until: now.Add(digitsGood),
		Address: strings.ToUpper(fmt.Sprintf("https://%s:%d/join/%s", h.Host, h.HTTPS, code)),
	}, err
}

// digits draws eight of them, each number as likely as any other.
func (h *Hub) digits() (string, error) {
	for range 100 {
		var b [4]byte
		h.world.Random(b[:])
		// Of 2³² numbers the first 42·10⁸ are taken, so that the remainder is even.
		if n := binary.BigEndian.Uint32(b[:]); n < 42e8 {
			return fmt.Sprintf("%08d", n%1e8), nil
		}
	}
	return "", fault.New(fault.Internal, "no code could be drawn")
}

// outs gives how often a phone was let out, taken back since or not.
func (p *pen) outs() (n int, err error) {
	facts, err := p.tx.Scope(journal.House)
	for _, f := range facts {
		if f.Kind == kindOut {
			n++
		}
	}
	return n, err
}

// live leaves out invitations whose time is over, or comes once more since the clock
// of the hub was set back, and makes room for one more.
func live(list []invitation, now zone.Instant) []invitation {
	var out []invitation
	for _, i := range list {
		if age := now.Sub(max(i.Made, i.Spent)); age > -digitsGood && age < linkGood {
			out = append(out, i)
		}
	}
	return out[max(0, len(out)-maxInvitations+1):]
}

// invites gives the invitation that lets device in by the code with that hash, or
// nil.
func (a *access) invites(hash string, device journal.ID, digits bool, now zone.Instant) *invitation {
	var seen zone.Instant
	if c := a.find(device); c != nil {
		seen = c.Seen
	}
	for n := range a.Invitations {
		i := &a.Invitations[n]
		if (digits && i.Digits == hash || !digits && i.Code == hash) && i.good(device, seen, digits, now) {
			return i
		}
	}
	return nil
}
