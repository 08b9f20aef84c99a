package hub

import (
	"maps"
	"slices"

	"coldbatch/internal/batch"
	"coldbatch/internal/house"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// derivedCache is what follows from the journal's facts and is asked at every call,
// kept in memory: who is let out, what the hub needs of each batch, which sensors
// report. What a fact makes doubtful is dropped once it is written, and worked out
// again at the next question.
type derivedCache struct {
	generation uint64 // counts the droppings: what was worked out before one is not kept
	revoked    map[journal.ID]bool
	summaries  map[journal.ID]batchSummary
	sensors    map[string]sensor // by the hash of their token
}

// batchSummary is what the hub needs of a batch. It is not changed once it is made.
type batchSummary struct {
	known   bool // the batch has facts
	helpers map[journal.ID]bool
	shares  []batch.Share
	places  []journal.ID // where its bags stand or stood
	numbers journal.Numbers
}

// invalidation is what facts of a transaction make doubtful.
type invalidation struct {
	house   bool
	batches map[journal.ID]bool
	sensors bool
}

// summaryKinds are the kinds of fact that a brief is made of, but for who helps.
var summaryKinds = map[string]bool{journal.KindNumbersLeased: true, journal.KindBlanksPrinted: true, journal.KindPieceTagged: true, journal.KindBagClosed: true, journal.KindBagMoved: true}

// addFact notes what f makes doubtful, and gives the batch if it is one.
func (d *invalidation) addFact(f *journal.Fact) (dropped journal.ID) {
	undo := f.Kind == journal.KindFactWithdrawn || f.Kind == journal.KindFactRestored
	switch sort, id := f.Scope.Split(); sort {
	case "house":
		d.house = true
	case "batch":
		// What a newer program wrote of a bag hides what older ones know of it.
		if undo || summaryKinds[f.Kind] || rights.IsSharing(f.Kind) || f.Need > batch.StateVersion {
			d.batches[id] = true
			return id
		}
	case "place":
		d.sensors = d.sensors || undo || f.Kind == journal.KindPlaceSensed
	}
	return ""
}

// applyInvalidation forgets what p made doubtful, once it is written, and keeps what p worked
// out after that. No other may have written in between.
func (h *Hub) applyInvalidation(w *factWriter) {
	h.mu.Lock()
	defer h.mu.Unlock()
	s, d := &h.derived, w.invalid
	if d.house || d.sensors || len(d.batches) > 0 {
		s.generation++
	}
	if d.house {
		s.revoked = nil
	}
	if d.sensors {
		s.sensors = nil
	}
	maps.DeleteFunc(s.summaries, func(id journal.ID, _ batchSummary) bool { return d.batches[id] })
	maps.Copy(s.summaries, w.summaries)
}

// loadDerived works something out from the journal and keeps it, unless it became
// doubtful meanwhile. It must not be called within a transaction: what that one
// reads may be older than what was dropped.
func loadDerived[T any](h *Hub, had func(*derivedCache) (T, bool), make func(Tx) (T, error), put func(*derivedCache, T)) (v T, err error) {
	h.mu.Lock()
	v, ok := had(&h.derived)
	turn := h.derived.generation
	h.mu.Unlock()
	if ok {
		return v, nil
	}
	err = h.journal.View(func(tx Tx) error {
		v, err = make(tx)
		return err
	})
	if err != nil {
		return v, err
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.derived.generation == turn {
		put(&h.derived, v)
	}
	return v, nil
}

// revokedDevices gives the phones that an owner let out.
func (h *Hub) revokedDevices() (map[journal.ID]bool, error) {
	return loadDerived(h,
		func(s *derivedCache) (map[journal.ID]bool, bool) { return s.revoked, s.revoked != nil },
		func(tx Tx) (map[journal.ID]bool, error) {
			facts, err := tx.Scope(journal.HouseScope)
			return revokedIn(facts), err
		},
		func(s *derivedCache, v map[journal.ID]bool) { s.revoked = v })
}

// revokedIn reads from the house's facts which phones an owner let out.
func revokedIn(facts []journal.Fact) map[journal.ID]bool {
	out := map[journal.ID]bool{}
	for _, p := range house.ListPhones(facts) {
		if len(p.Revoked) > 0 {
			out[p.Device] = true
		}
	}
	return out
}

// batchSummary gives that of a batch.
func (h *Hub) batchSummary(id journal.ID) (batchSummary, error) {
	return loadDerived(h,
		func(s *derivedCache) (batchSummary, bool) { v, ok := s.summaries[id]; return v, ok },
		func(tx Tx) (batchSummary, error) { return summarizeBatch(tx, id) },
		func(s *derivedCache, v batchSummary) {
			if v.known { // else its first fact may be one that makes nothing doubtful
				s.summaries[id] = v
			}
		})
}

// batchSummary gives that of a batch within a transaction. One that writes has no other
// beside it, so what is in memory is what it sees, but for what it wrote itself.
func (w *factWriter) batchSummary(id journal.ID) (batchSummary, error) {
	if b, ok := w.summaries[id]; ok {
		return b, nil
	}
	if !w.invalid.batches[id] {
		w.hub.mu.Lock()
		b, ok := w.hub.derived.summaries[id]
		w.hub.mu.Unlock()
		if ok {
			return b, nil
		}
	}
	b, err := summarizeBatch(w.tx, id)
	if err == nil && b.known {
		w.summaries[id] = b
	}
	return b, err
}

func summarizeBatch(tx Tx, id journal.ID) (batchSummary, error) {
	s, err := readState(tx, id)
	if err != nil {
		return batchSummary{}, err
	}
	b := batchSummary{known: s.Facts > 0, helpers: map[journal.ID]bool{}, shares: s.Shares, numbers: s.Numbers}
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

// sensorsByHash gives the sensors that report, by the hash of their token.
func (h *Hub) sensorsByHash() (map[string]sensor, error) {
	return loadDerived(h,
		func(s *derivedCache) (map[string]sensor, bool) { return s.sensors, s.sensors != nil },
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
				for _, x := range batch.BuildPlace(facts).Sensors {
					all[x.Hash] = sensor{scope.Place(), x.Name}
				}
			}
			return all, nil
		},
		func(s *derivedCache, v map[string]sensor) { s.sensors = v })
}
