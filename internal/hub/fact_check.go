package hub

import (
	"slices"

	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// factCheck checks facts of a phone against the journal before they are appended.
type factCheck struct {
	w             *factWriter
	asker         rights.Asker
	authors       factAuthors
	curingBatches map[journal.ID]bool // by batch: whether bags cure in it, once that was asked
}

// newFactCheck sorts what finishes a batch to the end of facts, so that a bag that was opened before counts as open.
func (w *factWriter) newFactCheck(who rights.Asker, facts []journal.Fact) factCheck {
	c := factCheck{w: w, asker: who, curingBatches: map[journal.ID]bool{}}
	if who.CanWithdrawAll() {
		return c
	}
	slices.SortStableFunc(facts, func(a, b journal.Fact) int { return finishOrder(a) - finishOrder(b) })
	c.authors = newFactAuthors(w.tx, facts)
	return c
}

func finishOrder(f journal.Fact) int {
	if f.Kind == journal.KindBatchFinished {
		return 1
	}
	return 0
}

// check returns a fault (Refused) where f begins a batch again; and of a helper, where f begins what another has begun,
// undoes what another wrote, or finishes a batch in which bags cure.
func (c factCheck) check(f journal.Fact) error {
	if c.w.tx.Has(f.ID) {
		return nil
	}
	if err := c.w.checkStart(f); err != nil || c.asker.CanWithdrawAll() {
		return err
	}
	if err := c.authors.check(c.asker, f); err != nil || f.Kind != journal.KindBatchFinished {
		return err
	}
	id := f.Scope.Batch()
	cures, asked := c.curingBatches[id]
	if !asked {
		s, err := readState(c.w.tx, id, c.w.latestTime)
		if err != nil {
			return err
		}
		cures = slices.ContainsFunc(s.Bags, func(b batch.Bag) bool { return b.Stage() == "cure" })
		c.curingBatches[id] = cures
	}
	if cures { // nobody would be told any more when they are ready
		return fault.New(fault.Refused, "a helper cannot finish a batch while bags in it are still curing").
			WithHint("ask the owner, or finish it once all bags are open")
	}
	return nil
}

// checkStart returns a fault where f starts a batch again with another secret: no app does so, but a made-up file may.
func (w *factWriter) checkStart(f journal.Fact) error {
	if f.Kind != journal.KindBatchStarted {
		return nil
	}
	b, err := readState(w.tx, f.Scope.Batch(), w.latestTime)
	if err != nil || !rights.HasOtherSecret(f, b.Secret) {
		return err
	}
	return fault.New(fault.Refused, "the batch was started with another secret: its printed labels would lead nowhere").
		WithHint("the other entries of this batch were accepted")
}
