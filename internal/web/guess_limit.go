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
	guessedThings string // is guessed, in the plural
	hintEnding    string // ends the hint: what to do instead of waiting; may be empty
	now           func() time.Time

	mu          sync.Mutex
	totalBudget *guessBudget
	byAddress   map[netip.Addr]*guessBudget
}

// guessBudget says how many guesses are left. Pending requests count as wrong until they
// are done.
type guessBudget struct {
	*rate.Limiter
	pendingGuesses int
}

func newGuessLimiter(what, otherwise string, now func() time.Time) *guessLimiter {
	return &guessLimiter{guessedThings: what, hintEnding: otherwise, now: now, totalBudget: newGuessBudget(guessesInAll, totalRefill), byAddress: map[netip.Addr]*guessBudget{}}
}

func newGuessBudget(n int, every time.Duration) *guessBudget {
	return &guessBudget{Limiter: rate.NewLimiter(rate.Every(every), n)}
}

// waitTime returns how long it takes until a guess is left.
func (c *guessBudget) waitTime(now time.Time) time.Duration {
	short := float64(1+c.pendingGuesses) - c.TokensAt(now)
	return max(0, time.Duration(short/float64(c.Limit())*float64(time.Second)))
}

// reserve takes a guess from the budget of remote, or returns how long to wait for one.
// The caller must call end and say whether the guess was wrong.
func (g *guessLimiter) reserve(remote string) (end func(wrong bool), wait time.Duration) {
	now := g.now()
	g.mu.Lock()
	defer g.mu.Unlock()
	one := g.budgetFor(remote, now)
	if wait = max(one.waitTime(now), g.totalBudget.waitTime(now)); wait > 0 {
		return nil, wait
	}
	one.pendingGuesses++
	g.totalBudget.pendingGuesses++
	return func(wrong bool) {
		g.mu.Lock()
		defer g.mu.Unlock()
		one.pendingGuesses--
		g.totalBudget.pendingGuesses--
		if wrong {
			now := g.now()
			one.AllowN(now, 1)
			g.totalBudget.AllowN(now, 1)
		}
	}, 0
}

// budgetFor returns the budget of an address. It forgets full budgets when there are too
// many; addresses beyond maxAddresses count only in the common budget.
func (g *guessLimiter) budgetFor(remote string, now time.Time) *guessBudget {
	addr := remoteAddr(remote)
	if c := g.byAddress[addr]; c != nil {
		return c
	}
	if len(g.byAddress) >= maxAddresses {
		for a, c := range g.byAddress {
			if c.pendingGuesses == 0 && c.TokensAt(now) >= guessesPerAddress {
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

// try runs a guess of remote, unless remote has no guesses left. A guess is wrong where
// it is refused or finds nothing, and where it panics.
func (g *guessLimiter) try(remote string, guess func() error) error {
	end, wait := g.reserve(remote)
	if end == nil {
		return withRetryAfter(wait, fault.New(fault.Refused, "too many wrong %s", g.guessedThings).
			WithHint("wait %d seconds, then try again%s", retrySeconds(wait), g.hintEnding))
	}
	wrong := true
	defer func() { end(wrong) }()
	err := guess()
	wrong = fault.Is(err, fault.Refused) || fault.Is(err, fault.NotFound)
	return err
}

// limit makes an endpoint that counts the guesses of whoever has nothing but a label.
func (g *guessLimiter) limit(a endpoint) endpoint {
	return func(w http.ResponseWriter, r *http.Request, who rights.Asker) (v any, err error) {
		if who.Role != rights.LabelHolder {
			return a(w, r, who)
		}
		err = g.try(r.RemoteAddr, func() error {
			v, err = a(w, r, who)
			return err
		})
		return v, err
	}
}
