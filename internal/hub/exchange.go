package hub

import (
	"context"
	"encoding/json"
	"errors"
	"slices"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// errMustWrite ends a transaction that only reads when there is something to write.
var errMustWrite = errors.New("the transaction has to write")

// Exchange stores a phone's facts and returns the facts that the phone lacks and may see.
// It is idempotent: a known fact is acknowledged and not stored twice. Everything
// happens in one transaction; without anything to write it costs no sync of the disk.
func (h *Hub) Exchange(ctx context.Context, who rights.Asker, q exchange.Request) (*exchange.Answer, error) {
	if err := h.checkNotExample(); err != nil {
		return nil, err
	}
	if err := h.checkDevice(who, q.Device); err != nil {
		return nil, err
	}
	if len(q.Facts) > exchange.MaxFacts || len(q.Lease) > exchange.MaxLease {
		return nil, fault.New(fault.Input, "an exchange takes at most %d facts and %d leases, not %d and %d", exchange.MaxFacts, exchange.MaxLease, len(q.Facts), len(q.Lease)).
			WithHint("send the rest in the next one")
	}
	if who.Revoked {
		return nil, h.quarantineFromRevoked(ctx, who, q.Facts)
	}
	if err := checkAct(who, rights.SeeBatch); err != nil {
		return nil, err
	}
	facts, waiting, refused := h.classifyFacts(who, q)
	if len(waiting) > 0 {
		notAccepted, err := h.quarantineFacts(ctx, who, q.Device, waiting)
		if err != nil {
			return nil, err
		}
		refused = append(refused, notAccepted...)
	}
	a := &exchange.Answer{}
	run := func(w *factWriter, writing bool) error {
		*a = exchange.Answer{Hub: exchange.HubInfo{ID: h.ID}, Acks: make([]journal.ID, 0, len(facts)), Refused: []exchange.Refusal{}, Facts: []journal.Fact{}, Now: w.author.Now}
		if w.latestTime > a.Now {
			a.LatestHubTime = w.latestTime
		}
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
		visible, err := w.visibleScopes(who)
		if err != nil {
			return err
		}
		return w.readVisible(a, q.Cursor, visible)
	}
	// Even if every fact is already known, a write transaction is used: a read transaction may see facts
	// that are not on disk yet, so the hub must not acknowledge what it finds there.
	now := h.system.Now()
	var lastSeq uint64
	err := errMustWrite
	if len(q.Facts) == 0 {
		for _, id := range q.Lease { // fills the cache, which a transaction must not do
			if _, err := h.batchSummary(ctx, id); err != nil {
				return nil, err
			}
		}
		err = h.viewJournal(ctx, func(tx Tx) error { return run(h.newFactWriter(tx, now), false) })
	}
	if errors.Is(err, errMustWrite) {
		var w *factWriter
		if w, err = h.writeFacts(ctx, now, func(w *factWriter) error { return run(w, true) }); err == nil {
			lastSeq = w.lastSeq
		}
	}
	if err != nil {
		return nil, err
	}
	h.notifySubscribers(lastSeq)
	h.recordSeen(ctx, q.Device, now)
	if err := h.settlePutBack(ctx, who, q, a); err != nil {
		return nil, err
	}
	return a, nil
}

// classifyFacts reads the facts of a request one by one, so that a bad one does not hold
// up the others. accepted may be written; waiting go into quarantine, since the phone had
// the right once, or their stamps are ahead; the others are refused.
func (h *Hub) classifyFacts(who rights.Asker, q exchange.Request) (accepted []journal.Fact, waiting []waitingFact, refused []exchange.Refusal) {
	var former rights.Asker
	if who.Role == rights.Helper {
		former = h.credentialByDevice(who.Device).formerAsker()
	}
	latest := h.latestTime()
	accepted = make([]journal.Fact, 0, len(q.Facts))
	for _, text := range q.Facts {
		f, err := journal.ReadFact(text)
		switch {
		case err != nil:
		case f.Device == q.Device:
			if err = rights.CheckWrite(who, f); err == nil {
				err = checkOwnBody(f)
			}
		default: // a restored hub may have lost what others wrote
			err = rights.CheckRelay(who, f)
		}
		if err == nil && who.Role == rights.Helper {
			err = checkHelpersFact(f)
		}
		if err == nil {
			if err = checkStamp(f, latest); err == nil {
				accepted = append(accepted, f)
			} else {
				waiting = append(waiting, waitingFact{f, err})
			}
			continue
		}
		if fault.Is(err, fault.Refused) && canWait(former, f) {
			waiting = append(waiting, waitingFact{f, errNoLongerHelps})
			continue
		}
		var head struct {
			ID journal.ID `json:"id"`
		}
		_ = json.Unmarshal(text, &head) // without an id the fact is refused all the same
		refused = append(refused, refuseFact(head.ID, err))
	}
	return accepted, waiting, refused
}

// checkOwnBody returns a fault where what a phone itself wrote does not hold what its kind
// needs: it would be stored, and no screen would show it. A body of a newer version is not
// judged, nor what another phone wrote, which a restored hub gets back as it is.
func checkOwnBody(f journal.Fact) error {
	if k, known := journal.FindKind(f.Kind); !known || f.Version > k.Version {
		return nil
	}
	return f.CheckBody()
}

// checkHelpersFact returns a fault where a helper's fact has what no app of this version writes: hidden characters, or
// a body of a newer version, which nothing here can judge. The hub serves the helpers their app.
func checkHelpersFact(f journal.Fact) error {
	if k, known := journal.FindKind(f.Kind); known && f.Version > k.Version {
		return fault.New(fault.Input, "this entry is of version %d, and the hub knows version %d", f.Version, k.Version).WithHint("update the program on the computer")
	}
	return journal.RejectHiddenCharacters(f)
}

// refuseFact says that the fact id was refused because of err.
func refuseFact(id journal.ID, err error) exchange.Refusal {
	reason := fault.AsFault(err)
	if reason.Code == fault.Internal {
		reason = fault.New(fault.Input, "this is not a fact")
	}
	return exchange.Refusal{ID: id, Code: reason.Code, Sentence: reason.Error()}
}

// appendAll appends a phone's facts and adds the outcome of each to a. A refused fact
// that is in the journal nevertheless, sent by another phone, is acknowledged.
func (w *factWriter) appendAll(who rights.Asker, facts []journal.Fact, refused []exchange.Refusal, a *exchange.Answer) error {
	for _, r := range refused {
		if r.Code == fault.Refused && w.tx.Has(r.ID) {
			a.Acks = append(a.Acks, r.ID)
		} else {
			a.Refused = append(a.Refused, r)
		}
	}
	check := w.newFactCheck(who, facts)
	quota, err := newQuota(w.tx, who)
	if err != nil {
		return err
	}
	w.appendedFacts = slices.Grow(w.appendedFacts, len(facts))
	for i := range facts {
		f := &facts[i]
		if err := check.check(*f); fault.Is(err, fault.Refused) {
			a.Refused = append(a.Refused, refuseFact(f.ID, err))
			continue
		} else if err != nil {
			return err
		}
		if quota != nil && !w.tx.Has(f.ID) {
			if err := quota.count(f); fault.Is(err, fault.Conflict) {
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
	w.fromPhone = len(w.appendedFacts)
	return quota.store()
}
