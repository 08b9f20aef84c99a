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
	kindOut   = "device.revoked"
	kindHelps = "share.joined"
)

// How long an invitation is good. The digits are short, so their time is too. The
// phone that spent one may ask again for as long: its answer may have been lost.
const (
	linkGood   = zone.Day
	digitsGood = 10 * zone.Minute
)

// invitation lets one owner's phone in: by a long code, which stands in a link, or
// by eight digits that are typed.
type invitation struct {
	Code   string       `json:"code"`   // hash
	Digits string       `json:"digits"` // hash
	Made   zone.Instant `json:"made"`
	By     journal.ID   `json:"by,omitempty"` // the phone that spent it
	Spent  zone.Instant `json:"spent,omitempty"`
}

// good says whether the invitation lets device in now, by its link or by its
// digits.
func (i invitation) good(device journal.ID, digits bool, now zone.Instant) bool {
	from, long := i.Made, linkGood
	if digits {
		long = digitsGood
	}
	if i.Spent != 0 {
		from, long = i.Spent, digitsGood
		if i.By != device {
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
// day and the digits for ten minutes; one phone spends both.
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
	err = h.change(func(_ *pen, a *access) error {
		a.Invitations = append(live(a.Invitations, now), invitation{Code: hashOf(code), Digits: hashOf(digits), Made: now})
		return nil
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

// live leaves out invitations whose time is over.
func live(list []invitation, now zone.Instant) []invitation {
	var out []invitation
	for _, i := range list {
		if from := max(i.Made, i.Spent); now.Sub(from) < linkGood {
			out = append(out, i)
		}
	}
	return out
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
func (h *Hub) Pair(_ rights.Asker, q PairRequest) (*Paired, error) {
	if err := h.ours(); err != nil {
		return nil, err
	}
	if err := q.Device.Check("device"); err != nil {
		return nil, err
	}
	digits, short := journal.ReadDigits(q.Code)
	code := digits
	if !short {
		var err error
		if code, err = journal.ReadCode(q.Code); err != nil {
			return nil, err
		}
	}
	hash, now := hashOf(code), h.world.Now()
	out := &Paired{}
	err := h.change(func(p *pen, a *access) (err error) {
		c := a.of(q.Device)
		for n, i := range a.Invitations {
			if (short && i.Digits == hash || !short && i.Code == hash) && i.good(q.Device, short, now) {
				a.Invitations[n].By, a.Invitations[n].Spent = q.Device, now
				if i.Spent != 0 {
					a.Invitations[n].Spent = i.Spent
				}
				return h.letIn(p, c, q, out)
			}
		}
		if short {
			return errCode
		}
		s, err := sharedBy(p.tx, hash, now)
		if err != nil {
			return err
		}
		return h.letHelp(p, c, q, s, out)
	})
	if err != nil {
		return nil, err
	}
	c := h.known()
	out.You, err = h.asker(*c.of(q.Device))
	return out, err
}

// letIn makes a phone the owner's.
func (h *Hub) letIn(p *pen, c *credential, q PairRequest, out *Paired) (err error) {
	if err := p.takeBack(journal.House, func(f journal.Fact) bool { return f.Kind == kindOut && f.Subject == q.Device }); err != nil {
		return err
	}
	for _, id := range c.Batches { // it is a helper no more
		if err := p.takeBack(journal.BatchScope(id), func(f journal.Fact) bool { return f.Kind == kindHelps && f.Subject == q.Device }); err != nil {
			return err
		}
	}
	c.Role, c.Batches = rights.Owner, nil
	return h.welcome(p, c, q, out)
}

// letHelp makes a phone a helper of one batch. Who was let out by name is not let
// in by a code that still goes round.
func (h *Hub) letHelp(p *pen, c *credential, q PairRequest, s batch.State, out *Paired) error {
	house, err := p.tx.Scope(journal.House)
	if err != nil {
		return err
	}
	for _, f := range journal.Live(house, nil) {
		if f.Kind == kindOut && f.Subject == q.Device {
			return fault.New(fault.Refused, "this phone was let out").WithHint("the owner can let it in again, under Phones")
		}
	}
	out.Batch = s.ID
	if c.Role != rights.Owner {
		c.Role = rights.Helper
		if !slices.Contains(c.Batches, s.ID) {
			c.Batches = append(c.Batches, s.ID)
		}
		in := slices.ContainsFunc(s.Helpers, func(x batch.Helper) bool { return x.Device == q.Device })
		if !in {
			if err := p.write(journal.BatchScope(s.ID), q.Device, kindHelps, journal.DeviceNamed{Name: nameOr(q.Name)}); err != nil {
				return err
			}
		}
	}
	return h.welcome(p, c, q, out)
}

func (h *Hub) welcome(p *pen, c *credential, q PairRequest, out *Paired) (err error) {
	out.Hub, out.Token = h.Identity, h.token(c)
	out.Letter, err = p.join(q.Device, q.Name)
	return err
}

// sharedBy gives the batch that the code with that hash opens to a helper.
func sharedBy(tx Tx, hash string, now zone.Instant) (batch.State, error) {
	for _, scope := range tx.Scopes() {
		id := scope.Batch()
		if id == "" {
			continue
		}
		s, err := state(tx, id)
		if err != nil {
			return s, err
		}
		for _, c := range s.Shares {
			if c.Hash == hash && (c.Until == 0 || now < c.Until) {
				return s, nil
			}
		}
	}
	return batch.State{}, errCode
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
