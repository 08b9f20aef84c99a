package hub

import (
	"encoding/json"
	"testing"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// Whatever a phone sends, the hub answers or refuses; of each fact that reads it
// says what became of it, and a second time it says the same.
func FuzzRequest(f *testing.F) {
	h := newTestHub(f)
	one := h.addOwner(f)
	market := h.startBatch(f, one, "market")
	kai := h.addHelper(f, h.shareBatch(f, one, market, 0))
	gone := h.addHelper(f, h.shareBatch(f, one, market, 0))
	h.removePhone(f, one, gone)
	seed := func(g *networkPhone, q exchange.Request) {
		q.Device = g.Device
		text, err := json.Marshal(q)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
	}
	for _, g := range []*networkPhone{one, kai, gone} {
		draft, _ := h.startDraft("another")
		facts := g.write(f, draft, remarkDraft(market, "n"), h.newReadingDraft("18"))
		seed(g, exchange.Request{Facts: factTexts(facts), Lease: append([]journal.ID{"", "x"}, market)})
		seed(g, exchange.Request{Cursor: h.mustSyncPhone(f, one).Cursor, Facts: []factText{[]byte(`{"id":"x"}`), []byte(`7`), []byte(`null`), []byte(`{}`)}})
		seed(g, exchange.Request{Cursor: &exchange.Cursor{Seq: 1 << 63, FactID: "x", ScopesHash: "y", Epoch: "z", JournalEnd: 1 << 63}})
	}
	f.Add([]byte(`{"device":null,"cursor":{},"facts":[[]],"lease":[null]}`))
	copied := copyJournal(h)
	askers := []rights.Asker{h.LocalAsker(), h.askerOf(one), h.askerOf(kai), h.askerOf(gone), {Role: rights.LabelHolder}, {Role: rights.Stranger}, {}}
	f.Fuzz(func(t *testing.T, text []byte) {
		var q exchange.Request
		if json.Unmarshal(text, &q) != nil {
			return
		}
		h.restore(t, copied)
		for _, who := range askers {
			for range 2 {
				a, err := h.Exchange(ctx, who, q)
				if err != nil {
					if told := fault.AsFault(err); told.Code == fault.Internal || told.Sentence == "" {
						t.Fatalf("%s was told %v", who.Role, err)
					}
					continue
				}
				if len(a.Acks)+len(a.Refused) != len(q.Facts) {
					t.Fatalf("%d taken and %d refused of %d", len(a.Acks), len(a.Refused), len(q.Facts))
				}
				for _, id := range a.Acks {
					if !(memoryTx{h.memoryJournal, false}).Has(id) {
						t.Fatalf("%s was acknowledged and is not here", id)
					}
				}
				if _, err := json.Marshal(a); err != nil {
					t.Fatal(err)
				}
			}
		}
		for _, kept := range h.facts { // what was taken reads
			var f journal.Fact
			if err := json.Unmarshal(kept.Text(), &f); err != nil {
				t.Fatalf("%s is kept: %v", kept.Text(), err)
			}
		}
		if _, err := h.Phones(ctx, h.LocalAsker()); err != nil {
			t.Fatal(err)
		}
		if _, err := h.Quarantined(ctx, h.LocalAsker(), gone.Device); err != nil {
			t.Fatal(err)
		}
	})
}
