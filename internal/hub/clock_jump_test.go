package hub

import (
	"testing"

	"coldbatch/internal/batchview"
	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// The clock of the hub goes back a year and forward ten while the program runs, and comes
// back. Nobody gains or loses access, what is recorded is there in the order in which it was,
// no code that had an end is good again, and a restart in between changes none of it.
func TestClockJumpsWhileRunning(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market, gifts := h.startBatch(t, one, "market"), h.startBatch(t, one, "gifts")
	kai, ana := h.addHelper(t, h.shareBatch(t, one, market, 0)), h.addHelper(t, h.shareBatch(t, one, gifts, 0))
	ended := h.shareBatch(t, one, market, h.now.Add(zone.Hour))
	lost := h.addOwner(t)
	used := h.mustInvite(t)
	h.mustPair(t, h.newUnpairedPhone(), used.GroupedCode)
	h.recordFact(t, one, journal.HouseScope, lost.Device, kindRevoked, journal.NoteBody{})
	h.recordFact(t, one, journal.BatchScope(gifts), gifts, journal.KindShareClosed, journal.NoteBody{})
	h.now = h.now.Add(2 * zone.Hour) // the code with an end is over
	h.mustSyncPhone(t, one)
	recorded, start := 0, h.now
	for n, jump := range []zone.Span{0, -365 * zone.Day, 0, 3652 * zone.Day, 0, -365 * zone.Day, 3652 * zone.Day, 0} {
		h.now = start.Add(jump)
		if n%3 == 2 {
			h.open(t)
		}
		for _, g := range []*networkPhone{one, kai} {
			g.Now = start // their own clocks are right
			h.mustSyncPhone(t, g, market)
			g.write(t, journal.Draft{Scope: journal.BatchScope(market), Subject: market, Kind: journal.KindBatchChanged,
				Body: []byte(`{"note":"` + string(rune('a'+recorded)) + `"}`)})
			a := h.mustSyncPhone(t, g, market)
			if len(a.Refused) > 0 {
				t.Errorf("jump %d: refused %+v", n, a.Refused)
			}
			s, err := readState(memoryTx{h.memoryJournal, false}, market, h.latestTime()) // as phones judge it, by the latest time that they were told
			if err != nil || s.Note != string(rune('a'+recorded)) || s.FactCount != len(h.factsOf(journal.BatchScope(market))) {
				t.Errorf("jump %d: the note is %q after %c was written, %d facts, %v", n, s.Note, 'a'+recorded, s.FactCount, err)
			}
			recorded++
		}
		if got := h.roleOf(one) + ", " + h.roleOf(kai) + ", " + h.roleOf(ana) + ", " + h.roleOf(lost); got != "owner, helper 1, out, out" {
			t.Errorf("jump %d: %s", n, got)
		}
		for _, code := range []string{ended, used.GroupedCode, used.Digits} {
			if _, err := h.pair(h.newUnpairedPhone(), code); err == nil {
				t.Errorf("jump %d: a code that is over pairs a phone", n)
			}
		}
		if _, err := h.pair(&networkPhone{testPhone: lost.testPhone}, h.shareBatch(t, one, market, 0)); err == nil {
			t.Errorf("jump %d: the removed phone joined", n)
		}
		if _, err := h.Exchange(ctx, h.askerOf(ana), exchange.Request{Device: ana.Device}); err == nil {
			t.Errorf("jump %d: a helper reads what is no longer shared", n)
		}
		if _, err := h.Calendar(ctx, h.askerOf(one), batchview.CalendarOrder{}, unit.Style{}); err != nil {
			t.Errorf("jump %d: the calendar: %v", n, err)
		}
	}
}
