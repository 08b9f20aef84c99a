package hub

import (
	"fmt"
	"slices"
	"testing"

	"coldbatch/internal/journal"
)

// A helper begins what others have begun, with the lowest stamp: it says that the batch is
// a colour, the owner's bag a piece, another helper's bag closed at another time. All stay
// what they are.
func TestHelperTakesOverNothing(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	code := h.shareBatch(t, one, market, 0)
	kai, bo := h.addHelper(t, code), h.addHelper(t, code)
	scope, now := journal.BatchScope(market), int64(h.now)
	h.mustSyncPhone(t, one, market)
	bag := one.closeBag(t, h, market, 1)
	h.mustSyncPhone(t, one)
	h.mustSyncPhone(t, bo, market)
	h.mustSyncPhone(t, bo, market)
	bag2 := bo.closeBag(t, h, market, 21)
	h.mustSyncPhone(t, bo)
	before := h.buildBatch(t, market)
	colour := `{"name":"rust","caps":"RU","rgb":"#b5372a","class":"vinyl-sulfone","strength":25,"depth":1}`
	piece := `{"kind":"tee-m","count":1,"grams":150}`
	closed := `{"number":30,"pieces":[],"colours":[]}`
	forged := []factText{
		h.forgeFact(kai, "0000000000000000", scope, market, journal.KindColourChosen, colour, now),
		h.forgeFact(kai, "0000000000000000", scope, bag, journal.KindPieceAdded, piece, now),
		h.forgeFact(kai, "0000000000000000", scope, bag, journal.KindBagClosed, closed, 0),
		h.forgeFact(kai, "0000000000000000", scope, bag2, journal.KindBagClosed, closed, 0),
		h.forgeFact(kai, fmt.Sprintf("%012xfff0", now), scope, bag, journal.KindBagClosed, closed, 0),
		h.forgeFact(kai, fmt.Sprintf("%012xfff0", now+1e12), scope, one.Device, kindRevoked, `{}`, now), // stamped ahead
	}
	if a := h.sendForged(t, kai, forged...); len(a.Acks) != 0 || len(a.Refused) != len(forged) {
		t.Errorf("%d taken, %d refused", len(a.Acks), len(a.Refused))
	}
	after := h.buildBatch(t, market)
	if after.Name != before.Name || after.StartedAt != before.StartedAt || len(after.Colours) != len(before.Colours) || len(after.Pieces) != len(before.Pieces) {
		t.Errorf("the batch is %q since %d, with %d colours", after.Name, after.StartedAt, len(after.Colours))
	}
	if len(after.Bags) != 2 {
		t.Fatalf("%d bags", len(after.Bags))
	}
	for i, b := range after.Bags {
		if was := before.Bags[i]; b.ID != was.ID || b.Number != was.Number || b.ClosedAt != was.ClosedAt {
			t.Errorf("bag %d, closed %d, was bag %d, closed %d", b.Number, b.ClosedAt, was.Number, was.ClosedAt)
		}
	}
	// A change sets nothing that only the closing of a bag says.
	if a := h.sendForged(t, kai, h.forgeFact(kai, fmt.Sprintf("%012xfff2", now), scope, bag, journal.KindBagChanged, `{"number":99999,"letter":"ZZZZ","place":"x","note":"damp"}`, now)); len(a.Acks) != 1 {
		t.Errorf("a changed bag is not taken: %+v", a.Refused)
	}
	if b := h.buildBatch(t, market).Bags[0]; b.Number != 1 || b.Letter != "" || b.Stays[0].Place != before.Bags[0].Stays[0].Place || b.Note != "damp" {
		t.Errorf("the bag is %+v", b)
	}
	// Its own bag it may close again.
	h.mustSyncPhone(t, kai, market)
	h.mustSyncPhone(t, kai, market)
	own := kai.closeBag(t, h, market, 41)
	h.mustSyncPhone(t, kai)
	if a := h.sendForged(t, kai, h.forgeFact(kai, fmt.Sprintf("%012xfff5", now), scope, own, journal.KindBagClosed, bagBody(h, 42), now)); len(a.Acks) != 1 {
		t.Errorf("it may not close its own bag again: %+v", a.Refused)
	}
}

// bagBody is the body of a closed bag with that number.
func bagBody(h *testHub, number int) string {
	return fmt.Sprintf(`{"number":%d,"pieces":[{"piece":%q,"count":1}],"colours":[{"colour":%q,"share":1}]}`, number, h.newID(), h.newID())
}

// Helpers ask for all numbers that there are, and one uses every number that it can think
// of. The owner's phone still gets numbers, and what it prints leads to its own labels.
func TestHelpersUseUpNoNumbers(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	scope, now := journal.BatchScope(market), int64(h.now)
	h.mustSyncPhone(t, one, market)
	h.mustSyncPhone(t, one, market)
	code := h.shareBatch(t, one, market, 0)
	var kai *networkPhone
	for range 8 {
		kai = h.addHelper(t, code)
		h.mustSyncPhone(t, kai)
		q := emptyRequest(kai.testPhone)
		q.Lease, q.WantedNumbers = []journal.ID{market}, map[journal.ID]int{market: 200}
		for range 3 {
			if _, err := h.Exchange(ctx, h.askerOf(kai), q); err != nil {
				t.Fatal(err)
			}
		}
	}
	for _, l := range h.buildBatch(t, market).Numbers.Leases {
		if l.Device != one.Device && l.LastNumber > maxHelperNumber {
			t.Errorf("a helper has the numbers %d to %d", l.FirstNumber, l.LastNumber)
		}
	}
	forged := []factText{h.forgeFact(kai, "0000000000000000", scope, h.newID(), journal.KindBagClosed, bagBody(h, 1023), now)}
	for from := 1; from <= journal.MaxNumber; from += 200 {
		for _, letter := range []string{"", "A"} {
			forged = append(forged, h.forgeFact(kai, "0000000000000000", scope, h.newID(), journal.KindBlanksPrinted,
				fmt.Sprintf(`{"from":%d,"to":%d,"letter":%q}`, from, min(from+199, journal.MaxNumber), letter), now))
		}
	}
	if a := h.sendForged(t, kai, forged...); len(a.Acks) != len(forged) {
		t.Fatalf("the attack is not taken: %+v", a.Refused)
	}
	print := h.recordFact(t, one, scope, h.newID(), journal.KindBlanksPrinted, journal.LabelNumberRange{From: 1, To: 18})
	h.mustSyncPhone(t, one, market)
	h.mustSyncPhone(t, one, market)
	s := h.buildBatch(t, market)
	if n := s.Numbers.FreeCount(one.Device); n < minNumbersLeft {
		t.Errorf("the owner's phone has %d numbers", n)
	}
	if u, ok := s.Numbers.NextNumber(h.newID(), "A"); !ok || u.Number != 1 {
		t.Errorf("without a lease it gets %+v, %v", u, ok)
	}
	printed := 0
	for _, b := range s.Blanks {
		if b.PrintFact == print.ID {
			printed++
		}
	}
	if printed != 18 {
		t.Errorf("%d of the owner's 18 labels lead to the owner's printing", printed)
	}
}

// A helper joins once more with the id of the browser at the computer, which is an owner's without being
// paired, or with that of the hub of an earlier computer: both stand in the entries that every helper sees. The
// hub lets neither in. A helper whose token a restored hub forgot comes in again.
func TestHelperTakesNoOwnersID(t *testing.T) {
	h := newTestHub(t)
	browser := h.newPhone()
	drafts, market := h.startDraft("market")
	browser.write(t, drafts)
	browser.syncWith(t, h.Hub)
	one := h.addOwner(t)
	code := h.shareBatch(t, one, market, 0)
	kai := h.addHelper(t, code)
	kai.write(t, journal.Draft{Scope: journal.BatchScope(market), Subject: market, Kind: journal.KindBatchChanged, Body: factText(`{"note":"wash cold"}`)})
	h.mustSyncPhone(t, kai)
	for name, device := range map[string]journal.ID{"the browser at the computer": browser.Device, "the hub": h.ID} {
		thief := h.newUnpairedPhone()
		thief.Device = device
		if _, err := h.pair(thief, code); err == nil {
			t.Errorf("a helper joined with the id of %s", name)
		}
	}
	h.access.Phones = slices.DeleteFunc(h.access.Phones, func(c credential) bool { return c.Device == kai.Device })
	again := h.newUnpairedPhone()
	again.Device = kai.Device
	if _, err := h.pair(again, code); err != nil {
		t.Errorf("a helper that a restored hub forgot: %v", err)
	}
}
