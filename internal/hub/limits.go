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
	Helpers int `json:"helpers"` // of a batch at a time
	Facts   int `json:"facts"`   // of one helper
	Bytes   int `json:"bytes"`   // of these facts
	Photos  int `json:"photos"`  // that these facts name
	Things  int `json:"things"`  // that these facts begin: bags, pieces, colours and so on
}

// HelpersShare is how many times one helper's limit all helpers of a batch together have.
const HelpersShare = 3

// defaultLimits are judgements: a batch of a long day has some hundreds of entries and some dozens of bags
// and photos; with a thousand bags the app of a poor phone is slow, and every phone of the owner fetches each photo.
var defaultLimits = Limits{Helpers: 20, Facts: 2000, Bytes: 5 << 20, Photos: 60, Things: 200}

// maxLimits bound what the owner can choose.
var maxLimits = Limits{Helpers: 1000, Facts: 1_000_000, Bytes: 1 << 30, Photos: 100_000, Things: 100_000}

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
	l.Things = cmp.Or(l.Things, defaultLimits.Things) // an earlier version had no such limit
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
			{"helpers", l.Helpers, change.Helpers, maxLimits.Helpers, &l.Helpers},
			{"entries", l.Facts, change.Facts, maxLimits.Facts, &l.Facts},
			{"bytes", l.Bytes, change.Bytes, maxLimits.Bytes, &l.Bytes},
			{"photos", l.Photos, change.Photos, maxLimits.Photos, &l.Photos},
			{"things", l.Things, change.Things, maxLimits.Things, &l.Things},
		} {
			switch {
			case x.to < 0 || x.to > x.max:
				return fault.New(fault.Input, "%d %s are not a limit", x.to, x.what).WithHint("from 1 to %d", x.max)
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
	Facts  int `json:"facts"`
	Bytes  int `json:"bytes"`
	Photos int `json:"photos"`
	Things int `json:"things,omitempty"`
}

func (u *usage) add(f *journal.Fact) {
	u.Facts++
	u.Bytes += len(f.Text())
	if f.Kind == journal.KindPiecePhotographed {
		u.Photos++
	}
	if beginsSubject(*f) {
		u.Things++
	}
}

// exceededLimit returns what u has more of than times the limit, in the plural, or "".
func (u usage) exceededLimit(l Limits, times int) (what string, limit int) {
	switch {
	case u.Facts > times*l.Facts:
		return "entries", times * l.Facts
	case u.Bytes > times*l.Bytes:
		return "bytes of entries", times * l.Bytes
	case u.Photos > times*l.Photos:
		return "photos", times * l.Photos
	case u.Things > times*l.Things:
		return "bags, pieces, colours and other new things", times * l.Things
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
		return fault.New(fault.Conflict, "this helper's phone has sent %d %s, and may send no more", limit, what).WithHint(hint)
	}
	if what, limit := all.exceededLimit(q.limits, HelpersShare); what != "" {
		return fault.New(fault.Conflict, "the helpers of this batch have sent %d %s, and may send no more", limit, what).WithHint(hint)
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
