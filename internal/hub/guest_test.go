package hub

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"coldbatch/internal/api"
	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// networkPhone is a phone on the network, with its token.
type networkPhone struct {
	*testPhone
	token string
}

// newUnpairedPhone returns a phone that is not paired.
func (h *testHub) newUnpairedPhone() *networkPhone { return &networkPhone{testPhone: h.newPhone()} }

// pair pairs g by a code and gives it the new token. g asks as whoever its token says.
func (h *testHub) pair(g *networkPhone, code string) (*api.PairAnswer, error) {
	p, err := h.Pair(ctx, h.askerOf(g), api.PairRequest{Device: g.Device, Name: "phone of " + string(g.Device[:4]), Code: code})
	if err == nil {
		g.token = p.Token
	}
	return p, err
}

func (h *testHub) mustPair(t testing.TB, g *networkPhone, code string) *api.PairAnswer {
	t.Helper()
	p, err := h.pair(g, code)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func (h *testHub) askerOf(g *networkPhone) rights.Asker {
	who, err := h.AskerByToken(ctx, g.token)
	if err != nil {
		panic(err)
	}
	return who
}

// roleOf returns the role that the token gives g, in short: "owner", "helper 2", "out" or
// "stranger".
func (h *testHub) roleOf(g *networkPhone) string {
	who := h.askerOf(g)
	switch {
	case who.Revoked:
		return "out"
	case who.Role == rights.Helper:
		return fmt.Sprintf("helper %d", len(who.Batches))
	}
	return string(who.Role)
}

// addOwner returns a new phone that an invitation has paired.
func (h *testHub) addOwner(t testing.TB) *networkPhone {
	t.Helper()
	g := h.newUnpairedPhone()
	h.mustPair(t, g, h.mustInvite(t).GroupedCode)
	return g
}

func (h *testHub) mustInvite(t testing.TB) *api.Invitation {
	t.Helper()
	i, err := h.Invite(ctx, h.LocalAsker())
	if err != nil {
		t.Fatal(err)
	}
	return i
}

// syncPhone exchanges until there is nothing more to send or to read. After an error the
// phone keeps its state.
func (h *testHub) syncPhone(g *networkPhone, lease ...journal.ID) (*exchange.Answer, error) {
	for {
		n := min(len(g.unsentFacts), exchange.MaxFacts)
		q := exchange.Request{Device: g.Device, Cursor: g.cursor, Lease: lease}
		for _, f := range g.unsentFacts[:n] {
			q.Facts = append(q.Facts, f.Text())
		}
		a, err := h.Exchange(ctx, h.askerOf(g), q)
		if err != nil {
			return nil, err
		}
		g.unsentFacts = g.unsentFacts[n:]
		if a.StartsOver {
			g.unsentFacts = nil
			for _, f := range g.facts {
				g.unsentFacts = append(g.unsentFacts, f)
			}
		}
		for _, f := range a.Facts {
			g.facts[f.ID] = f
		}
		g.LatestStamp, g.cursor = journal.LatestStamp(g.LatestStamp, a.Facts, max(a.Now, a.LatestHubTime)), a.Cursor
		if !a.HasMore && len(g.unsentFacts) == 0 {
			return a, nil
		}
	}
}

func (h *testHub) mustSyncPhone(t testing.TB, g *networkPhone, lease ...journal.ID) *exchange.Answer {
	t.Helper()
	a, err := h.syncPhone(g, lease...)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// recordFact writes one fact on a phone and sends it.
func (h *testHub) recordFact(t testing.TB, g *networkPhone, scope journal.Scope, subject journal.ID, kind string, body any) journal.Fact {
	t.Helper()
	text, err := json.Marshal(body)
	if err != nil {
		t.Fatal(err)
	}
	f := g.write(t, journal.Draft{Scope: scope, Subject: subject, Kind: kind, Body: text})[0]
	h.mustSyncPhone(t, g)
	return f
}

// startBatch starts a batch and returns its id.
func (h *testHub) startBatch(t testing.TB, g *networkPhone, name string) journal.ID {
	t.Helper()
	draft, id := h.startDraft(name)
	g.write(t, draft)
	h.mustSyncPhone(t, g)
	return id
}

// shareBatch opens a batch to helpers and returns the code.
func (h *testHub) shareBatch(t testing.TB, g *networkPhone, batch journal.ID, until zone.Instant) string {
	t.Helper()
	var b [10]byte
	h.random.fill(b[:])
	shown := journal.NewCode(b)
	h.recordFact(t, g, journal.BatchScope(batch), batch, journal.KindShareOpened,
		journal.ShareOpened{Hash: hashOf(strings.ReplaceAll(shown, "-", "")), Until: until})
	return shown
}

// addHelper returns a new phone that joined with a share code.
func (h *testHub) addHelper(t testing.TB, code string) *networkPhone {
	t.Helper()
	g := h.newUnpairedPhone()
	h.mustPair(t, g, code)
	return g
}

// hasRead reports whether the phone has received a fact.
func (g *networkPhone) hasRead(f journal.Fact) bool { _, ok := g.facts[f.ID]; return ok }

// hasFact reports whether the hub's journal has a fact.
func (h *testHub) hasFact(f journal.Fact) bool {
	return slices.ContainsFunc(h.facts, func(x journal.Fact) bool { return x.ID == f.ID })
}
