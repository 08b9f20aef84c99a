package hub

import (
	"context"
	"maps"
	"slices"

	"coldbatch/internal/batch"
	"coldbatch/internal/house"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// derivedCache holds values computed from facts (revoked phones, calendars, a
// summary of each batch, sensors). Facts that a value depends on invalidate it once they are written;
// the next use computes it again.
type derivedCache struct {
	generation     uint64 // counts invalidations: a value computed before one is not stored
	revokedDevices map[journal.ID]bool
	summaries      map[journal.ID]batchSummary
	sensors        map[string]sensor // by the hash of their token
	calendars      map[string]bool   // those that the owner opened, by the hash of their token
}

// batchSummary is what the hub needs to know of a batch. It is never changed.
type batchSummary struct {
	hasFacts    bool // the batch has facts
	helpers     map[journal.ID]bool
	shares      []batch.ShareCode
	places      []journal.ID // where its bags are or were
	numbers     journal.Numbers
	isCurrentAt func(now zone.Instant) bool // false once the time of a fact came that was stamped ahead
}

// invalidation collects the cached values that the facts of a transaction invalidate.
type invalidation struct {
	house   bool
	batches map[journal.ID]bool
	sensors bool
}

// summaryKinds are the kinds of fact that a batchSummary depends on, besides those
// about sharing.
var summaryKinds = map[string]bool{journal.KindNumbersLeased: true, journal.KindBlanksPrinted: true, journal.KindPieceTagged: true, journal.KindBagClosed: true, journal.KindBagMoved: true}

// addFact adds what f invalidates. Where that is the summary of a batch it returns the
// batch.
func (i *invalidation) addFact(f *journal.Fact) (changed journal.ID) {
	undo := f.Kind == journal.KindFactWithdrawn || f.Kind == journal.KindFactRestored
	switch sort, id := f.Scope.Split(); sort {
	case "house":
		i.house = true
	case "batch":
		// A fact that needs a newer program makes this one ignore the whole bag.
		if undo || summaryKinds[f.Kind] || rights.IsSharingKind(f.Kind) || f.NeededVersion > batch.StateVersion {
			i.batches[id] = true
			return id
		}
	case "place":
		i.sensors = i.sensors || undo || f.Kind == journal.KindPlaceSensed
	}
	return ""
}

// applyInvalidation drops what w's facts invalidate and stores the summaries that w
// computed after them. The caller holds factWriteLock, so no other facts came between.
func (h *Hub) applyInvalidation(w *factWriter) {
	h.mu.Lock()
	defer h.mu.Unlock()
	c, i := &h.derived, w.invalid
	if i.house || i.sensors || len(i.batches) > 0 {
		c.generation++
	}
	if i.house {
		c.revokedDevices, c.calendars = nil, nil
	}
	if i.sensors {
		c.sensors = nil
	}
	maps.DeleteFunc(c.summaries, func(id journal.ID, _ batchSummary) bool { return i.batches[id] })
	maps.Copy(c.summaries, w.summaries)
}

// loadDerived returns a cached value. Where there is none it computes it from the
// journal and stores it, unless it was invalidated meanwhile. It must not be called
// within a transaction: what that reads may be older than the last invalidation.
func loadDerived[T any](ctx context.Context, h *Hub, get func(*derivedCache) (T, bool), compute func(Tx) (T, error), store func(*derivedCache, T)) (v T, err error) {
	h.mu.Lock()
	v, ok := get(&h.derived)
	generation := h.derived.generation
	h.mu.Unlock()
	if ok {
		return v, nil
	}
	err = h.viewJournal(ctx, func(tx Tx) error {
		v, err = compute(tx)
		return err
	})
	if err != nil {
		return v, err
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.derived.generation == generation {
		store(&h.derived, v)
	}
	return v, nil
}

// revokedDevices returns the phones that an owner removed.
func (h *Hub) revokedDevices(ctx context.Context) (map[journal.ID]bool, error) {
	return loadDerived(ctx, h,
		func(c *derivedCache) (map[journal.ID]bool, bool) { return c.revokedDevices, c.revokedDevices != nil },
		func(tx Tx) (map[journal.ID]bool, error) {
			facts, err := tx.Scope(journal.HouseScope)
			return revokedIn(orderAheadFirst(facts, h.latestTime())), err
		},
		func(c *derivedCache, v map[journal.ID]bool) { c.revokedDevices = v })
}

// revokedIn returns the phones that are revoked according to the facts of the house.
func revokedIn(houseFacts []journal.Fact) map[journal.ID]bool {
	revoked := map[journal.ID]bool{}
	for _, p := range house.ListPhones(houseFacts) {
		if len(p.Revoked) > 0 {
			revoked[p.Device] = true
		}
	}
	return revoked
}

// batchSummary returns the summary of a batch.
func (h *Hub) batchSummary(ctx context.Context, id journal.ID) (batchSummary, error) {
	now := h.latestTime()
	return loadDerived(ctx, h,
		func(c *derivedCache) (batchSummary, bool) {
			v, ok := c.summaries[id]
			return v, ok && v.isCurrentAt(now)
		},
		func(tx Tx) (batchSummary, error) { return summarizeBatch(tx, id, now) },
		func(c *derivedCache, v batchSummary) {
			if v.hasFacts { // the first fact of a batch may be of a kind that invalidates nothing
				c.summaries[id] = v
			}
		})
}

// batchSummary returns the summary of a batch as w's transaction sees it. No other
// transaction writes meanwhile, so the cached one is right where w itself has not
// invalidated it.
func (w *factWriter) batchSummary(id journal.ID) (batchSummary, error) {
	if b, ok := w.summaries[id]; ok {
		return b, nil
	}
	if !w.invalid.batches[id] {
		w.hub.mu.Lock()
		b, ok := w.hub.derived.summaries[id]
		w.hub.mu.Unlock()
		if ok && b.isCurrentAt(w.latestTime) {
			return b, nil
		}
	}
	b, err := summarizeBatch(w.tx, id, w.latestTime)
	if err == nil && b.hasFacts {
		w.summaries[id] = b
	}
	return b, err
}

func summarizeBatch(tx Tx, id journal.ID, now zone.Instant) (batchSummary, error) {
	s, err := readState(tx, id, now)
	if err != nil {
		return batchSummary{}, err
	}
	b := batchSummary{hasFacts: s.FactCount > 0, helpers: map[journal.ID]bool{}, shares: s.ShareCodes, numbers: s.Numbers, isCurrentAt: s.IsCurrentAt}
	for _, x := range s.Helpers {
		b.helpers[x.Device] = true
	}
	for _, bag := range s.Bags {
		for _, stay := range bag.Stays {
			if stay.Place != "" && !slices.Contains(b.places, stay.Place) {
				b.places = append(b.places, stay.Place)
			}
		}
	}
	return b, nil
}

// sensorsByHash returns the active sensors by the hash of their token.
func (h *Hub) sensorsByHash(ctx context.Context) (map[string]sensor, error) {
	return loadDerived(ctx, h,
		func(c *derivedCache) (map[string]sensor, bool) { return c.sensors, c.sensors != nil },
		func(tx Tx) (map[string]sensor, error) {
			all := map[string]sensor{}
			for _, scope := range tx.Scopes() {
				if scope.Place() == "" {
					continue
				}
				facts, err := tx.Scope(scope)
				if err != nil {
					return nil, err
				}
				for _, x := range batch.BuildPlaceAsOf(facts, h.latestTime()).Sensors {
					all[x.Hash] = sensor{scope.Place(), x.Name}
				}
			}
			return all, nil
		},
		func(c *derivedCache, v map[string]sensor) { c.sensors = v })
}
