package hub

import (
	"context"

	"coldbatch/internal/journal"
)

// viewJournal runs read in a transaction that reads. It returns the context's error
// once ctx has ended.
func (h *Hub) viewJournal(ctx context.Context, read func(Tx) error) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	return h.journal.View(func(tx Tx) error { return read(contextTx{tx, ctx}) })
}

// updateJournal runs write in a transaction that writes. Where ctx ends before write
// returns, nothing is written.
func (h *Hub) updateJournal(ctx context.Context, write func(Tx) error) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	return h.journal.Update(func(tx Tx) error {
		if err := write(contextTx{tx, ctx}); err != nil {
			return err
		}
		return ctx.Err()
	})
}

// contextTx is a transaction that fails once its context has ended. The calls that may
// take long check it.
type contextTx struct {
	Tx
	ctx context.Context
}

// Scope is Tx.Scope.
func (tx contextTx) Scope(s journal.Scope) ([]journal.Fact, error) {
	if err := tx.ctx.Err(); err != nil {
		return nil, err
	}
	return tx.Tx.Scope(s)
}

// Since is Tx.Since.
func (tx contextTx) Since(seq uint64, each func(seq uint64, f journal.Fact) bool) error {
	err := tx.Tx.Since(seq, func(seq uint64, f journal.Fact) bool {
		return tx.ctx.Err() == nil && each(seq, f)
	})
	if tx.ctx.Err() != nil {
		return tx.ctx.Err()
	}
	return err
}

// Append is Tx.Append.
func (tx contextTx) Append(f journal.Fact) (uint64, error) {
	if err := tx.ctx.Err(); err != nil {
		return 0, err
	}
	return tx.Tx.Append(f)
}

// lock is a mutex that can be waited for with a context.
type lock chan struct{}

func newLock() lock { return make(lock, 1) }

// acquire waits for the lock. It returns the context's error where ctx ends first.
func (l lock) acquire(ctx context.Context) error {
	select {
	case l <- struct{}{}:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (l lock) release() { <-l }
