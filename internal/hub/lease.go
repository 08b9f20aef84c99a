package hub

import (
	"coldbatch/internal/batch"
	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// fewNumbersLeft is when a phone gets another block: it may be away for the rest of
// the day.
const fewNumbersLeft = 5

// leasesDue gives the blocks of bag numbers for those of the batches asked for where
// the phone has few left, or fewer than it needs for the blanks it is to print. A batch that is not known, or whose numbers have run
// out, gives none: its bags then bear the phone's letter. Nor does a phone whose
// cursor is not ours get any: the hub may have been put back from an old copy and
// have forgotten leases, which that phone is about to bring.
func (w *factWriter) leasesDue(who rights.Asker, q exchange.Request) (map[journal.ID]journal.NumbersLeased, error) {
	blocks := map[journal.ID]journal.NumbersLeased{}
	if q.Cursor == nil {
		return blocks, nil
	}
	if ours, err := isOwnCursor(w.tx, *q.Cursor); !ours {
		return blocks, err
	}
	for _, id := range q.Lease {
		if !id.Valid() || !who.CanLease(id) {
			continue
		}
		b, err := w.batchSummary(id)
		if err != nil {
			return nil, err
		}
		left, need := b.numbers.FreeCount(q.Device), min(q.Need[id], batch.MaxBlanks)
		if !b.known || left >= max(fewNumbersLeft, need) {
			continue
		}
		if block, ok := b.numbers.NextBlock(q.Device, max(journal.LeaseSize, need-left)); ok {
			blocks[id] = block
		}
	}
	return blocks, nil
}
