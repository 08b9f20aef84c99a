package hub

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"coldbatch/internal/api"
	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// The quarantine of a phone is bounded, so that a removed phone cannot fill the disk.
const (
	maxQuarantined     = exchange.MaxQuarantined
	maxQuarantineBytes = 4 << 20
)

// quarantine holds what a phone sent after it lost the right to: a removed phone, or a
// helper for a batch that is no longer shared with it; and what a phone sent with stamps
// ahead of the hub's clock. The owner accepts or rejects it.
type quarantine struct {
	Facts    []journal.Fact `json:"facts"`
	Rejected []journal.Fact `json:"left,omitempty"`    // the owner may requeue them
	Dropped  []journal.ID   `json:"dropped,omitempty"` // older rejected facts that had no room
}

func quarantineKey(device journal.ID) string { return "held/" + string(device) }

// readQuarantine reads the quarantine of a phone, without the facts that have reached
// the journal by another way, as when the phone was paired again.
func readQuarantine(tx Tx, device journal.ID) (q quarantine, err error) {
	if b := tx.Meta(quarantineKey(device)); len(b) > 0 && json.Unmarshal(b, &q) != nil {
		return q, fault.New(fault.Damaged, "the quarantine of phone %s is damaged in the journal", device).WithHint("run `coldbatch check`, or restore a backup")
	}
	isInJournal := func(f journal.Fact) bool { return tx.Has(f.ID) }
	q.Facts, q.Rejected = slices.DeleteFunc(q.Facts, isInJournal), slices.DeleteFunc(q.Rejected, isInJournal)
	return q, nil
}

func writeQuarantine(tx Tx, device journal.ID, q quarantine) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false) // facts are stored byte for byte
	if err := e.Encode(q); err != nil {
		return err
	}
	return tx.SetMeta(quarantineKey(device), b.Bytes())
}

// canWait says whether a fact that former may not write any more waits for the owner: what would have
// been refused while it could write does not.
func canWait(former rights.Asker, f journal.Fact) bool {
	return rights.CanQuarantine(former, f) && checkOwnBody(f) == nil && (former.Role != rights.Helper || checkHelpersFact(f) == nil)
}

// quarantineFromRevoked stores the facts of a removed phone in its quarantine and
// always returns an error: a fault that tells the phone, or what went wrong.
func (h *Hub) quarantineFromRevoked(ctx context.Context, who rights.Asker, texts []json.RawMessage) error {
	former := h.credentialByDevice(who.Device).formerAsker()
	var facts []journal.Fact
	for _, text := range texts {
		if f, err := journal.ReadFact(text); err == nil && canWait(former, f) {
			facts = append(facts, f)
		}
	}
	waiting, full, err := h.addToQuarantine(ctx, who, who.Device, facts)
	if err != nil {
		return err
	}
	sentence := "this phone was removed"
	switch {
	case waiting == 1:
		sentence += "; 1 entry it sent is waiting for the owner"
	case waiting > 1:
		sentence += fmt.Sprintf("; %d entries it sent are waiting for the owner", waiting)
	}
	removed := fault.New(fault.Refused, "%s", sentence)
	if full {
		return removed.WithHint("there is no room for more until the owner has decided; what you record stays on this phone")
	}
	return removed.WithHint("what you record stays on this phone; ask the owner")
}

// waitingFact is a fact that goes into quarantine, and why.
type waitingFact struct {
	journal.Fact
	reason error
}

var errNoLongerHelps = fault.New(fault.Refused, "this phone no longer helps with that batch; the owner decides on this entry")

// quarantineFacts stores facts that a phone sent in its quarantine, and returns a refusal
// of each.
func (h *Hub) quarantineFacts(ctx context.Context, who rights.Asker, device journal.ID, waiting []waitingFact) (refused []exchange.Refusal, err error) {
	facts := make([]journal.Fact, 0, len(waiting))
	for _, x := range waiting {
		facts = append(facts, x.Fact)
	}
	_, full, err := h.addToQuarantine(ctx, who, device, facts)
	for _, x := range waiting {
		reason := x.reason
		if full {
			reason = fault.AsFault(reason).WithHint("there is no room for more until the owner has decided")
		}
		refused = append(refused, refuseFact(x.ID, reason))
	}
	return refused, err
}

// addToQuarantine adds facts to the quarantine of a phone and returns how many wait
// there. full says that some found no room. It leaves out a withdrawal or restoration of a
// fact about who helps, unless the sender may withdraw what others wrote.
func (h *Hub) addToQuarantine(ctx context.Context, who rights.Asker, device journal.ID, facts []journal.Fact) (waiting int, full bool, err error) {
	add := func(tx Tx) (changed bool, q quarantine, err error) {
		if q, err = readQuarantine(tx, device); err != nil {
			return false, q, err
		}
		size, known := 0, map[journal.ID]bool{}
		for _, id := range q.Dropped {
			known[id] = true
		}
		for _, f := range q.Rejected {
			known[f.ID] = true
		}
		for _, f := range q.Facts {
			known[f.ID] = true
			size += len(f.Text())
		}
		sharing := map[journal.Scope]map[journal.ID]bool{}
		for _, f := range facts {
			if known[f.ID] || tx.Has(f.ID) {
				continue
			}
			if target, isTargeted := f.Target(); isTargeted && !who.CanWithdrawAll() {
				if sharing[f.Scope] == nil {
					if sharing[f.Scope], err = sharingFacts(tx, f.Scope); err != nil {
						return false, q, err
					}
				}
				if sharing[f.Scope][target] {
					continue
				}
			}
			if full = len(q.Facts) >= maxQuarantined || size+len(f.Text()) > maxQuarantineBytes; full {
				break
			}
			size += len(f.Text())
			known[f.ID] = true
			q.Facts, changed = append(q.Facts, f), true
		}
		waiting = len(q.Facts)
		return changed, q, nil
	}
	var changed bool
	err = h.viewJournal(ctx, func(tx Tx) (err error) {
		changed, _, err = add(tx)
		return err
	})
	if err == nil && changed {
		err = h.updateJournal(ctx, func(tx Tx) error {
			_, q, err := add(tx)
			if err != nil {
				return err
			}
			return writeQuarantine(tx, device, q)
		})
	}
	return waiting, full, err
}

// sharingFacts returns which facts of a scope say who helps there.
func sharingFacts(tx Tx, scope journal.Scope) (map[journal.ID]bool, error) {
	facts, err := tx.Scope(scope)
	ids := map[journal.ID]bool{}
	for _, f := range facts {
		ids[f.ID] = rights.IsSharingKind(f.Kind)
	}
	return ids, err
}

// formerAsker returns the phone with the rights that it was paired with, revoked since or
// not.
func (c credential) formerAsker() rights.Asker {
	return rights.Asker{Role: c.Role, Device: c.Device, Batches: c.Batches}
}

// Quarantined lists the entries of a phone that wait for the owner's decision.
func (h *Hub) Quarantined(ctx context.Context, who rights.Asker, device journal.ID) ([]api.QuarantinedFact, error) {
	if err := checkAct(who, rights.ManageHouse); err != nil {
		return nil, err
	}
	if err := device.Check("device"); err != nil {
		return nil, err
	}
	list := []api.QuarantinedFact{}
	err := h.viewJournal(ctx, func(tx Tx) error {
		q, err := readQuarantine(tx, device)
		if err != nil {
			return err
		}
		for _, f := range journal.SortedByStamp(q.Facts) {
			entry := api.QuarantinedFact{ID: f.ID, Kind: f.Kind, At: f.At, Scope: f.Scope}
			if k, known := journal.FindKind(f.Kind); known {
				entry.Description = k.Description
			}
			if id := f.Scope.Batch(); id != "" {
				s, err := readState(tx, id, h.latestTime())
				if err != nil {
					return err
				}
				entry.Batch = s.Name
			}
			list = append(list, entry)
		}
		return nil
	})
	return list, err
}

// Accept appends the quarantined facts of a phone to the journal: at most the first most facts, or all if most
// is 0. The owner accepts only as many as the screen showed, since the phone may have sent more meanwhile. Facts
// that factCheck refuses count as rejected.
func (h *Hub) Accept(ctx context.Context, who rights.Asker, device journal.ID, most int) (*api.FactCount, error) {
	if most < 0 {
		return nil, fault.New(fault.Input, "cannot accept %d entries", most).WithHint("as many as wait, or 0 for all")
	}
	former := h.credentialByDevice(device).formerAsker()
	if former.Role == "" { // the hub forgets no phone: this is the browser at this computer
		former = h.LocalAsker()
	}
	left := 0
	n, err := h.editQuarantine(ctx, who, device, func(w *factWriter, q *quarantine) error {
		shown := len(q.Facts)
		if most > 0 {
			shown = min(most, shown)
		}
		check := w.newFactCheck(former, q.Facts[:shown])
		var rejected []journal.Fact
		for _, f := range q.Facts[:shown] {
			if err := check.check(f); fault.Is(err, fault.Refused) {
				rejected = append(rejected, f)
				continue
			} else if err != nil {
				return err
			}
			if err := w.appendFact(&f); err != nil {
				return err
			}
		}
		q.Facts, left = q.Facts[shown:], len(rejected)
		q.reject(rejected)
		return nil
	})
	if err != nil {
		return nil, err
	}
	n.Count -= left
	return n, nil
}

// Reject rejects the quarantined facts of a phone. They stay rejected when the phone
// sends them again. The oldest are dropped where there is no room for all.
func (h *Hub) Reject(ctx context.Context, who rights.Asker, device journal.ID) (*api.FactCount, error) {
	return h.editQuarantine(ctx, who, device, func(_ *factWriter, q *quarantine) error {
		facts := q.Facts
		q.Facts = nil
		q.reject(facts)
		return nil
	})
}

// reject keeps rejected facts, as far as there is room: the oldest are dropped.
func (q *quarantine) reject(facts []journal.Fact) {
	q.Rejected = append(q.Rejected, facts...)
	size, from := 0, len(q.Rejected)
	for from > 0 && len(q.Rejected)-from < maxQuarantined && size+len(q.Rejected[from-1].Text()) <= maxQuarantineBytes {
		from--
		size += len(q.Rejected[from].Text())
	}
	for _, f := range q.Rejected[:from] {
		q.Dropped = append(q.Dropped, f.ID)
	}
	q.Rejected = q.Rejected[from:]
	q.Dropped = q.Dropped[max(0, len(q.Dropped)-maxQuarantined):]
}

// Requeue puts the rejected facts of a phone back among those that wait for a
// decision.
func (h *Hub) Requeue(ctx context.Context, who rights.Asker, device journal.ID) (*api.FactCount, error) {
	return h.editQuarantine(ctx, who, device, func(_ *factWriter, q *quarantine) error {
		q.Facts, q.Rejected = append(q.Rejected, q.Facts...), nil
		return nil
	})
}

// editQuarantine runs edit on the quarantine of a phone, for an owner, and returns by
// how many entries the waiting ones changed.
func (h *Hub) editQuarantine(ctx context.Context, who rights.Asker, device journal.ID, edit func(*factWriter, *quarantine) error) (*api.FactCount, error) {
	if err := h.checkNotExample(); err != nil {
		return nil, err
	}
	if err := checkAct(who, rights.ManageHouse); err != nil {
		return nil, err
	}
	if err := device.Check("device"); err != nil {
		return nil, err
	}
	var n int
	w, err := h.writeFacts(ctx, h.system.Now(), func(w *factWriter) error {
		q, err := readQuarantine(w.tx, device)
		if err != nil {
			return err
		}
		before := len(q.Facts)
		if err := edit(w, &q); err != nil {
			return err
		}
		n = max(before, len(q.Facts)) - min(before, len(q.Facts))
		return writeQuarantine(w.tx, device, q)
	})
	if err != nil {
		return nil, err
	}
	h.notifySubscribers(w.lastSeq)
	return &api.FactCount{Count: n}, nil
}
