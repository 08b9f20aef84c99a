package hub

import "coldbatch/internal/journal"

// fewNumbers is when a phone gets another block: it may be away for the rest of
// the day.
const fewNumbers = 5

// short says whether device has few bag numbers left in the batch, and which
// block it gets then. A batch that is not known, or whose numbers have run out,
// gives none: bags then bear the phone's letter.
func (h *Hub) short(tx Tx, batch, device journal.ID) (block journal.Leased, short bool, err error) {
	if !batch.Valid() {
		return block, false, nil
	}
	s, err := state(tx, batch)
	if err != nil || s.Facts == 0 || s.Numbers.Left(device) >= fewNumbers {
		return block, false, err
	}
	block, short = s.Numbers.Lease(device)
	return block, short, nil
}
