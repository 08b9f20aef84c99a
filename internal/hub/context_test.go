package hub

import (
	"context"
	"encoding/json"
	"errors"
	"testing"

	"coldbatch/internal/api"
	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
)

// useCases are all calls that take a context, by name.
func useCases(h *testHub, phone *networkPhone, market journal.ID, fact journal.Fact) map[string]func(context.Context) error {
	owner := h.LocalAsker()
	helper := h.askerOf(phone)
	return map[string]func(context.Context) error{
		"About":        func(ctx context.Context) error { _, err := h.About(ctx, owner, "1"); return err },
		"AskerByToken": func(ctx context.Context) error { _, err := h.AskerByToken(ctx, phone.token); return err },
		"Pair": func(ctx context.Context) error {
			_, err := h.Pair(ctx, owner, api.PairRequest{Device: h.newID(), Code: "12345678"})
			return err
		},
		"RegisterPhone": func(ctx context.Context) error {
			_, err := h.RegisterPhone(ctx, owner, api.JoinRequest{Device: h.newID()})
			return err
		},
		"Exchange": func(ctx context.Context) error {
			_, err := h.Exchange(ctx, owner, exchange.Request{Device: h.newID(), Facts: []json.RawMessage{fact.Text()}})
			return err
		},
		"Exchange that only reads": func(ctx context.Context) error {
			_, err := h.Exchange(ctx, owner, exchange.Request{Device: h.newID()})
			return err
		},
		"ViewBag":     func(ctx context.Context) error { _, err := h.ViewBag(ctx, owner, "K7M2-Q9X4-F"); return err },
		"Invite":      func(ctx context.Context) error { _, err := h.Invite(ctx, owner); return err },
		"Phones":      func(ctx context.Context) error { _, err := h.Phones(ctx, owner); return err },
		"Quarantined": func(ctx context.Context) error { _, err := h.Quarantined(ctx, owner, phone.Device); return err },
		"Accept":      func(ctx context.Context) error { _, err := h.Accept(ctx, owner, phone.Device, 0); return err },
		"Reject":      func(ctx context.Context) error { _, err := h.Reject(ctx, owner, phone.Device); return err },
		"Requeue":     func(ctx context.Context) error { _, err := h.Requeue(ctx, owner, phone.Device); return err },
		"CanSeePhoto": func(ctx context.Context) error { _, err := h.CanSeePhoto(ctx, helper, "ab"); return err },
		"LayOutLabels": func(ctx context.Context) error {
			_, err := h.LayOutLabels(ctx, owner, LabelsRequest{Batch: "market"})
			return err
		},
		"ReserveBlanks": func(ctx context.Context) error {
			_, err := h.ReserveBlanks(ctx, owner, BlanksRequest{Batch: "market", Count: 1, Sheet: "roll-62"})
			return err
		},
		"RecordLabelsPrinted": func(ctx context.Context) error { return h.RecordLabelsPrinted(ctx, owner, Labels{Batch: market}) },
		"Import":              func(ctx context.Context) error { _, _, err := h.Import(ctx, []journal.Fact{fact}); return err },
		"SeedFacts":           func(ctx context.Context) error { return h.SeedFacts(ctx, []journal.Fact{fact}) },
		"RecordReading":       func(ctx context.Context) error { return h.RecordReading(ctx, "0000-0000-0000-0000", 18) },
	}
}

// newBusyHub is a hub with a batch, a helper in it, and a fact that it does not have.
func newBusyHub(t *testing.T) (*testHub, map[string]func(context.Context) error) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	fact := one.write(t, remarkDraft(market, "n"))[0]
	cases := useCases(h, kai, market, fact)
	h.derived = derivedCache{summaries: map[journal.ID]batchSummary{}} // so that every case has to read
	return h, cases
}

// A use case with a cancelled context returns an error and writes nothing.
func TestCancelledContext(t *testing.T) {
	h, cases := newBusyHub(t)
	ended, end := context.WithCancel(t.Context())
	end()
	facts, updates := len(h.facts), h.updates
	for name, call := range cases {
		if err := call(ended); !errors.Is(err, context.Canceled) {
			t.Errorf("%s: got %v, want the context's error", name, err)
		}
	}
	if len(h.facts) != facts || h.updates != updates {
		t.Errorf("%d facts and %d updates were written", len(h.facts)-facts, h.updates-updates)
	}
}

// A use case that waits for another to write stops waiting when its context is cancelled.
func TestContextCancelledWhileWaiting(t *testing.T) {
	h, cases := newBusyHub(t)
	for _, name := range []string{"Exchange", "Invite", "Import", "ReserveBlanks"} {
		if err := h.factWriteLock.acquire(t.Context()); err != nil {
			t.Fatal(err)
		}
		waiting, end := context.WithCancel(t.Context())
		done := make(chan error)
		go func() { done <- cases[name](waiting) }()
		end()
		if err := <-done; !errors.Is(err, context.Canceled) {
			t.Errorf("%s: got %v, want the context's error", name, err)
		}
		h.factWriteLock.release()
	}
}

// cancellingJournal ends a context within the transaction that it is told to.
type cancellingJournal struct {
	*memoryJournal
	end func()
}

func (j cancellingJournal) Update(write func(Tx) error) error {
	return j.memoryJournal.Update(func(tx Tx) error { j.end(); return write(tx) })
}

// A context that is cancelled within a transaction rolls the transaction back.
func TestContextCancelledInTransaction(t *testing.T) {
	for _, name := range []string{"Exchange", "Import", "SeedFacts", "ReserveBlanks", "Invite"} {
		h, cases := newBusyHub(t)
		ending, end := context.WithCancel(t.Context())
		h.Hub.journal = cancellingJournal{h.memoryJournal, end}
		facts, updates := len(h.facts), h.updates
		if err := cases[name](ending); !errors.Is(err, context.Canceled) {
			t.Errorf("%s: got %v, want the context's error", name, err)
		}
		if len(h.facts) != facts || h.updates != updates {
			t.Errorf("%s: it wrote %d facts", name, len(h.facts)-facts)
		}
	}
}
