package hub

import (
	"testing"

	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/unit"
)

// Somebody who knows the ids of a house, as a former helper does, hands over a journal with
// entries in the owner's name that remove the owner's phone, open a batch to a code, a calendar
// and a sensor, and take back the removal of a phone. Once the owner had read the file, the
// owner's phone was shut out and the others were in.
func TestImportDecidesNoAccess(t *testing.T) {
	h := newTestHub(t)
	one, lost := h.addOwner(t), h.addOwner(t)
	market := h.startBatch(t, one, "market")
	removal := h.recordFact(t, one, journal.HouseScope, lost.Device, kindRevoked, journal.NoteBody{})
	place, known := h.newID(), h.factsOf(journal.HouseScope)
	code, calendar := journal.NewCode([10]byte{1}), journal.NewCode([10]byte{2})
	hash := hashOf(mustParseCode(t, code))
	draft := func(scope journal.Scope, subject journal.ID, kind, body string) journal.Draft {
		return journal.Draft{Scope: scope, Subject: subject, Kind: kind, Body: []byte(body)}
	}
	forger := &networkPhone{testPhone: h.newPhone()}
	forger.Device = one.Device
	scope := journal.BatchScope(market)
	facts := forger.write(t,
		draft(journal.HouseScope, one.Device, kindRevoked, `{}`),
		draft(scope, market, journal.KindShareOpened, `{"hash":"`+hash+`"}`),
		draft(journal.HouseScope, h.newID(), journal.KindCalendarOpened, `{"name":"x","hash":"`+hashOf(mustParseCode(t, calendar))+`"}`),
		draft(journal.PlaceScope(place), place, journal.KindPlaceSensed, `{"name":"x","hash":"`+hash+`"}`),
		draft(journal.HouseScope, lost.Device, journal.KindFactWithdrawn, `{"target":"`+string(removal.ID)+`"}`),
		draft(scope, market, journal.KindBatchChanged, `{"note":"harmless"}`))
	added, refused, err := h.Import(ctx, append(facts, known...))
	if err != nil || added != 1 || len(refused) != 5 {
		t.Errorf("%d new, %d refused, %v", added, len(refused), err)
	}
	if h.roleOf(one) != string(rights.Owner) || h.roleOf(lost) != "out" {
		t.Errorf("the owner's phone is %q, the removed one %q", h.roleOf(one), h.roleOf(lost))
	}
	if _, err := h.pair(h.newUnpairedPhone(), code); err == nil {
		t.Error("a stranger joined with the code in the file")
	}
	if _, err := h.CalendarFeed(ctx, calendar, unit.Style{}); err == nil {
		t.Error("the calendar in the file is served")
	}
	// A new computer, on which no phone is paired yet, reads the same as before.
	other := newTestHub(t)
	other.random.fill(make([]byte, 64))
	if added, refused, err := other.Import(ctx, h.facts); err != nil || added != len(h.facts) || len(refused) != 0 {
		t.Errorf("on a new computer: %d of %d new, refused %v, %v", added, len(h.facts), refused, err)
	}
}
