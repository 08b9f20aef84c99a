package hub

import "coldbatch/internal/journal"

// Fill writes facts into an empty journal, as for the example.
func (h *Hub) Fill(facts []journal.Fact) error {
	return h.journal.Update(func(tx Tx) error {
		p := h.pen(tx, h.world.Now())
		for _, f := range facts {
			if err := p.take(f); err != nil {
				return err
			}
		}
		_, err := p.done()
		return err
	})
}
