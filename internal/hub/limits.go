package hub

import (
	"cmp"
	"context"
	"encoding/json"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// Limits are what helpers may do to the journal at most. A code that is passed around lets in
// anyone, so they are small; the owner can change them. All helpers of a batch together
// may write HelpersShare times what one may.
type Limits struct {
	HelperCount     int `json:"helpers"` // of a batch at a time
	FactCount       int `json:"facts"`   // of one helper
	ByteCount       int `json:"bytes"`   // of these facts
	PhotoCount      int `json:"photos"`  // that these facts name
	NewSubjectCount int `json:"things"`  // that these facts begin: bags, pieces, colours and so on
}

// HelpersShare says how many times one helper's limit all helpers of a batch together have.
const HelpersShare = 3

// defaultLimits are judgements: a batch of a long day has some hundreds of entries and some dozens of bags
// and photos; with a thousand bags the app of a poor phone is slow, and every phone of the owner fetches each photo.
var defaultLimits = Limits{HelperCount: 20, FactCount: 2000, ByteCount: 5 << 20, PhotoCount: 60, NewSubjectCount: 200}

// maxLimits bound what the owner can choose.
var maxLimits = Limits{HelperCount: 1000, FactCount: 1_000_000, ByteCount: 1 << 30, PhotoCount: 100_000, NewSubjectCount: 100_000}

const limitsKey = "limits"

func readLimits(tx Tx) (l Limits, err error) {
	b := tx.Meta(limitsKey)
	if len(b) == 0 {
		return defaultLimits, nil
	}
	if json.Unmarshal(b, &l) != nil {
		return l, fault.New(fault.Damaged, "the limits for helpers are damaged in the journal").
			WithHint("set them again with `coldbatch limits`, or restore a backup")
	}
	l.NewSubjectCount = cmp.Or(l.NewSubjectCount, defaultLimits.NewSubjectCount) // an earlier version had no such limit
	return l, nil
}

// ChangeLimits changes the limits for helpers and returns them as they are then. A field
// of change that is 0 stays as it is.
func (h *Hub) ChangeLimits(ctx context.Context, who rights.Asker, change Limits) (l Limits, err error) {
	if err := checkAct(who, rights.ManageHouse); err != nil {
		return l, err
	}
	if err := h.checkNotExample(); err != nil {
		return l, err
	}
	err = h.updateJournal(ctx, func(tx Tx) error {
		if l, err = readLimits(tx); err != nil && change == (Limits{}) {
			return err
		} else if err != nil {
			l = defaultLimits
		}
		for _, x := range []struct {
			what           string
			value, to, max int
			into           *int
		}{
			{"helpers", l.HelperCount, change.HelperCount, maxLimits.HelperCount, &l.HelperCount},
			{"entries", l.FactCount, change.FactCount, maxLimits.FactCount, &l.FactCount},
			{"bytes", l.ByteCount, change.ByteCount, maxLimits.ByteCount, &l.ByteCount},
			{"photos", l.PhotoCount, change.PhotoCount, maxLimits.PhotoCount, &l.PhotoCount},
			{"things", l.NewSubjectCount, change.NewSubjectCount, maxLimits.NewSubjectCount, &l.NewSubjectCount},
		} {
			switch {
			case x.to < 0 || x.to > x.max:
				return fault.New(fault.Input, "a limit cannot be %d %s", x.to, x.what).WithHint("from 1 to %d", x.max)
			case x.to > 0:
				*x.into = x.to
			}
		}
		text, err := json.Marshal(l)
		if err != nil {
			return err
		}
		return tx.SetMeta(limitsKey, text)
	})
	return l, err
}

// usage counts what was written by one helper, or by all helpers of a batch.
type usage struct {
	FactCount       int `json:"facts"`
	ByteCount       int `json:"bytes"`
	PhotoCount      int `json:"photos"`
	NewSubjectCount int `json:"things,omitempty"`
	PrintedCount    int `json:"printed,omitempty"` // numbers of labels
}

func (u *usage) add(f *journal.Fact) {
	u.FactCount++
	u.ByteCount += len(f.Text())
	if f.Kind == journal.KindPiecePhotographed {
		u.PhotoCount++
	}
	if beginsSubject(*f) {
		u.NewSubjectCount++
	}
	if r, isPrinting := printedRange(*f); isPrinting {
		u.PrintedCount += r.To - r.From + 1
	}
}

// printedRange returns the numbers that a printing of blanks or tags has.
func printedRange(f journal.Fact) (r journal.LabelNumberRange, isPrinting bool) {
	if f.Kind != journal.KindBlanksPrinted && f.Kind != journal.KindPieceTagged {
		return r, false
	}
	return journal.DecodeBody[journal.LabelNumberRange](f)
}

// printedPerThing says how many numbers of labels a helper may print for each new thing that it may begin (judgement:
// with the usual limit, all numbers of a batch twice).
const printedPerThing = 11

// exceededLimit returns what u has more of than times the limit, in the plural, or "".
func (u usage) exceededLimit(l Limits, times int) (what string, limit int) {
	switch {
	case u.FactCount > times*l.FactCount:
		return "entries", times * l.FactCount
	case u.ByteCount > times*l.ByteCount:
		return "bytes of entries", times * l.ByteCount
	case u.PhotoCount > times*l.PhotoCount:
		return "photos", times * l.PhotoCount
	case u.NewSubjectCount > times*l.NewSubjectCount:
		return "bags, pieces, colours and other new things", times * l.NewSubjectCount
	case u.PrintedCount > times*printedPerThing*l.NewSubjectCount:
		return "printed numbers", times * printedPerThing * l.NewSubjectCount
	}
	return "", 0
}

// quota counts what a helper writes in one transaction.
type quota struct {
	tx         Tx
	limits     Limits
	usageByKey map[string]usage // by key
	device     journal.ID
}

// newQuota returns the quota of a phone, or nil for an owner's, which has none.
func newQuota(tx Tx, who rights.Asker) (*quota, error) {
	if who.Role != rights.Helper {
		return nil, nil
	}
	limits, err := readLimits(tx)
	return &quota{tx, limits, map[string]usage{}, who.Device}, err
}

// deviceKey and scopeKey are the keys of meta under which a usage is stored.
func (q *quota) deviceKey() string               { return "usage/" + string(q.device) }
func (q *quota) scopeKey(s journal.Scope) string { return "usage/" + string(s) }

func (q *quota) read(key string) (u usage, err error) {
	if u, ok := q.usageByKey[key]; ok {
		return u, nil
	}
	if b := q.tx.Meta(key); len(b) > 0 && json.Unmarshal(b, &u) != nil {
		return u, fault.New(fault.Damaged, "the count of what helpers wrote is damaged in the journal").
			WithHint("run `coldbatch check`, or restore a backup")
	}
	return u, nil
}

// count adds a fact that is about to be written. It returns a fault.Conflict, and counts
// nothing, where the helper or all helpers of its batch would have written too much.
func (q *quota) count(f *journal.Fact) error {
	if q == nil {
		return nil
	}
	own, err := q.read(q.deviceKey())
	if err != nil {
		return err
	}
	all, err := q.read(q.scopeKey(f.Scope))
	if err != nil {
		return err
	}
	own.add(f)
	all.add(f)
	const hint = "the owner can allow more with `coldbatch limits` on the computer; until then the entry stays on this phone"
	if what, limit := own.exceededLimit(q.limits, 1); what != "" {
		return fault.New(fault.Conflict, "this helper's phone has sent %d %s, and cannot send more", limit, what).WithHint(hint)
	}
	if what, limit := all.exceededLimit(q.limits, HelpersShare); what != "" {
		return fault.New(fault.Conflict, "the helpers of this batch have sent %d %s, and cannot send more", limit, what).WithHint(hint)
	}
	q.usageByKey[q.deviceKey()], q.usageByKey[q.scopeKey(f.Scope)] = own, all
	return nil
}

// store writes back what count counted.
func (q *quota) store() error {
	if q == nil {
		return nil
	}
	for key, u := range q.usageByKey {
		text, err := json.Marshal(u)
		if err != nil {
			return err
		}
		if err := q.tx.SetMeta(key, text); err != nil {
			return err
		}
	}
	return nil
}
