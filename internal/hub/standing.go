package hub

import (
	"maps"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
)

// standing is what follows from the journal's facts for who is let in, kept in
// memory because every request asks for it. What a fact makes doubtful is dropped
// after it was written and worked out at the next question.
type standing struct {
	turn    uint64 // counts the droppings: what was worked out before one is not kept
	out     map[journal.ID]bool
	helpers map[journal.ID]map[journal.ID]bool // batch, device
	sensors map[string]sensor                  // by the hash of their token
}

// doubtful is what facts of a transaction make doubtful.
type doubtful struct {
	house   bool
	batches map[journal.ID]bool
	sensors bool
}

// by notes what f makes doubtful.
func (d *doubtful) by(f journal.Fact) {
	undo := f.Kind == journal.KindWithdrawn || f.Kind == journal.KindRestored
	switch sort, id := f.Scope.Split(); sort {
	case "house":
		d.house = true
	case "batch":
		if undo || f.Kind == "share.opened" || f.Kind == kindHelps || f.Kind == "share.closed" {
			if d.batches == nil {
				d.batches = map[journal.ID]bool{}
			}
			d.batches[id] = true
		}
	case "place":
		d.sensors = d.sensors || undo || f.Kind == "place.sensed"
	}
}

// drop forgets what is doubtful now.
func (h *Hub) drop(d doubtful) {
	if !d.house && !d.sensors && len(d.batches) == 0 {
		return
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	h.standing.turn++
	if d.house {
		h.standing.out = nil
	}
	if d.sensors {
		h.standing.sensors = nil
	}
	maps.DeleteFunc(h.standing.helpers, func(id journal.ID, _ map[journal.ID]bool) bool { return d.batches[id] })
}

// keep works something out from the journal and keeps it, unless it became
// doubtful meanwhile.
func keep[T any](h *Hub, had func(*standing) (T, bool), make func(Tx) (T, error), put func(*standing, T)) (v T, err error) {
	h.mu.Lock()
	v, ok := had(&h.standing)
	turn := h.standing.turn
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
	if h.standing.turn == turn {
		put(&h.standing, v)
	}
	return v, nil
}

// letOut gives the phones that an owner let out.
func (h *Hub) letOut() (map[journal.ID]bool, error) {
	return keep(h,
		func(s *standing) (map[journal.ID]bool, bool) { return s.out, s.out != nil },
		func(tx Tx) (map[journal.ID]bool, error) {
			facts, err := tx.Scope(journal.House)
			out := map[journal.ID]bool{}
			for _, f := range journal.Live(facts, nil) {
				if f.Kind == kindOut {
					out[f.Subject] = true
				}
			}
			return out, err
		},
		func(s *standing, v map[journal.ID]bool) { s.out = v })
}

// helps gives the helpers of a batch.
func (h *Hub) helps(id journal.ID) (map[journal.ID]bool, error) {
	return keep(h,
		func(s *standing) (map[journal.ID]bool, bool) { v, ok := s.helpers[id]; return v, ok },
		func(tx Tx) (map[journal.ID]bool, error) {
			s, err := state(tx, id)
			in := map[journal.ID]bool{}
			for _, x := range s.Helpers {
				in[x.Device] = true
			}
			return in, err
		},
		func(s *standing, v map[journal.ID]bool) {
			if s.helpers == nil {
				s.helpers = map[journal.ID]map[journal.ID]bool{}
			}
			s.helpers[id] = v
		})
}

// sensorsOf gives the sensors that report, by the hash of their token.
func (h *Hub) sensorsOf() (map[string]sensor, error) {
	return keep(h,
		func(s *standing) (map[string]sensor, bool) { return s.sensors, s.sensors != nil },
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
				for _, x := range batch.FoldPlace(facts).Sensors {
					all[x.Hash] = sensor{scope.Place(), x.Name}
				}
			}
			return all, nil
		},
		func(s *standing, v map[string]sensor) { s.sensors = v })
}
