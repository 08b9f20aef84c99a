package web

import (
	"context"
	"net/http"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/rights"
)

// An answer that is built from whole batches takes memory and time by their size, which a helper
// decides. So few are built at a time (judgement): those of owners, and apart from them those of everyone else.
const (
	maxOwnerBuilds = 2
	maxOtherBuilds = 1
	buildWait      = 20 * time.Second // until a request gives up its turn
)

// A body of an exchange takes many times its size while it is read, since an empty entry is two bytes of it (judgement).
const (
	maxOwnerExchanges = 32
	maxOtherExchanges = 4
)

// A photo is read whole to check it, before it is sent from its file (judgement).
const (
	maxOwnerPhotoChecks = 8
	maxOtherPhotoChecks = 4
)

var errTooManyBuilds = &statusError{fault.New(fault.Unavailable, "the program is busy with other requests").WithHint("try again in a moment"),
	http.StatusServiceUnavailable, 5 * time.Second}

// buildLimiter holds a place for each answer that is being built.
type buildLimiter struct{ owners, others chan struct{} }

func newBuildLimiter(owners, others int) buildLimiter {
	return buildLimiter{make(chan struct{}, owners), make(chan struct{}, others)}
}

// buildInTurn waits for a place and builds. The answer is written once the place is free again, since
// whoever reads slowly must not keep it.
func buildInTurn[T any](ctx context.Context, l buildLimiter, who rights.Asker, build func() (T, error)) (v T, err error) {
	places := l.others
	if who.Role == rights.Owner {
		places = l.owners
	}
	turn, stop := context.WithTimeout(ctx, buildWait)
	defer stop()
	select {
	case places <- struct{}{}:
	case <-turn.Done():
		if ctx.Err() != nil {
			return v, ctx.Err()
		}
		return v, errTooManyBuilds
	}
	defer func() { <-places }()
	return build()
}
