package hub

import (
	"maps"
	"slices"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/house"
	"coldbatch/internal/journal"
)

// standing is what follows from the journal's facts and is asked at every call,
// kept in memory: who is let out, what the hub needs of each batch, which sensors
// report. What a fact makes doubtful is dropped once it is written, and worked out
// again at the next question.
type standing struct {
	turn    uint64 // counts the droppings: what was worked out before one is not kept
	out     map[journal.ID]bool
	briefs  map[journal.ID]brief
	sensors map[string]sensor // by the hash of their token
}

// brief is what the hub needs of a batch. It is not changed once it is made.
type brief struct {
	known   bool // the batch has facts
	helpers map[journal.ID]bool
	shares  []batch.Share
	places  []journal.ID // where its bags stand or stood
	numbers journal.Numbers
}

// doubtful is what facts of a transaction make doubtful.
type doubtful struct {
	house   bool
	batches map[journal.ID]bool
	sensors bool
}

// inBrief are the kinds of fact that a brief is made of, but for who helps.
var inBrief = map[string]bool{journal.KindLeased: true, journal.KindBlanks: true, journal.KindTagged: true, "bag.closed": true, "bag.moved": true}

// by notes what f makes doubtful, and gives the batch if it is one.
func (d *doubtful) by(f *journal.Fact) (dropped journal.ID) {
	undo := f.Kind == journal.KindWithdrawn || f.Kind == journal.KindRestored
	switch sort, id := f.Scope.Split(); sort {
	case "house":
		d.house = true
	case "batch":
		// What a newer program wrote of a bag hides what older ones know of it.
		if undo || inBrief[f.Kind] || strings.HasPrefix(f.Kind, shareKinds) || f.Need > batch.StateVersion {
			d.batches[id] = true
			return id
		}
	case "place":
		d.sensors = d.sensors || undo || f.Kind == "place.sensed"
	}
	return ""
}

// settled forgets what p made doubtful, once it is written, and keeps what p worked
// out after that. No other may have written in between.
func (h *Hub) settled(p *pen) {
	h.mu.Lock()
	defer h.mu.Unlock()
	s, d := &h.standing, p.doubts
	if d.house || d.sensors || len(d.batches) > 0 {
		s.turn++
	}
	if d.house {
		s.out = nil
	}
	if d.sensors {
		s.sensors = nil
	}
	maps.DeleteFunc(s.briefs, func(id journal.ID, _ brief) bool { return d.batches[id] })
	maps.Copy(s.briefs, p.briefs)
}

// keep works something out from the journal and keeps it, unless it became
// doubtful meanwhile. It must not be called within a transaction: what that one
// reads may be older than what was dropped.
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
			return outOf(facts), err
		},
		func(s *standing, v map[journal.ID]bool) { s.out = v })
}

// outOf reads from the house's facts which phones an owner let out.
func outOf(facts []journal.Fact) map[journal.ID]bool {
	out := map[journal.ID]bool{}
	for _, p := range house.Fold(facts) {
		if len(p.Revoked) > 0 {
			out[p.Device] = true
		}
	}
	return out
}

// brief gives that of a batch.
func (h *Hub) brief(id journal.ID) (brief, error) {
	return keep(h,
		func(s *standing) (brief, bool) { v, ok := s.briefs[id]; return v, ok },
		func(tx Tx) (brief, error) { return briefOf(tx, id) },
		func(s *standing, v brief) {
			if v.known { // else its first fact may be one that makes nothing doubtful
				s.briefs[id] = v
			}
		})
}

// brief gives that of a batch within a transaction. One that writes has no other
// beside it, so what is in memory is what it sees, but for what it wrote itself.
func (p *pen) brief(id journal.ID) (brief, error) {
	if b, ok := p.briefs[id]; ok {
		return b, nil
	}
	if !p.doubts.batches[id] {
		p.hub.mu.Lock()
		b, ok := p.hub.standing.briefs[id]
		p.hub.mu.Unlock()
		if ok {
			return b, nil
		}
	}
	b, err := briefOf(p.tx, id)
	if err == nil && b.known {
		p.briefs[id] = b
	}
	return b, err
}

func briefOf(tx Tx, id journal.ID) (brief, error) {
	s, err := state(tx, id)
	if err != nil {
		return brief{}, err
	}
	b := brief{known: s.Facts > 0, helpers: map[journal.ID]bool{}, shares: s.Shares, numbers: s.Numbers}
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
