package hub

import (
	"encoding/binary"
	"fmt"
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
	kindOut    = "device.revoked"
	kindHelps  = "share.joined"
	shareKinds = "share." // how all begin that say who helps
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
	if err := h.ours(); err != nil {
		return nil, err
	}
	if err := h.phone(rights.Asker{}, q.Device); err != nil {
		return nil, err
	}
	code, short := journal.ReadDigits(q.Code)
	if !short {
		var err error
		if code, err = journal.ReadCode(q.Code); err != nil {
			return nil, err
		}
	}
	hash, now := hashOf(code), h.world.Now()
	shared, err := h.sharedBy(hash, now)
	if err != nil {
		return nil, err
	}
	// A guess is told off before anything is locked for writing.
	if known := h.known(); shared == "" && known.invites(hash, q.Device, short, now) == nil {
		return nil, errCode
	}
	out := &Paired{}
	err = h.change(func(p *pen, a *access) error {
		outs, err := p.outs()
		if err != nil {
			return err
		}
		if i := a.invites(hash, q.Device, short, now); i != nil && i.Outs == outs {
			if i.By = q.Device; i.Spent == 0 {
				i.Spent = now
			}
			return p.letIn(a.of(q.Device), q, out)
		}
		b, err := p.brief(shared)
		if err != nil {
			return err
		}
		if !b.opens(hash, now) { // it was closed, or the invitation spent, this very moment
			return errCode
		}
		return p.letHelp(who, a.of(q.Device), q, shared, out)
	})
	if err != nil {
		return nil, err
	}
	known := h.known()
	out.You, err = h.asker(*known.of(q.Device))
	return out, err
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

// opens says whether the code with that hash makes a helper of the batch now.
func (b brief) opens(hash string, now zone.Instant) bool {
	return slices.ContainsFunc(b.shares, func(s batch.Share) bool { return s.Hash == hash && (s.Until == 0 || now < s.Until) })
}

// sharedBy gives the batch that the code with that hash opens to a helper, or none.
func (h *Hub) sharedBy(hash string, now zone.Instant) (journal.ID, error) {
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
		b, err := h.brief(id)
		if err != nil {
			return "", err
		}
		if b.opens(hash, now) {
			return id, nil
		}
	}
	return "", nil
}

// letIn makes a phone the owner's. What made it a helper is taken back, so that it
// may take back what others wrote.
func (p *pen) letIn(c *credential, q PairRequest, out *Paired) error {
	err := p.takeBack(journal.House, func(f journal.Fact) bool { return f.Kind == kindOut && f.Subject == q.Device })
	if err != nil {
		return err
	}
	batches, err := p.helped(q.Device)
	if err != nil {
		return err
	}
	for _, id := range batches {
		err := p.takeBack(journal.BatchScope(id), func(f journal.Fact) bool {
			return f.Kind == kindHelps && f.Subject == q.Device && f.Device == p.hub.ID
		})
		if err != nil {
			return err
		}
	}
	c.Role, c.Batches = rights.Owner, nil
	return p.welcome(c, q, out)
}

// letHelp makes a phone a helper of one batch. Who was let out by name is not let
// in by a code that still goes round. The id of a phone is no secret in a batch, so
// none becomes another phone by giving that one's id: an owner's phone shows by its
// token that it is itself, and a helper's that cannot keeps no other batch.
func (p *pen) letHelp(who rights.Asker, c *credential, q PairRequest, id journal.ID, out *Paired) error {
	house, err := p.tx.Scope(journal.House)
	if err != nil {
		return err
	}
	if outOf(house)[q.Device] {
		return fault.New(fault.Refused, "this phone was let out").WithHint("the owner can let it in again, under Phones")
	}
	if who.Device != q.Device {
		theirs := c.Role == rights.Owner
		if _, joined := letterOf(house, q.Device); joined && c.Role == "" {
			helped, err := p.helped(q.Device)
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
		b, err := p.brief(id)
		if err != nil {
			return err
		}
		if !b.helpers[q.Device] {
			if err := p.write(journal.BatchScope(id), q.Device, kindHelps, journal.DeviceNamed{Name: nameOr(q.Name)}); err != nil {
				return err
			}
		}
	}
	return p.welcome(c, q, out)
}

// helped gives the batches that a phone ever joined as a helper, by their facts.
func (p *pen) helped(device journal.ID) (batches []journal.ID, err error) {
	house, err := p.tx.Scope(journal.House)
	if err != nil {
		return nil, err
	}
	if _, joined := letterOf(house, device); !joined { // the hub writes both facts at once
		return nil, nil
	}
	for _, scope := range p.tx.Scopes() {
		if scope.Batch() == "" {
			continue
		}
		facts, err := p.tx.Scope(scope)
		if err != nil {
			return nil, err
		}
		if slices.ContainsFunc(facts, func(f journal.Fact) bool { return f.Kind == kindHelps && f.Subject == device }) {
			batches = append(batches, scope.Batch())
		}
	}
	return batches, nil
}

func (p *pen) welcome(c *credential, q PairRequest, out *Paired) (err error) {
	out.Hub, out.Token = p.hub.Identity, p.hub.token(c)
	out.Letter, err = p.join(q.Device, q.Name)
	return err
}

// takeBack withdraws the facts of a scope that hold and that is says.
func (p *pen) takeBack(scope journal.Scope, is func(journal.Fact) bool) error {
	facts, err := p.tx.Scope(scope)
	if err != nil {
		return err
	}
	for _, f := range journal.Live(facts, nil) {
		if !is(f) {
			continue
		}
		if err := p.write(scope, f.Subject, journal.KindWithdrawn, journal.Target{Target: f.ID}); err != nil {
			return err
		}
	}
	return nil
}

// nameOr gives a phone's name, or a plain one.
func nameOr(name string) string {
	if name = strings.TrimSpace(name); name == "" {
		return "phone"
	}
	return name
}
