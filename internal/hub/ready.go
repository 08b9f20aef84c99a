package hub

import (
	"context"
	"encoding/json"
	"maps"

	"coldbatch/internal/batchview"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// announcedKey is where the journal keeps which bags were announced as ready.
const announcedKey = "announced"

// announcedFor says how long the hub keeps that: longer than any bag cures.
const announcedFor = 120 * zone.Day

// ReadyGroups returns when the bags that cure are ready.
func (h *Hub) ReadyGroups(ctx context.Context) ([]batchview.ReadyGroup, error) {
	states, e, err := h.openBatches(ctx, rights.Asker{Role: rights.Owner})
	if err != nil {
		return nil, err
	}
	return batchview.ReadyGroups(states, e), nil
}

// TakeReady returns of groups the bags whose time has come and which no earlier call
// returned, also before a restart. It records that before it returns, so that nothing is
// announced twice. A bag that a colder reading moved to a later time is returned again then.
func (h *Hub) TakeReady(ctx context.Context, groups []batchview.ReadyGroup) (taken []batchview.ReadyGroup, err error) {
	now := h.system.Now()
	announced, err := h.readAnnounced(ctx)
	if err != nil {
		return nil, err
	}
	// A clock that was ahead announced bags too early: they are announced again at their time.
	maps.DeleteFunc(announced, func(_ string, at zone.Instant) bool { return at.Sub(now) > journal.MaxAhead })
	for _, g := range groups {
		var bags []batchview.ReadyBag
		for _, b := range g.Bags {
			key := string(b.Batch) + "/" + string(b.Bag)
			// An earlier version kept the bag alone.
			if b.Ready <= now && max(announced[key], announced[string(b.Bag)]) < b.Ready {
				bags = append(bags, b)
				announced[key] = now
			}
		}
		if len(bags) > 0 {
			taken = append(taken, batchview.ReadyGroup{Key: g.Key, Bags: bags})
		}
	}
	if len(taken) == 0 {
		return nil, nil
	}
	maps.DeleteFunc(announced, func(_ string, at zone.Instant) bool { return now.Sub(at) > announcedFor })
	text, err := json.Marshal(announced)
	if err != nil {
		return nil, err
	}
	if err := h.updateJournal(ctx, func(tx Tx) error { return tx.SetMeta(announcedKey, text) }); err != nil {
		return nil, err
	}
	return taken, nil
}

// readAnnounced returns when each bag was announced as ready, by its batch and its own id: a helper may use
// the id of another batch's bag.
func (h *Hub) readAnnounced(ctx context.Context) (announced map[string]zone.Instant, err error) {
	announced = map[string]zone.Instant{}
	err = h.viewJournal(ctx, func(tx Tx) error {
		if b := tx.Meta(announcedKey); len(b) > 0 && json.Unmarshal(b, &announced) != nil {
			return fault.New(fault.Damaged, "the list of bags that were announced is damaged in the journal").
				WithHint("run `coldbatch check`, or restore a backup")
		}
		return nil
	})
	return announced, err
}
