package hub

import (
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/unit"
)

// A backup is put back that is older than the end of the sharing and the removal of a helper
// and of a calendar. The helpers got in again, by their tokens and by the old code, until the
// owner's phone had brought those facts back. Now they wait until it has.
func TestPutBackLetsNobodyIn(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market, gifts := h.startBatch(t, one, "market"), h.startBatch(t, one, "gifts")
	code := h.shareBatch(t, one, market, 0)
	kai, ana := h.addHelper(t, code), h.addHelper(t, h.shareBatch(t, one, gifts, 0))
	calendar := journal.NewCode([10]byte{7})
	opened := h.recordFact(t, one, journal.HouseScope, h.newID(), journal.KindCalendarOpened, journal.CalendarOpened{Name: "wall", Hash: hashOf(mustParseCode(t, calendar))})
	h.mustSyncPhone(t, kai)
	h.mustSyncPhone(t, ana)
	backup := copyJournal(h)
	backup.meta[CopyMark] = []byte("1")
	h.recordFact(t, one, journal.BatchScope(market), market, journal.KindShareClosed, journal.NoteBody{})
	h.recordFact(t, one, journal.HouseScope, ana.Device, kindRevoked, journal.NoteBody{})
	h.recordFact(t, one, journal.HouseScope, opened.Subject, journal.KindFactWithdrawn, journal.FactTarget{Target: opened.ID})

	h.restore(t, backup)
	newcomer := h.newPhone() // of a browser that knows nothing of what was lost
	newcomer.syncWith(t, h.Hub)
	newcomer.syncWith(t, h.Hub)
	checkOut := func(when string, code fault.Code) {
		t.Helper()
		for _, g := range []*networkPhone{kai, ana} {
			if who, err := h.AskerByToken(ctx, g.token); code != "" && !fault.Is(err, code) || code == "" && (err != nil || !who.Revoked) {
				t.Errorf("%s, a helper: %+v %v", when, who, err)
			}
		}
		if _, err := h.CalendarFeed(ctx, calendar, unit.Style{}); err == nil {
			t.Errorf("%s, the calendar is served", when)
		}
	}
	checkOut("put back", fault.Conflict)
	if _, err := h.pair(h.newUnpairedPhone(), code); !fault.Is(err, fault.Conflict) {
		t.Errorf("the old code: %v", err)
	}
	h.open(t)
	checkOut("after another start", fault.Conflict)
	h.mustSyncPhone(t, one) // brings all back
	h.mustSyncPhone(t, one)
	checkOut("synced", "")
	if _, err := h.pair(h.newUnpairedPhone(), code); !fault.Is(err, fault.Refused) {
		t.Errorf("the old code, synced: %v", err)
	}
	h.open(t)
	checkOut("synced, after another start", "")
}

// Helpers do not wait for ever where the owner has no phone any more: who pairs one is there.
func TestPutBackEndsByPairing(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	kai := h.addHelper(t, h.shareBatch(t, one, h.startBatch(t, one, "market"), 0))
	backup := copyJournal(h)
	backup.meta[CopyMark] = []byte("1")
	h.restore(t, backup)
	if _, err := h.AskerByToken(ctx, kai.token); !fault.Is(err, fault.Conflict) {
		t.Errorf("put back: %v", err)
	}
	h.addOwner(t)
	if role := h.roleOf(kai); role != "helper 1" {
		t.Errorf("after an owner's phone was paired, the helper is %q", role)
	}
	h.open(t)
	if role := h.roleOf(kai); role != "helper 1" {
		t.Errorf("after another start, the helper is %q", role)
	}
}

func mustParseCode(t *testing.T, code string) string {
	t.Helper()
	text, err := journal.ParseCode(code)
	if err != nil {
		t.Fatal(err)
	}
	return text
}
