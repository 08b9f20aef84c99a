package hub

import (
	"testing"

	"coldbatch/internal/batchview"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// A helper closes a bag with the id of another batch's bag: both are announced.
func TestReadyOfTwoBagsWithOneID(t *testing.T) {
	h := newTestHub(t)
	bag, ready := h.newID(), h.now
	group := func(batch journal.ID) batchview.ReadyGroup {
		return batchview.ReadyGroup{Key: string(batch), Bags: []batchview.ReadyBag{{Batch: batch, Bag: bag, Ready: ready}}}
	}
	groups := []batchview.ReadyGroup{group(h.newID()), group(h.newID())}
	for round, want := range []int{2, 0} {
		if taken, err := h.TakeReady(ctx, groups); err != nil || len(taken) != want {
			t.Errorf("round %d: %d announced, want %d, %v", round, len(taken), want, err)
		}
	}
	h.open(t)
	if taken, err := h.TakeReady(ctx, groups); err != nil || len(taken) != 0 {
		t.Errorf("opened again: %d announced, %v", len(taken), err)
	}
}

// While the clock was ten years ahead, a bag that still cures was announced as ready. Once the
// clock was right again, it was never announced at its own time. A clock that goes back by a
// minute announces nothing twice, nor does a restart.
func TestReadyAgainAfterAWrongClock(t *testing.T) {
	h := newTestHub(t)
	start := h.now
	groups := []batchview.ReadyGroup{{Key: "x", Bags: []batchview.ReadyBag{{Bag: h.newID(), Ready: start.Add(20 * zone.Hour)}}}}
	for _, row := range []struct {
		why   string
		after zone.Span
		want  int
	}{
		{"it cures", zone.Hour, 0},
		{"the clock is ten years ahead", 3652 * zone.Day, 1},
		{"it is right again, and the bag still cures", 2 * zone.Hour, 0},
		{"its own time", 20 * zone.Hour, 1},
		{"the clock goes back by a minute", 20*zone.Hour - zone.Minute, 0},
		{"later", 21 * zone.Hour, 0},
	} {
		h.now = start.Add(row.after)
		taken, err := h.TakeReady(ctx, groups)
		if err != nil || len(taken) != row.want {
			t.Errorf("%s: %d announced, want %d, %v", row.why, len(taken), row.want, err)
		}
		h.open(t)
	}
}
