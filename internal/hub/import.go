package hub

import (
	"slices"

	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// Import takes in facts of a file that a phone saved, whoever wrote them, and gives
// how many were new. What an owner's phone could not bring is refused.
func (h *Hub) Import(facts []journal.Fact) (added int, refused []exchange.Refusal, err error) {
	refused = []exchange.Refusal{}
	if err := h.ours(); err != nil {
		return 0, refused, err
	}
	for part := range slices.Chunk(facts, exchange.MaxFacts) {
		p, err := h.write(h.world.Now(), func(p *pen) error {
			for _, f := range part {
				if err := rights.Pass(rights.Owner, f, nil); err != nil {
					refused = append(refused, refusal(f.ID, err))
				} else if err := p.take(&f); err != nil {
					return err
				}
			}
			return nil
		})
		if err != nil {
			return added, refused, err
		}
		added += len(p.took)
		h.hint(p.seq)
	}
	return added, refused, nil
}
