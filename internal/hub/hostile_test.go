package hub

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
	"coldbatch/internal/label"
)

// forged writes a fact as its text, past everything that checks what an honest
// phone writes.
func (h *home) forged(g *guest, stamp string, scope journal.Scope, subject journal.ID, kind, body string, at int64) rawText {
	return rawText(fmt.Sprintf(`{"id":%q,"stamp":%q,"device":%q,"scope":%q,"subject":%q,"kind":%q,"v":1,"need":1,"at":%d,"tz":"UTC","body":%s}`,
		h.id(), stamp, g.Device, scope, subject, kind, at, body))
}

func (h *home) brings(t *testing.T, g *guest, facts ...rawText) *exchange.Answer {
	t.Helper()
	a, err := h.Exchange(h.who(g), exchange.Request{Device: g.Device, Facts: facts})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// A helper's phone that means harm brings facts with the most extreme numbers that
// read. The hub goes on: what it writes afterwards reads, and it answers in time.
func TestExtremeFacts(t *testing.T) {
	h := newHouse(t)
	one := h.owner(t)
	market := h.begins(t, one, "market")
	kai := h.helper(t, h.shares(t, one, market, 0))
	scope, now := journal.BatchScope(market), int64(h.now)
	const ends = 7258118400000 // the first instant of 2200, beyond which no stamp reads
	stamp := func(ms int64, n int) string { return fmt.Sprintf("%012x%04x", ms, n) }
	bag, piece, place := h.id(), h.id(), h.id()
	hub := &guest{phone: &phone{Author: journal.Author{Device: h.ID}}}
	hugest := `"count":9223372036854775807`
	a := h.brings(t, kai,
		h.forged(hub, stamp(now, 0), scope, market, journal.KindLeased, fmt.Sprintf(`{"device":%q,"from":-9223372036854775808,"to":9223372036854775807}`, kai.Device), now),
		h.forged(kai, stamp(now, 1), scope, piece, "piece.added", `{"kind":"shirt","grams":1e300,`+hugest+`}`, now),
		h.forged(kai, stamp(now, 2), scope, bag, "bag.closed", fmt.Sprintf(`{"number":1,"place":%q,"pieces":[{"piece":%q,%s}],"colours":[{"colour":%q,"share":1e308}]}`, place, piece, hugest, h.id()), 0),
		h.forged(kai, stamp(now, 3), scope, bag, "bag.moved", fmt.Sprintf(`{"place":%q}`, place), ends),
		h.forged(kai, stamp(now, 4), scope, bag, "bag.rinsed", `{"baths":9223372036854775807}`, ends),
		h.forged(kai, stamp(ends, 1<<16-1), scope, market, "batch.changed", `{"note":"x"}`, ends),
	)
	if len(a.Acks) != 6 {
		t.Fatalf("%+v", a)
	}
	h.does(t, one, journal.PlaceScope(place), place, "place.usual", journal.PlaceUsual{Low: -40, High: 90})
	h.does(t, one, journal.PlaceScope(place), place, "place.read", journal.PlaceRead{Celsius: 18})
	began := time.Now()
	h.mustCome(t, one, market)
	h.mustCome(t, one, market)
	h.begins(t, one, "gifts")
	h.owner(t) // the hub writes that it joined
	s, err := state(memoryTx{h.memory, false}, market)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := h.Bag(h.Local(), label.MakeToken(s.Secret.Bytes(), bag.Bytes()).ID()); err != nil {
		t.Error(err)
	}
	if took := time.Since(began); took > 2*time.Second {
		t.Errorf("took %v", took)
	}
	for _, f := range h.facts {
		var again journal.Fact
		if err := json.Unmarshal(f.Text(), &again); err != nil {
			t.Errorf("the journal holds what does not read: %v", err)
		}
	}
}
