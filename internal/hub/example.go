package hub

import "coldbatch/internal/journal"

// Fill writes facts into an empty journal, as for the example.
func (h *Hub) Fill(facts []journal.Fact) error {
	_, err := h.write(h.world.Now(), func(p *pen) error {
		for _, f := range facts {
			if err := p.take(&f); err != nil {
				return err
			}
		}
		return nil
	})
	return err
}
