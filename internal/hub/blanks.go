package hub

import (
	"fmt"

	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// PrintBlanks gives count new numbered blanks of a batch to print, in one sheet
// together, and keeps that they were. The hub leases their numbers to itself.
func (h *Hub) PrintBlanks(id journal.ID, count int) ([]batch.BlankView, error) {
	return h.print(id, func(batch.State) ([]printing, error) {
		return []printing{{kind: journal.KindBlanks, count: count}}, nil
	})
}

// PrintTags gives a new numbered tag for each piece of a batch, and keeps that they
// were printed.
func (h *Hub) PrintTags(id journal.ID) ([]batch.BlankView, error) {
	return h.print(id, func(s batch.State) (all []printing, err error) {
		for _, p := range s.Pieces {
			all = append(all, printing{journal.KindTagged, p.ID, p.Count})
		}
		if len(all) == 0 {
			err = fault.New(fault.Missing, "batch %q has no pieces yet", s.Name).WithHint("list the pieces first, then print their tags")
		}
		return all, err
	})
}

// printing is labels to number: of a piece, or blanks.
type printing struct {
	kind  string
	piece journal.ID
	count int
}

func (h *Hub) print(id journal.ID, plan func(batch.State) ([]printing, error)) (out []batch.BlankView, err error) {
	_, err = h.write(h.world.Now(), func(p *pen) error {
		s, err := state(p.tx, id)
		if err != nil {
			return err
		}
		if s.Facts == 0 {
			return fault.New(fault.NotFound, "there is no such batch here")
		}
		all, err := plan(s)
		if err != nil {
			return err
		}
		first := len(p.took)
		for _, x := range all {
			if err := p.number(id, x); err != nil {
				return err
			}
		}
		if s, err = state(p.tx, id); err != nil {
			return err
		}
		printed := map[journal.ID]bool{}
		for _, f := range p.took[first:] {
			printed[f.ID] = true
		}
		e := batch.Env{Host: fmt.Sprintf("%s:%d", h.Host, h.HTTPS)}
		for _, tags := range []bool{false, true} {
			for _, v := range batch.Blanks(s, tags, e) {
				if printed[v.Print] {
					out = append(out, v)
				}
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

// number writes the numbers of x, with a lease for those that the hub lacks.
func (p *pen) number(id journal.ID, x printing) error {
	scope, self := journal.BatchScope(id), p.author.Device
	s, err := state(p.tx, id)
	if err != nil {
		return err
	}
	if lacks := min(x.count, batch.MostBlanks) - s.Numbers.Left(self); lacks > 0 {
		block, ok := s.Numbers.Block(self, lacks)
		if !ok || block.To-block.From+1 < lacks {
			return fault.New(fault.Conflict, "the numbers of batch %q have run out", s.Name).WithHint("a batch has %d", journal.MaxNumber)
		}
		if err := p.write(scope, self, journal.KindLeased, block); err != nil {
			return err
		}
		s.Numbers.Leases = append(s.Numbers.Leases, block)
	}
	runs, err := batch.PrintBlanks(s, batch.Env{Device: self}, x.count)
	if err != nil {
		return err
	}
	for _, r := range runs {
		if err := p.write(scope, x.piece, x.kind, r); err != nil {
			return err
		}
	}
	return nil
}
