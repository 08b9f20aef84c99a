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

// Limits of wrong guesses. The 8 digits are valid for ten minutes, so they leave a
// guesser, however many addresses it has, about 360 tries in a hundred million.
const (
	guessesPerAddress, addressRefill = 10, 12 * time.Second // from one address, and how often it gets one more
	guessesInAll, totalRefill        = 60, 2 * time.Second  // from all addresses together
	maxAddresses                     = 1000                 // that have a budget of their own
)

// guessLimiter counts wrong codes of one sort. A right one costs nothing.
type guessLimiter struct {
	what string // is guessed, in the plural
	now  func() time.Time

	mu        sync.Mutex
	all       *guessBudget
	byAddress map[netip.Addr]*guessBudget
}

// guessBudget is how many guesses are left. Pending requests count as wrong until they
// are done.
type guessBudget struct {
	*rate.Limiter
	pending int
}

func newGuessLimiter(what string, now func() time.Time) *guessLimiter {
	return &guessLimiter{what: what, now: now, all: newGuessBudget(guessesInAll, totalRefill), byAddress: map[netip.Addr]*guessBudget{}}
}

func newGuessBudget(n int, every time.Duration) *guessBudget {
	return &guessBudget{Limiter: rate.NewLimiter(rate.Every(every), n)}
}

// wait returns how long it takes until a guess is left.
func (c *guessBudget) wait(now time.Time) time.Duration {
	short := float64(1+c.pending) - c.TokensAt(now)
	return max(0, time.Duration(short/float64(c.Limit())*float64(time.Second)))
}

// reserve takes a guess from the budget of remote, or returns how long to wait for one.
// The caller must call end and say whether the guess was wrong.
func (g *guessLimiter) reserve(remote string) (end func(wrong bool), wait time.Duration) {
	now := g.now()
	g.mu.Lock()
	defer g.mu.Unlock()
	one := g.budgetFor(remote, now)
	if wait = max(one.wait(now), g.all.wait(now)); wait > 0 {
		return nil, wait
	}
	one.pending++
	g.all.pending++
	return func(wrong bool) {
		g.mu.Lock()
		defer g.mu.Unlock()
		one.pending--
		g.all.pending--
		if wrong {
			now := g.now()
			one.AllowN(now, 1)
			g.all.AllowN(now, 1)
		}
	}, 0
}

// budgetFor returns the budget of an address. It forgets full budgets when there are too
// many; addresses beyond maxAddresses count only in the common budget.
func (g *guessLimiter) budgetFor(remote string, now time.Time) *guessBudget {
	var addr netip.Addr
	if a, err := netip.ParseAddrPort(remote); err == nil {
		addr = a.Addr().Unmap()
	}
	if c := g.byAddress[addr]; c != nil {
		return c
	}
	if len(g.byAddress) >= maxAddresses {
		for a, c := range g.byAddress {
			if c.pending == 0 && c.TokensAt(now) >= guessesPerAddress {
				delete(g.byAddress, a)
			}
		}
	}
	c := newGuessBudget(guessesPerAddress, addressRefill)
	if len(g.byAddress) < maxAddresses {
		g.byAddress[addr] = c
	}
	return c
}

func isAnyone(rights.Asker) bool       { return true }
func hasOnlyLabel(w rights.Asker) bool { return w.Role == rights.Label }

// limit makes an endpoint that refuses an asker without guesses left. isCounted says
// whose requests count as guesses.
func (g *guessLimiter) limit(a endpoint, isCounted func(rights.Asker) bool) endpoint {
	return func(w http.ResponseWriter, r *http.Request, who rights.Asker) (any, error) {
		if !isCounted(who) {
			return a(w, r, who)
		}
		end, wait := g.reserve(r.RemoteAddr)
		if end == nil {
			return nil, withRetryAfter(wait, fault.New(fault.Refused, "too many wrong %s", g.what).
				WithHint("wait %d seconds, then try again", seconds(wait)))
		}
		wrong := true // even where the endpoint panics
		defer func() { end(wrong) }()
		v, err := a(w, r, who)
		wrong = fault.Is(err, fault.Refused) || fault.Is(err, fault.NotFound)
		return v, err
	}
}
