package hub

import (
	"strings"
	"testing"

	"coldbatch/internal/batchview"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// A calendar that was opened is read by its token alone, follows a reading, and is closed
// once its fact is withdrawn.
func TestCalendarFeed(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	shed, batchID, piece, colour, bag := h.newID(), h.newID(), h.newID(), h.newID(), h.newID()
	scope := journal.BatchScope(batchID)
	h.recordFact(t, one, journal.PlaceScope(shed), shed, journal.KindPlaceNamed, journal.PlaceNamed{Name: "shed"})
	h.recordFact(t, one, journal.PlaceScope(shed), shed, journal.KindPlaceRead, journal.TemperatureReading{Celsius: 21})
	h.recordFact(t, one, scope, batchID, journal.KindBatchStarted, journal.BatchStarted{Name: "market", Secret: h.newID()})
	h.recordFact(t, one, scope, piece, journal.KindPieceAdded, journal.PieceAdded{Kind: "apron", Count: 1, Grams: 180})
	h.recordFact(t, one, scope, colour, journal.KindColourChosen, journal.ColourChosen{Name: "rust", CapLetters: "RU", RGB: "#b5372a", Class: "dichlorotriazine", Strength: 34, Depth: 1})
	h.recordFact(t, one, scope, bag, journal.KindBagClosed, journal.BagClosed{Number: 4, Place: shed,
		Pieces: []journal.PieceInBag{{Piece: piece, Count: 1}}, Colours: []journal.ColourInBag{{Colour: colour, Share: 1}}})

	var b [10]byte
	h.random.fill(b[:])
	token := journal.NewCode(b)
	_, err := h.CalendarFeed(ctx, token, unit.Style{})
	wantFault(t, err, fault.Refused)
	opened := h.recordFact(t, one, journal.HouseScope, h.newID(), journal.KindCalendarOpened, journal.CalendarOpened{Name: "tablet", Hash: hashOf(strings.ReplaceAll(token, "-", ""))})
	feed := func() string {
		t.Helper()
		f, err := h.CalendarFeed(ctx, token, unit.Style{})
		if err != nil {
			t.Fatal(err)
		}
		return f.Text
	}
	warm := feed()
	if !strings.Contains(warm, "SUMMARY:Bag 4 is probably ready: market") {
		t.Errorf("%s", warm)
	}
	file, err := h.Calendar(ctx, rights.Asker{Role: rights.Owner}, batchview.CalendarOrder{}, unit.Style{})
	if err != nil || file.Text != warm {
		t.Errorf("the owner's file of everything is another: %v", err)
	}
	h.now = h.now.Add(zone.Hour)
	h.recordFact(t, one, journal.PlaceScope(shed), shed, journal.KindPlaceRead, journal.TemperatureReading{Celsius: 14})
	if cold := feed(); lineOf(cold, "DTSTART") <= lineOf(warm, "DTSTART") || lineOf(cold, "UID") != lineOf(warm, "UID") || lineOf(cold, "SEQUENCE") == lineOf(warm, "SEQUENCE") {
		t.Errorf("the reading did not move it:\n%s\n%s", warm, cold)
	}
	cold := feed()
	h.now = h.now.Add(20 * zone.Hour)
	h.recordFact(t, one, journal.PlaceScope(shed), shed, journal.KindPlaceExtremes, journal.PlaceExtremes{Low: 3, High: 9, LowAt: h.now.Add(-3 * zone.Hour), HighAt: h.now.Add(-18 * zone.Hour), Where: "air"})
	if colder := feed(); lineOf(colder, "DTSTART") <= lineOf(cold, "DTSTART") {
		t.Errorf("last night's low did not move it:\n%s\n%s", cold, colder)
	}
	before := feed()
	h.recordFact(t, one, journal.ShelfScope, h.newID(), journal.KindSumsSet, journal.SumsSet{Cure: &journal.OwnFigure{Value: 0.8, Results: 6}})
	if own := feed(); lineOf(own, "DTSTART") >= lineOf(before, "DTSTART") || lineOf(own, "SEQUENCE") == lineOf(before, "SEQUENCE") {
		t.Errorf("the dyer's own cure did not move it:\n%s\n%s", before, own)
	}
	helper := rights.Asker{Role: rights.Helper, Device: h.newID(), Batches: []journal.ID{batchID}}
	if file, err := h.Calendar(ctx, helper, batchview.CalendarOrder{Batch: batchID}, unit.Style{}); err != nil || lineOf(file.Text, "DTSTART") != lineOf(before, "DTSTART") {
		t.Errorf("a helper, whose phone has no shelf, gets another time than that phone gives: %v", err)
	}
	for _, wrong := range []string{"", "x", "0000-0000-0000-0000", one.token} {
		if _, err := h.CalendarFeed(ctx, wrong, unit.Style{}); !fault.Is(err, fault.Refused) || fault.AsFault(err).Hint == "" {
			t.Errorf("token %q: %v", wrong, err)
		}
	}
	h.recordFact(t, one, journal.HouseScope, "", journal.KindFactWithdrawn, journal.FactTarget{Target: opened.ID})
	_, err = h.CalendarFeed(ctx, token, unit.Style{})
	wantFault(t, err, fault.Refused)
}

func lineOf(text, name string) string {
	_, rest, _ := strings.Cut(text, "\r\n"+name+":")
	line, _, _ := strings.Cut(rest, "\r\n")
	return line
}

// A helper gets calendars of its own batches, and a stranger none.
func TestCalendarOfAHelper(t *testing.T) {
	h := newTestHub(t)
	mine, other := h.newID(), h.newID()
	helper := rights.Asker{Role: rights.Helper, Device: h.newID(), Batches: []journal.ID{mine}}
	_, err := h.Calendar(ctx, helper, batchview.CalendarOrder{Batch: other}, unit.Style{})
	wantFault(t, err, fault.Refused)
	_, err = h.Calendar(ctx, helper, batchview.CalendarOrder{Batch: mine}, unit.Style{})
	wantFault(t, err, fault.Missing)
	for _, role := range []rights.Role{rights.Stranger, rights.LabelHolder, rights.CalendarHolder} {
		_, err := h.Calendar(ctx, rights.Asker{Role: role}, batchview.CalendarOrder{}, unit.Style{})
		wantFault(t, err, fault.Refused)
	}
}
