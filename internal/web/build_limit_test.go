package web

import (
	"context"
	"net/http"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/rights"
)

// Sixty label holders and helpers, and ten owners, ask at once for what is built from a whole batch: few are
// built at a time, owners do not wait for the others, and all are answered.
func TestFewAreBuiltAtATime(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := newBuildLimiter(maxOwnerBuilds, maxOtherBuilds)
		var now, most [2]atomic.Int32
		var answered, ownersDone atomic.Int32
		var all sync.WaitGroup
		ask := func(role rights.Role) {
			kind := 0
			if role == rights.Owner {
				kind = 1
			}
			all.Go(func() {
				_, err := buildInTurn(t.Context(), l, rights.Asker{Role: role}, func() (int, error) {
					n := now[kind].Add(1)
					defer now[kind].Add(-1)
					for was := most[kind].Load(); n > was && !most[kind].CompareAndSwap(was, n); was = most[kind].Load() {
					}
					time.Sleep(100 * time.Millisecond)
					return 1, nil
				})
				if err != nil {
					t.Error(err)
				}
				answered.Add(1)
				if kind == 1 {
					ownersDone.Add(1)
				}
			})
		}
		for range 30 {
			ask(rights.LabelHolder)
			ask(rights.Helper)
		}
		for range 10 {
			ask(rights.Owner)
		}
		time.Sleep(time.Second)
		if n := ownersDone.Load(); n != 10 {
			t.Errorf("after a second %d of 10 owners were answered", n)
		}
		all.Wait()
		if answered.Load() != 70 || most[0].Load() != maxOtherBuilds || most[1].Load() != maxOwnerBuilds {
			t.Errorf("%d were answered, %d of strangers and helpers and %d of owners were built at once", answered.Load(), most[0].Load(), most[1].Load())
		}
	})
}

// One whose turn never comes is told so, and a place is free again after a build that panics or whose
// asker went away.
func TestTurnThatNeverComes(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l := newBuildLimiter(maxOwnerBuilds, maxOtherBuilds)
		who := rights.Asker{Role: rights.Helper}
		release := make(chan struct{})
		go buildInTurn(t.Context(), l, who, func() (int, error) { <-release; return 0, nil })
		synctest.Wait()
		_, err := buildInTurn(t.Context(), l, who, func() (int, error) { t.Error("it was built"); return 0, nil })
		if e, ok := err.(*statusError); !ok || e.status != http.StatusServiceUnavailable || e.retryAfter == 0 || !fault.Is(err, fault.Unavailable) {
			t.Errorf("it is told %v", err)
		}
		gone, cancel := context.WithCancel(t.Context())
		cancel()
		if _, err := buildInTurn(gone, l, who, func() (int, error) { return 0, nil }); err != context.Canceled {
			t.Errorf("one that went away: %v", err)
		}
		close(release)
		synctest.Wait()
		func() {
			defer func() { _ = recover() }()
			_, _ = buildInTurn(t.Context(), l, who, func() (int, error) { panic("a fault of the program") })
		}()
		if v, err := buildInTurn(t.Context(), l, who, func() (int, error) { return 7, nil }); v != 7 || err != nil {
			t.Errorf("the place is not free again: %v %v", v, err)
		}
	})
}
