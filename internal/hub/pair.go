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
	kindOut    = "device.revoked"
	kindHelps  = "share.joined"
	shareKinds = "share." // how all begin that say who helps
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
