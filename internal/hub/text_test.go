package hub

import (
	"encoding/json"
	"strings"
	"testing"

	"coldbatch/internal/api"
	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// A helper's fact with control characters or marks of direction is refused with a sentence;
// one that is in the journal already is read, and shown without.
func TestHiddenCharactersOfAHelper(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	code := h.shareBatch(t, one, market, 0)
	kai := h.newUnpairedPhone()
	if _, err := h.Pair(ctx, rights.Asker{}, api.PairRequest{Device: kai.Device, Name: "K\x1b]0;a\u202ei", Code: code}); err != nil {
		t.Fatal(err)
	}
	kai = h.addHelper(t, code)
	for _, text := range []string{"\x1b[2J", "a\u202eb", "\a"} {
		body, err := json.Marshal(map[string]string{"note": text})
		if err != nil {
			t.Fatal(err)
		}
		note := kai.write(t, journal.Draft{Scope: journal.BatchScope(market), Subject: market, Kind: journal.KindBatchFinished, Body: body})[0]
		a, err := h.Exchange(ctx, h.askerOf(kai), exchange.Request{Device: kai.Device, Facts: []json.RawMessage{note.Text()}})
		if err != nil || len(a.Acks) != 0 || len(a.Refused) != 1 || !strings.Contains(a.Refused[0].Sentence, "has the character U+") {
			t.Errorf("%q: %+v %v", text, a, err)
		}
	}
	old := h.recordFact(t, one, journal.BatchScope(market), market, journal.KindBatchChanged, map[string]string{"name": "mar\x1b\u202eket"})
	if !h.hasFact(old) {
		t.Fatal("the old fact is gone")
	}
	list, err := h.Phones(ctx, h.LocalAsker())
	if err != nil {
		t.Fatal(err)
	}
	shown := ""
	for _, p := range list {
		shown += p.Name
		for _, b := range p.Batches {
			shown += b.Name
		}
	}
	if !strings.Contains(shown, "K]0;ai") || strings.Contains(shown, "\x1b") || strings.Contains(shown, "\u202e") {
		t.Errorf("shown is %q", shown)
	}
}
