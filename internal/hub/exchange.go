package hub

import (
	"encoding/json"
	"errors"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// errWrites ends a transaction that reads when there turns out to be something
// to write.
var errWrites = errors.New("there is something to write")

// Exchange takes a phone's facts and gives it those it does not have. It may be
// repeated at will: a fact that is known is acknowledged and not kept twice. All
// of it is one transaction, and one that brings nothing costs no sync of the
// disk.
func (h *Hub) Exchange(q exchange.Request) (*exchange.Answer, error) {
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
	now := h.world.Now()
	facts, refused := h.sort(q)
	var a *exchange.Answer
	var wrote uint64
	run := func(tx Tx, writing bool) error {
		p := h.pen(tx, now)
		a = &exchange.Answer{Hub: exchange.Who{ID: h.ID}, Acks: []journal.ID{}, Refused: refused, Facts: []journal.Fact{}, Now: now}
		for _, f := range facts {
			if err := p.take(f); err != nil {
				return err
			}
			a.Acks = append(a.Acks, f.ID)
		}
		blocks, err := h.short(tx, q)
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
		if wrote, err = p.done(); err != nil {
			return err
		}
		return read(a, tx, q.Cursor)
	}
	// What is acknowledged goes through a transaction that writes, also where all
	// of it is known: one that reads may see what is not yet on the disk.
	err := errWrites
	if len(facts) == 0 {
		err = h.journal.View(func(tx Tx) error { return run(tx, false) })
	}
	if errors.Is(err, errWrites) {
		err = h.journal.Update(func(tx Tx) error { return run(tx, true) })
	}
	if err != nil {
		return nil, err
	}
	h.hint(wrote)
	return a, nil
}

// sort reads the facts of a request one by one, so that one that does not read,
// or that the phone may not write, does not hold up the others.
func (h *Hub) sort(q exchange.Request) (good []journal.Fact, refused []exchange.Refusal) {
	refused = []exchange.Refusal{}
	for _, text := range q.Facts {
		var f journal.Fact
		err := json.Unmarshal(text, &f)
		// What others wrote the phone passes on, as after the hub lost it.
		if err == nil && f.Device == q.Device {
			err = rights.Write(rights.Owner, f, nil)
		}
		if err == nil {
			good = append(good, f)
			continue
		}
		var head struct {
			ID journal.ID `json:"id"`
		}
		_ = json.Unmarshal(text, &head) // without an id it is refused all the same
		told := fault.Of(err)
		if told.Code == fault.Internal {
			told = fault.New(fault.Input, "this is not a fact")
		}
		refused = append(refused, exchange.Refusal{ID: head.ID, Code: told.Code, Sentence: told.Error()})
	}
	return good, refused
}

// read adds the facts after the cursor but those acknowledged, and the cursor
// behind them.
func read(a *exchange.Answer, tx Tx, from *exchange.Cursor) error {
	sent := make(map[journal.ID]bool, len(a.Acks))
	for _, id := range a.Acks {
		sent[id] = true
	}
	if from != nil {
		id, ok := tx.IDAt(from.Seq)
		if a.Fresh = !ok || id != from.ID; !a.Fresh {
			c := *from
			a.Cursor = &c
		}
	}
	var seen uint64
	if a.Cursor != nil {
		seen = a.Cursor.Seq
	}
	size := 0
	return tx.Since(seen, func(seq uint64, f journal.Fact) bool {
		if !sent[f.ID] && (len(a.Facts) == exchange.MaxFacts || size >= exchange.MaxAnswer) {
			a.More = true
			return false
		}
		a.Cursor = &exchange.Cursor{Seq: seq, ID: f.ID}
		if !sent[f.ID] {
			a.Facts = append(a.Facts, f)
			size += len(f.Text())
		}
		return true
	})
}
