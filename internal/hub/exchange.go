package hub

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"slices"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// errWrites ends a transaction that reads when there turns out to be something
// to write.
var errWrites = errors.New("there is something to write")

// Exchange takes a phone's facts and gives it those it does not have, of what it
// may see. It may be repeated at will: a fact that is known is acknowledged and
// not kept twice. All of it is one transaction, and one that brings nothing costs
// no sync of the disk.
func (h *Hub) Exchange(who rights.Asker, q exchange.Request) (*exchange.Answer, error) {
	if err := h.ours(); err != nil {
		return nil, err
	}
	if err := q.Device.Check("device"); err != nil {
		return nil, err
	}
	if len(q.Facts) > exchange.MaxFacts || len(q.Lease) > exchange.MaxLease {
		return nil, fault.New(fault.Input, "an exchange takes %d facts and %d leases, not %d and %d", exchange.MaxFacts, exchange.MaxLease, len(q.Facts), len(q.Lease)).
			WithHint("send the rest in the next one")
	}
	if who.Device != "" && who.Device != q.Device {
		return nil, fault.New(fault.Refused, "this is not the phone that was paired").WithHint("pair it with a code of its own")
	}
	if who.Out {
		return nil, h.hold(who, q.Facts)
	}
	if err := may(who, rights.SeeBatch); err != nil {
		return nil, err
	}
	facts, refused := sort(who, q)
	a := &exchange.Answer{}
	run := func(p *pen, writing bool) error {
		*a = exchange.Answer{Hub: exchange.Who{ID: h.ID}, Acks: []journal.ID{}, Refused: slices.Clone(refused), Facts: []journal.Fact{}, Now: p.author.Now}
		writers := writersOf(facts)
		for _, f := range facts {
			if err := mayTakeBack(p.tx, who, f, writers); err != nil {
				a.Refused = append(a.Refused, refusal(f.ID, err))
				continue
			}
			if err := p.take(f); err != nil {
				return err
			}
			a.Acks = append(a.Acks, f.ID)
		}
		blocks, err := h.short(p.tx, q, who)
		if err != nil {
			return err
		}
		for id, block := range blocks {
			if !writing {
				return errWrites
			}
			if err := p.write(journal.BatchScope(id), id, journal.KindLeased, block); err != nil {
				return err
			}
		}
		sees, err := viewOf(p.tx, who)
		if err != nil {
			return err
		}
		return read(a, p.tx, q.Cursor, sees)
	}
	// What is acknowledged goes through a transaction that writes, also where all
	// of it is known: one that reads may see what is not yet on the disk.
	now := h.world.Now()
	var wrote uint64
	err := errWrites
	if len(facts) == 0 {
		err = h.journal.View(func(tx Tx) error { return run(h.pen(tx, now), false) })
	}
	if errors.Is(err, errWrites) {
		var p *pen
		if p, err = h.write(now, func(p *pen) error { return run(p, true) }); err == nil {
			wrote = p.seq
		}
	}
	if err != nil {
		return nil, err
	}
	h.mu.Lock()
	h.seen[q.Device] = now
	h.mu.Unlock()
	h.hint(wrote)
	return a, nil
}

// sort reads the facts of a request one by one, so that one that does not read,
// or that the phone may not write, does not hold up the others.
func sort(who rights.Asker, q exchange.Request) (good []journal.Fact, refused []exchange.Refusal) {
	joined := func(s journal.Scope) bool { return slices.Contains(who.Batches, s.Batch()) }
	refused = []exchange.Refusal{}
	for _, text := range q.Facts {
		var f journal.Fact
		err := json.Unmarshal(text, &f)
		switch {
		case err != nil:
		case f.Device == q.Device:
			err = rights.Write(who.Role, f, joined)
		default: // the hub may have lost what others wrote
			err = rights.Pass(who.Role, f, joined)
		}
		if err == nil {
			good = append(good, f)
			continue
		}
		var head struct {
			ID journal.ID `json:"id"`
		}
		_ = json.Unmarshal(text, &head) // without an id it is refused all the same
		refused = append(refused, refusal(head.ID, err))
	}
	return good, refused
}

func refusal(id journal.ID, err error) exchange.Refusal {
	told := fault.Of(err)
	if told.Code == fault.Internal {
		told = fault.New(fault.Input, "this is not a fact")
	}
	return exchange.Refusal{ID: id, Code: told.Code, Sentence: told.Error()}
}

// writersOf gives who wrote each of the facts.
func writersOf(facts []journal.Fact) map[journal.ID]journal.ID {
	m := make(map[journal.ID]journal.ID, len(facts))
	for _, f := range facts {
		m[f.ID] = f.Device
	}
	return m
}

// mayTakeBack returns a fault where a helper takes back, or brings back, what
// another wrote. A target that is not known yet is another phone's to bring, and
// what the helper said of it holds nothing in a batch.
func mayTakeBack(tx Tx, who rights.Asker, f journal.Fact, writers map[journal.ID]journal.ID) error {
	if who.Role == rights.Owner || f.Device != who.Device || f.Kind != journal.KindWithdrawn && f.Kind != journal.KindRestored {
		return nil
	}
	var t journal.Target
	if json.Unmarshal(f.Body, &t) != nil {
		return nil
	}
	writer, known := writers[t.Target]
	if !known && tx.Has(t.Target) {
		facts, err := tx.Scope(f.Scope)
		if err != nil {
			return err
		}
		for _, x := range facts {
			if x.ID == t.Target {
				writer, known = x.Device, true
			}
		}
	}
	if known && writer != who.Device {
		return fault.New(fault.Refused, "a helper takes back only what it wrote").WithHint("ask who keeps the house")
	}
	return nil
}

// view is what an asker may see: everything, or some scopes.
type view struct {
	all    bool
	scopes map[journal.Scope]bool
	name   string // of the scopes, as a cursor bears it
}

// viewOf gives what who may see now: a helper its batches and the places where
// their bags stand.
func viewOf(tx Tx, who rights.Asker) (view, error) {
	if who.Role == rights.Owner {
		return view{all: true}, nil
	}
	v := view{scopes: map[journal.Scope]bool{}}
	for _, id := range who.Batches {
		v.scopes[journal.BatchScope(id)] = true
		s, err := state(tx, id)
		if err != nil {
			return v, err
		}
		for _, b := range s.Bags {
			for _, stay := range b.Stays {
				if stay.Place != "" {
					v.scopes[journal.PlaceScope(stay.Place)] = true
				}
			}
		}
	}
	var names []string
	for s := range v.scopes {
		names = append(names, string(s))
	}
	slices.Sort(names)
	sum := sha256.New()
	for _, n := range names {
		sum.Write([]byte(n + "\n"))
	}
	v.name = hex.EncodeToString(sum.Sum(nil)[:6])
	return v, nil
}

// read adds the facts in sight after the cursor but those acknowledged, and the
// cursor behind them. A cursor of another view begins at the beginning: older
// facts may have come into sight.
func read(a *exchange.Answer, tx Tx, from *exchange.Cursor, sees view) error {
	sent := make(map[journal.ID]bool, len(a.Acks))
	for _, id := range a.Acks {
		sent[id] = true
	}
	if from != nil {
		ours, err := knows(tx, *from)
		if err != nil {
			return err
		}
		if a.Fresh = !ours; ours && from.View == sees.name {
			c := *from
			a.Cursor = &c
		}
	}
	var seen uint64
	if a.Cursor != nil {
		seen = a.Cursor.Seq
	}
	size := 0
	err := tx.Since(seen, func(seq uint64, f journal.Fact) bool {
		give := (sees.all || sees.scopes[f.Scope]) && !sent[f.ID]
		if give && (len(a.Facts) == exchange.MaxFacts || size >= exchange.MaxAnswer) {
			a.More = true
			return false
		}
		a.Cursor = &exchange.Cursor{Seq: seq, ID: f.ID, View: sees.name}
		if give {
			a.Facts = append(a.Facts, f)
			size += len(f.Text())
		}
		return true
	})
	if err != nil {
		return err
	}
	return mark(tx, a.Cursor)
}
