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

// guest is a phone on the network, with its token.
type guest struct {
	*testPhone
	token string
}

// guest returns a phone that is not paired.
func (h *testHub) guest() *guest { return &guest{testPhone: h.phone()} }

// pair asks to be let in, as whoever its token says.
func (h *testHub) pair(g *guest, code string) (*api.Paired, error) {
	p, err := h.Pair(ctx, h.who(g), api.PairRequest{Device: g.Device, Name: "phone of " + string(g.Device[:4]), Code: code})
	if err == nil {
		g.token = p.Token
	}
	return p, err
}

func (h *testHub) mustPair(t testing.TB, g *guest, code string) *api.Paired {
	t.Helper()
	p, err := h.pair(g, code)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func (h *testHub) who(g *guest) rights.Asker {
	who, err := h.AskerByToken(ctx, g.token)
	if err != nil {
		panic(err)
	}
	return who
}

// in returns the role that the token gives g, in short: "owner", "helper 2", "out" or
// "stranger".
func (h *testHub) in(g *guest) string {
	who := h.who(g)
	switch {
	case who.Revoked:
		return "out"
	case who.Role == rights.Helper:
		return fmt.Sprintf("helper %d", len(who.Batches))
	}
	return string(who.Role)
}

// owner is a phone that an invitation let in.
func (h *testHub) owner(t testing.TB) *guest {
	t.Helper()
	g := h.guest()
	h.mustPair(t, g, h.invited(t).Shown)
	return g
}

func (h *testHub) invited(t testing.TB) *api.Invitation {
	t.Helper()
	i, err := h.Invite(ctx, h.LocalAsker())
	if err != nil {
		t.Fatal(err)
	}
	return i
}

// come exchanges until there is nothing more. An answer that is an error is ignored.
func (h *testHub) come(g *guest, lease ...journal.ID) (*exchange.Answer, error) {
	for {
		n := min(len(g.unsent), exchange.MaxFacts)
		q := exchange.Request{Device: g.Device, Cursor: g.cursor, Lease: lease}
		for _, f := range g.unsent[:n] {
			q.Facts = append(q.Facts, f.Text())
		}
		a, err := h.Exchange(ctx, h.who(g), q)
		if err != nil {
			return nil, err
		}
		g.unsent = g.unsent[n:]
		if a.Fresh {
			g.unsent = nil
			for _, f := range g.have {
				g.unsent = append(g.unsent, f)
			}
		}
		for _, f := range a.Facts {
			g.have[f.ID] = f
		}
		g.Seen, g.cursor = journal.LatestStamp(g.Seen, a.Facts, max(a.Now, a.Latest)), a.Cursor
		if !a.More && len(g.unsent) == 0 {
			return a, nil
		}
	}
}

func (h *testHub) mustCome(t testing.TB, g *guest, lease ...journal.ID) *exchange.Answer {
	t.Helper()
	a, err := h.come(g, lease...)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// does writes one fact on a phone and sends it.
func (h *testHub) does(t testing.TB, g *guest, scope journal.Scope, subject journal.ID, kind string, body any) journal.Fact {
	t.Helper()
	text, err := json.Marshal(body)
	if err != nil {
		t.Fatal(err)
	}
	f := g.write(t, journal.Draft{Scope: scope, Subject: subject, Kind: kind, Body: text})[0]
	h.mustCome(t, g)
	return f
}

// begins starts a batch and returns its id.
func (h *testHub) begins(t testing.TB, g *guest, name string) journal.ID {
	t.Helper()
	draft, id := h.startDraft(name)
	g.write(t, draft)
	h.mustCome(t, g)
	return id
}

// shares opens a batch to helpers and returns the code.
func (h *testHub) shares(t testing.TB, g *guest, batch journal.ID, until zone.Instant) string {
	t.Helper()
	var b [10]byte
	h.dice.fill(b[:])
	shown := journal.NewCode(b)
	h.does(t, g, journal.BatchScope(batch), batch, journal.KindShareOpened,
		journal.ShareOpened{Hash: hashOf(strings.ReplaceAll(shown, "-", "")), Until: until})
	return shown
}

// helper returns a phone that joined with a share code.
func (h *testHub) helper(t testing.TB, code string) *guest {
	t.Helper()
	g := h.guest()
	h.mustPair(t, g, code)
	return g
}

// hasRead reports whether the phone has received a fact.
func (g *guest) hasRead(f journal.Fact) bool { _, ok := g.have[f.ID]; return ok }

// stores reports whether the hub's journal has a fact.
func (h *testHub) stores(f journal.Fact) bool {
	return slices.ContainsFunc(h.facts, func(x journal.Fact) bool { return x.ID == f.ID })
}
