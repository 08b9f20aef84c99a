package hub

import (
	"encoding/json"
	"errors"
	"slices"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// errMustWrite ends a transaction that reads when there turns out to be something
// to write.
var errMustWrite = errors.New("there is something to write")

// Exchange takes a phone's facts and gives it those it does not have, of what it
// may see. It may be repeated at will: a fact that is known is acknowledged and
// not kept twice. All of it is one transaction, and one that brings nothing costs
// no sync of the disk.
func (h *Hub) Exchange(who rights.Asker, q exchange.Request) (*exchange.Answer, error) {
	if err := h.checkNotExample(); err != nil {
		return nil, err
	}
	if err := h.checkDevice(who, q.Device); err != nil {
		return nil, err
	}
	if len(q.Facts) > exchange.MaxFacts || len(q.Lease) > exchange.MaxLease {
		return nil, fault.New(fault.Input, "an exchange takes %d facts and %d leases, not %d and %d", exchange.MaxFacts, exchange.MaxLease, len(q.Facts), len(q.Lease)).
			WithHint("send the rest in the next one")
	}
	if who.Revoked {
		return nil, h.quarantineFromRevoked(who, q.Facts)
	}
	if err := checkAct(who, rights.SeeBatch); err != nil {
		return nil, err
	}
	facts, late, refused := h.sortFacts(who, q)
	if len(late) > 0 {
		told, err := h.quarantineFromHelper(who, late)
		if err != nil {
			return nil, err
		}
		refused = append(refused, told...)
	}
	a := &exchange.Answer{}
	run := func(w *factWriter, writing bool) error {
		*a = exchange.Answer{Hub: exchange.HubInfo{ID: h.ID}, Acks: make([]journal.ID, 0, len(facts)), Refused: []exchange.Refusal{}, Facts: []journal.Fact{}, Now: w.author.Now}
		if err := w.appendAll(who, facts, refused, a); err != nil {
			return err
		}
		blocks, err := w.leasesDue(who, q)
		if err != nil {
			return err
		}
		for id, block := range blocks {
			if !writing {
				return errMustWrite
			}
			if err := w.writeFact(journal.BatchScope(id), id, journal.KindNumbersLeased, block); err != nil {
				return err
			}
		}
		sees, err := w.visibleScopes(who)
		if err != nil {
			return err
		}
		return w.readVisible(a, q.Cursor, sees)
	}
	// What is acknowledged goes through a transaction that writes, also where all
	// of it is known: one that reads may see what is not yet on the disk.
	now := h.system.Now()
	var wrote uint64
	err := errMustWrite
	if len(q.Facts) == 0 {
		for _, id := range q.Lease {
			if _, err := h.batchSummary(id); err != nil {
				return nil, err
			}
		}
		err = h.journal.View(func(tx Tx) error { return run(h.newFactWriter(tx, now), false) })
	}
	if errors.Is(err, errMustWrite) {
		var w *factWriter
		if w, err = h.writeFacts(now, func(w *factWriter) error { return run(w, true) }); err == nil {
			wrote = w.lastSeq
		}
	}
	if err != nil {
		return nil, err
	}
	h.notifySubscribers(wrote)
	h.recordSeen(q.Device, now)
	return a, nil
}

// sortFacts reads the facts of a request one by one, so that one that does not read,
// or that the phone may not write, does not hold up the others. late are those that
// it may write no more.
func (h *Hub) sortFacts(who rights.Asker, q exchange.Request) (good, late []journal.Fact, refused []exchange.Refusal) {
	var former rights.Asker
	if who.Role == rights.Helper {
		former = h.credentialByDevice(who.Device).asker()
	}
	good = make([]journal.Fact, 0, len(q.Facts))
	for _, text := range q.Facts {
		var f journal.Fact
		err := f.UnmarshalOwned(text)
		switch {
		case err != nil:
		case f.Device == q.Device:
			err = rights.CheckWrite(who, f)
		default: // the hub may have lost what others wrote
			err = rights.CheckRelay(who, f, h.ID)
		}
		if err == nil {
			good = append(good, f)
			continue
		}
		if fault.Is(err, fault.Refused) && rights.CanQuarantine(former, f) {
			late = append(late, f)
			continue
		}
		var head struct {
			ID journal.ID `json:"id"`
		}
		_ = json.Unmarshal(text, &head) // without an id it is refused all the same
		refused = append(refused, refuseFact(head.ID, err))
	}
	return good, late, refused
}

func refuseFact(id journal.ID, err error) exchange.Refusal {
	told := fault.Of(err)
	if told.Code == fault.Internal {
		told = fault.New(fault.Input, "this is not a fact")
	}
	return exchange.Refusal{ID: id, Code: told.Code, Sentence: told.Error()}
}

// appendAll takes the facts that a phone brings and tells of each in a. What is
// refused and is here all the same came by another way; the phone need not know
// that it could not have brought it.
func (w *factWriter) appendAll(who rights.Asker, facts []journal.Fact, refused []exchange.Refusal, a *exchange.Answer) error {
	for _, r := range refused {
		if r.Code == fault.Refused && w.tx.Has(r.ID) {
			a.Acks = append(a.Acks, r.ID)
		} else {
			a.Refused = append(a.Refused, r)
		}
	}
	var theirs factAuthors
	if !who.CanWithdrawAll() {
		theirs = factAuthors{tx: w.tx, byFact: map[journal.ID]journal.ID{}, scopesRead: map[journal.Scope]bool{}}
		for _, f := range facts {
			theirs.byFact[f.ID] = f.Device
		}
	}
	w.appended = slices.Grow(w.appended, len(facts))
	for i := range facts {
		f := &facts[i]
		if !who.CanWithdrawAll() && f.Device == who.Device && !w.tx.Has(f.ID) {
			if err := theirs.checkWithdrawal(who, *f); fault.Is(err, fault.Refused) {
				a.Refused = append(a.Refused, refuseFact(f.ID, err))
				continue
			} else if err != nil {
				return err
			}
		}
		if err := w.appendFact(f); err != nil {
			return err
		}
		a.Acks = append(a.Acks, f.ID)
	}
	w.fromPhone = len(w.appended)
	return nil
}

// factAuthors knows who wrote what, of one call and, where it is asked, of a scope.
type factAuthors struct {
	tx         Tx
	byFact     map[journal.ID]journal.ID
	scopesRead map[journal.Scope]bool
}

// checkWithdrawal returns a fault where f takes back, or brings back, what another
// wrote. A target that is not known yet is another phone's to bring, and what a
// helper said of it holds nothing in a batch.
func (o factAuthors) checkWithdrawal(who rights.Asker, f journal.Fact) error {
	if f.Kind != journal.KindFactWithdrawn && f.Kind != journal.KindFactRestored {
		return nil
	}
	var t journal.FactTarget
	if json.Unmarshal(f.Body, &t) != nil {
		return nil
	}
	if o.tx.Has(t.Target) && !o.scopesRead[f.Scope] {
		facts, err := o.tx.Scope(f.Scope)
		if err != nil {
			return err
		}
		for _, x := range facts { // what is here counts, whatever a call says of it
			o.byFact[x.ID] = x.Device
		}
		o.scopesRead[f.Scope] = true
	}
	if writer, known := o.byFact[t.Target]; known {
		return rights.CheckWithdrawal(who, writer)
	}
	return nil
}
