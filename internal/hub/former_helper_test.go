package hub

import (
	"fmt"
	"testing"

	"coldbatch/internal/batchview"
	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/unit"
)

// A helper that is out sends what it might not have sent while it helped, and the owner accepts what
// waits: the owner's bag and colour stay as they are, what no screen shows does not even wait, and what
// the helper honestly did is there.
func TestAcceptedEntriesOfAFormerHelper(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	scope := journal.BatchScope(market)
	bag := one.closeBag(t, h, market, 1)
	h.mustSyncPhone(t, one, market)
	colour := h.recordFact(t, one, scope, h.newID(), journal.KindColourChosen, journal.ColourChosen{Name: "rust", CapLetters: "RU", RGB: "#b5372a", Class: "dichlorotriazine", Strength: 34, Depth: 1}).Subject
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	h.removePhone(t, one, kai)
	draft := func(subject journal.ID, kind, body string) journal.Draft {
		return journal.Draft{Scope: scope, Subject: subject, Kind: kind, Body: factText(body)}
	}
	contents := `"pieces":[{"piece":"` + string(h.newID()) + `","count":1}],"colours":[{"colour":"` + string(colour) + `","share":1}]}`
	own := h.newID()
	h.refusalOf(t, kai, kai.write(t,
		draft(own, journal.KindBagClosed, `{"number":2,`+contents),
		draft(bag, journal.KindBagClosed, `{"number":9,`+contents),
		draft(colour, journal.KindColourChosen, `{"name":"mud","caps":"MU","rgb":"#000000","class":"vinyl-sulfone","strength":30,"depth":1}`),
		draft(market, journal.KindBatchChanged, `{"note":"turned \u202e round"}`),
	)...)
	if lines := h.mustListQuarantined(t, kai); len(lines) != 3 {
		t.Errorf("%d entries wait, want 3: a text that turns the direction of writing does not", len(lines))
	}
	n, err := h.Accept(ctx, h.LocalAsker(), kai.Device, 0)
	if err != nil || n.Count != 1 {
		t.Fatalf("%+v entries are accepted, %v", n, err)
	}
	s, err := readState(memoryTx{h.memoryJournal, false}, market, h.now)
	if err != nil {
		t.Fatal(err)
	}
	if b, _ := s.Bag(bag); b.Number != 1 {
		t.Errorf("the owner's bag is number %d now", b.Number)
	}
	if _, ok := s.Bag(own); !ok {
		t.Error("what the helper did itself is not there")
	}
	for _, c := range s.Colours {
		if c.Name != "rust" {
			t.Errorf("the owner's colour is %+v now", c)
		}
	}
	if lines := h.mustListQuarantined(t, kai); len(lines) != 0 {
		t.Errorf("%d entries still wait", len(lines))
	}
}

// Whoever holds only a label sees the bag, but not by which hashes its photos go: they are the key to them.
func TestLabelShowsNoPhotos(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	bag := one.closeBag(t, h, market, 1)
	h.mustSyncPhone(t, one, market)
	s, err := readState(memoryTx{h.memoryJournal, false}, market, h.now)
	if err != nil {
		t.Fatal(err)
	}
	b, _ := s.Bag(bag)
	piece := h.newID()
	if len(b.Pieces) > 0 {
		piece = b.Pieces[0].Piece
	}
	hash := hashOf("an invented photo")
	h.recordFact(t, one, journal.BatchScope(market), piece, journal.KindPiecePhotographed, map[string]string{"sha256": hash, "stage": "opened", "bag": string(bag)})
	tag, err := batchview.ViewBag(s, bag, batchview.ViewEnv{Now: h.now, Host: "coldbatch.local:8443"})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		who  rights.Asker
		want int
	}{{h.LocalAsker(), 1}, {rights.Asker{Role: rights.LabelHolder}, 0}} {
		v, err := h.ViewBag(ctx, c.who, tag.Code)
		if err != nil || len(v.Photos) != c.want {
			t.Errorf("%s sees %d photos, %v", c.who.Role, len(v.Photos), err)
		}
	}
}

// The owner looks at one entry that waits; before the tap on Accept, the removed phone sends more. What was not
// shown goes on waiting.
func TestAcceptTakesWhatWasShown(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	h.removePhone(t, one, kai)
	note := func(text string) journal.Fact {
		return kai.write(t, journal.Draft{Scope: journal.BatchScope(market), Subject: market, Kind: journal.KindBatchChanged, Body: factText(`{"note":"` + text + `"}`)})[0]
	}
	seen, unseen := note("seen"), note("unseen")
	h.refusalOf(t, kai, seen)
	shown := len(h.mustListQuarantined(t, kai))
	h.refusalOf(t, kai, unseen)
	if n, err := h.Accept(ctx, h.LocalAsker(), kai.Device, shown); err != nil || n.Count != 1 || !h.hasFact(seen) || h.hasFact(unseen) {
		t.Errorf("%+v, %v: what was shown is there: %t, what was not: %t", n, err, h.hasFact(seen), h.hasFact(unseen))
	}
	if lines := h.mustListQuarantined(t, kai); len(lines) != 1 || lines[0].ID != unseen.ID {
		t.Errorf("%+v wait", lines)
	}
	_, err := h.Accept(ctx, h.LocalAsker(), kai.Device, -1)
	wantFault(t, err, fault.Input)
}

// A helper finishes a batch while a bag of the owner's cures: the bag stays among those that the hub tells of. Once
// it is open, the helper may finish the batch.
func TestHelperFinishesNoCuringBatch(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	bag := one.closeBag(t, h, market, 1)
	h.mustSyncPhone(t, one, market)
	groups := func() int {
		g, err := h.ReadyGroups(ctx)
		if err != nil {
			t.Fatal(err)
		}
		return len(g)
	}
	before := groups()
	finish := func() *exchange.Answer {
		return h.sendForged(t, kai, h.forgeFact(kai, fmt.Sprintf("%012x0000", int64(h.now)), journal.BatchScope(market), market, journal.KindBatchFinished, `{}`, int64(h.now)))
	}
	if a := finish(); len(a.Refused) != 1 || before != 1 || groups() != 1 {
		t.Errorf("refused %+v; %d groups, then %d", a.Refused, before, groups())
	}
	// It opens the bag itself, and both reach the hub at once, whichever comes first.
	opened := h.forgeFact(kai, fmt.Sprintf("%012x0001", int64(h.now)), journal.BatchScope(market), bag, journal.KindBagOpened, `{}`, int64(h.now))
	finished := h.forgeFact(kai, fmt.Sprintf("%012x0002", int64(h.now)), journal.BatchScope(market), market, journal.KindBatchFinished, `{}`, int64(h.now))
	if a := h.sendForged(t, kai, finished, opened); len(a.Acks) != 2 {
		t.Errorf("all are open: %+v", a.Refused)
	}
	// It takes the opening back, so that the bag cures again: then the batch is not finished either.
	if s := h.buildBatch(t, market); s.FinishedAt == 0 {
		t.Error("with all bags open the batch is not finished")
	}
	back := h.forgeFact(kai, fmt.Sprintf("%012x0003", int64(h.now)), journal.BatchScope(market), market, journal.KindFactWithdrawn,
		fmt.Sprintf(`{"target":%q}`, mustReadFact(t, opened).ID), int64(h.now))
	h.sendForged(t, kai, back)
	if s := h.buildBatch(t, market); s.FinishedAt != 0 || groups() != 1 {
		t.Errorf("a bag cures in a batch finished at %d; %d groups", s.FinishedAt, groups())
	}
}

// A helper records thousands of moves of the owner's bag: after some dozens no more are taken, of that bag alone.
func TestHelperWritesLittleAboutOneBag(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	bag, other := one.closeBag(t, h, market, 1), one.closeBag(t, h, market, 2)
	h.mustSyncPhone(t, one, market)
	taken := 0
	for i := range 8 {
		var facts []factText
		for k := range 50 {
			facts = append(facts, h.forgeFact(kai, fmt.Sprintf("%012x%04x", int64(h.now), 50*i+k), journal.BatchScope(market), bag, journal.KindBagMoved, `{"celsius":20}`, int64(h.now)))
		}
		taken += len(h.sendForged(t, kai, facts...).Acks)
	}
	if taken != maxBagEntries {
		t.Errorf("%d moves were taken, not %d", taken, maxBagEntries)
	}
	of := h.forgeFact(kai, fmt.Sprintf("%012x%04x", int64(h.now), 999), journal.BatchScope(market), other, journal.KindBagMoved, `{"celsius":20}`, int64(h.now))
	if a := h.sendForged(t, kai, of); len(a.Acks) != 1 {
		t.Errorf("of another bag: %+v", a.Refused)
	}
}

func mustReadFact(t *testing.T, text factText) journal.Fact {
	t.Helper()
	f, err := journal.ReadFact(text)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// A helper that is out had finished the batch while the bag cured: accepted, that counts as rejected too.
func TestFormerHelperFinishesNoCuringBatch(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	one.closeBag(t, h, market, 1)
	h.mustSyncPhone(t, one, market)
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	h.removePhone(t, one, kai)
	h.refusalOf(t, kai, kai.write(t, journal.Draft{Scope: journal.BatchScope(market), Subject: market, Kind: journal.KindBatchFinished, Body: factText(`{}`)})...)
	if n, err := h.Accept(ctx, h.LocalAsker(), kai.Device, 0); err != nil || n.Count != 0 {
		t.Errorf("%+v accepted, %v", n, err)
	}
	if s := h.buildBatch(t, market); s.FinishedAt != 0 {
		t.Error("the batch is finished")
	}
}

// A phone of the owner that is removed knows the tokens of the calendar and the sensor that it added: both end. Those
// of another phone go on.
func TestRemovedPhoneKeepsNoToken(t *testing.T) {
	h := newTestHub(t)
	one, lost := h.addOwner(t), h.addOwner(t)
	place := h.newID()
	add := func(g *networkPhone, n byte) (calendar, sensor string) {
		calendar, sensor = journal.NewCode([10]byte{n}), journal.NewCode([10]byte{n, 1})
		h.recordFact(t, g, journal.HouseScope, h.newID(), journal.KindCalendarOpened, map[string]string{"name": "x", "hash": hashOf(mustParseCode(t, calendar))})
		h.recordFact(t, g, journal.PlaceScope(place), place, journal.KindPlaceSensed, map[string]string{"name": "x", "hash": hashOf(mustParseCode(t, sensor))})
		return calendar, sensor
	}
	works := func(calendar, sensor string) (reads, writes bool) {
		_, err := h.CalendarFeed(ctx, calendar, unit.Style{})
		reads = err == nil
		return reads, h.RecordReading(ctx, sensor, 20) == nil
	}
	kept, keptSensor := add(one, 1)
	ended, endedSensor := add(lost, 2)
	h.removePhone(t, one, lost)
	if reads, writes := works(ended, endedSensor); reads || writes {
		t.Errorf("of the removed phone: the calendar is read: %t, the sensor writes: %t", reads, writes)
	}
	if reads, writes := works(kept, keptSensor); !reads || !writes {
		t.Errorf("of the other phone: the calendar is read: %t, the sensor writes: %t", reads, writes)
	}
}
