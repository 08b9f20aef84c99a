package hub

import (
	"encoding/json"
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
