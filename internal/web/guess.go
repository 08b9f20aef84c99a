package web

import (
	"net/http"
	"net/netip"
	"sync"
	"time"

	"golang.org/x/time/rate"

	"coldbatch/internal/fault"
	"coldbatch/internal/rights"
)

// What wrong guesses are let pass. At 8 digits that are good for ten minutes this
// leaves a guesser, however many addresses it has, some 360 tries in a hundred
// million.
const (
	fromOne, oneEvery = 10, 12 * time.Second // from one address, and one more every …
	inAll, anyEvery   = 60, 2 * time.Second  // from all together
	manyAddresses     = 1000                 // addresses that are counted one by one
)

// guesses counts wrong codes of one sort. What was right costs nothing.
type guesses struct {
	what string // is guessed
	now  func() time.Time

	mu  sync.Mutex
	all *count
	by  map[netip.Addr]*count
}

// count is what is left to guess, less the requests under way, which may all turn
// out wrong.
type count struct {
	*rate.Limiter
	open int
}

func newGuesses(what string, now func() time.Time) *guesses {
	return &guesses{what: what, now: now, all: newCount(inAll, anyEvery), by: map[netip.Addr]*count{}}
}

func newCount(n int, every time.Duration) *count {
	return &count{Limiter: rate.NewLimiter(rate.Every(every), n)}
}

// wait gives how long until the next guess is free.
func (c *count) wait(now time.Time) time.Duration {
	short := float64(1+c.open) - c.TokensAt(now)
	return max(0, time.Duration(short/float64(c.Limit())*float64(time.Second)))
}

// begin takes a guess from remote, or says after how long there will be one. End
// must be called with whether it was wrong.
func (g *guesses) begin(remote string) (end func(wrong bool), wait time.Duration) {
	now := g.now()
	g.mu.Lock()
	defer g.mu.Unlock()
	one := g.of(remote, now)
	if wait = max(one.wait(now), g.all.wait(now)); wait > 0 {
		return nil, wait
	}
	one.open++
	g.all.open++
	return func(wrong bool) {
		g.mu.Lock()
		defer g.mu.Unlock()
		one.open--
		g.all.open--
		if wrong {
			now := g.now()
			one.AllowN(now, 1)
			g.all.AllowN(now, 1)
		}
	}, 0
}

// of gives the count of an address. Those that have all their guesses again are
// forgotten; beyond manyAddresses the rest only count together.
func (g *guesses) of(remote string, now time.Time) *count {
	var addr netip.Addr
	if a, err := netip.ParseAddrPort(remote); err == nil {
		addr = a.Addr().Unmap()
	}
	if c := g.by[addr]; c != nil {
		return c
	}
	if len(g.by) >= manyAddresses {
		for a, c := range g.by {
			if c.open == 0 && c.TokensAt(now) >= fromOne {
				delete(g.by, a)
			}
		}
	}
	c := newCount(fromOne, oneEvery)
	if len(g.by) < manyAddresses {
		g.by[addr] = c
	}
	return c
}

func anyone(rights.Asker) bool           { return true }
func whoHoldsALabel(w rights.Asker) bool { return w.Role == rights.Label }

// bounded answers with a only while there are guesses left, to those that are
// counted.
func (g *guesses) bounded(a answer, counted func(rights.Asker) bool) answer {
	return func(w http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
		if !counted(who) {
			return a(w, r, who)
		}
		end, wait := g.begin(r.RemoteAddr)
		if end == nil {
			return nil, later(wait, fault.New(fault.Refused, "too many wrong %s came from here", g.what).
				WithHint("wait %d seconds, then try the right one", seconds(wait)))
		}
		wrong := true // also where it panics
		defer func() { end(wrong) }()
		v, err := a(w, r, who)
		wrong = fault.Is(err, fault.Refused) || fault.Is(err, fault.NotFound)
		return v, err
	}
}
