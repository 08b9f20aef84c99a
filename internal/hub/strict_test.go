package hub

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
)

// The hub takes the facts of an owner's phone that read, and no others: none of those comes
// into the journal.
func TestOddFactsAreRefused(t *testing.T) {
	text, err := os.ReadFile("../../testdata/exchange/odd-facts.json")
	if err != nil {
		t.Fatal(err)
	}
	var rows []struct {
		Why   string `json:"why"`
		Reads bool   `json:"reads"`
		Text  string `json:"text"`
	}
	if err := json.Unmarshal(text, &rows); err != nil {
		t.Fatal(err)
	}
	h := newTestHub(t)
	one := h.addOwner(t)
	for _, row := range rows {
		n := len(h.facts)
		sent := strings.ReplaceAll(row.Text, "%FF", "\xff")
		a, err := h.Exchange(ctx, h.askerOf(one), exchange.Request{Device: one.Device, Facts: []factText{factText(sent)}})
		if err != nil {
			t.Fatal(err)
		}
		if taken := len(h.facts) > n; taken != row.Reads || len(a.Acks) == 1 != row.Reads || len(a.Refused) == 1 == row.Reads {
			t.Errorf("%s: taken %v, %+v", row.Why, taken, a.Refused)
		}
	}
	for _, f := range h.facts {
		if _, err := journal.ReadFact(f.Text()); err != nil {
			t.Errorf("the journal holds %s: %v", f.Text(), err)
		}
	}
}

// What a phone wrote itself and no screen would show, since its body does not hold what its kind
// needs, was acknowledged once and never seen again. It is refused with a sentence, so that it
// stays on that phone with the reason. A body of a newer version is stored, but not a helper's: the hub
// serves the helpers their app, and an owner could not even undo what every screen trips over.
func TestBodiesThatNoScreenShows(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	scope, now := journal.BatchScope(market), int64(h.now)
	for n, g := range []*networkPhone{one, kai} {
		for i, body := range []string{`{"kind":"shirt","count":1000000000,"grams":150}`, `{"kind":"shirt","count":1,"grams":-5}`,
			`{"kind":"shirt","count":1,"grams":150,"note":"` + strings.Repeat("x", 20000) + `"}`, `{"kind":7}`} {
			f := h.forgeFact(g, fmt.Sprintf("%012x%04x", now, 16*n+i), scope, h.newID(), journal.KindPieceAdded, body, now)
			a := h.sendForged(t, g, f)
			if len(a.Acks) != 0 || len(a.Refused) != 1 || a.Refused[0].Sentence == "" {
				t.Errorf("%.60s: %d acknowledged, refused %+v", body, len(a.Acks), a.Refused)
			}
		}
		newer := strings.Replace(string(h.forgeFact(g, fmt.Sprintf("%012x%04x", now, 16*n+9), scope, h.newID(), journal.KindPieceAdded, `{"kind":7}`, now)), `"v":1`, `"v":9`, 1)
		if a := h.sendForged(t, g, factText(newer)); len(a.Acks) == 1 != (g == one) {
			t.Errorf("a body of a newer version: %+v", a.Refused)
		}
	}
	s, err := readState(memoryTx{h.memoryJournal, false}, market, h.now)
	if err != nil || len(s.Pieces) != 0 || s.FactCount > 6 {
		t.Errorf("%d pieces, %d facts, %v", len(s.Pieces), s.FactCount, err)
	}
}
