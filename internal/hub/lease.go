package hub

import (
	"coldbatch/internal/batch"
	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// minNumbersLeft says how many free numbers a phone keeps before it gets another block:
// it may be out of range for the rest of the day.
const minNumbersLeft = 5

// maxHelperNumber is the highest number that a helper's phone gets: the rest is the owner's,
// however many numbers helpers ask for. A judgement: half of them.
const maxHelperNumber = journal.MaxNumber / 2

// leasesDue returns the blocks of bag numbers that a phone should get: for each batch
// it asks for where it has few numbers left, or fewer than it needs for blanks. An
// unknown batch, and one whose numbers have run out, gets none; its bags then carry
// the phone's letter. A phone whose cursor is not this journal's gets none either: the
// hub may have been restored from a backup and lack leases that this phone is about to
// send.
func (w *factWriter) leasesDue(who rights.Asker, q exchange.Request) (map[journal.ID]journal.NumbersLeased, error) {
	blocks := map[journal.ID]journal.NumbersLeased{}
	if q.Cursor == nil {
		return blocks, nil
	}
	if own, err := isOwnCursor(w.tx, *q.Cursor); !own {
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
		left, need := b.numbers.FreeCount(q.Device), min(q.WantedNumbers[id], batch.MaxBlanks)
		if !b.hasFacts || left >= max(minNumbersLeft, need) {
			continue
		}
		block, ok := b.numbers.NextFreeBlock(q.Device, max(journal.LeaseSize, need-left))
		if ok && (who.Role == rights.Owner || block.LastNumber <= maxHelperNumber) {
			blocks[id] = block
		}
	}
	return blocks, nil
}
