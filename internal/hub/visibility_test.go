package hub

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"coldbatch/internal/batchview"
	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

type factText = json.RawMessage

// closeBagAt closes a bag of a batch and moves it to a place.
func (h *testHub) closeBagAt(t testing.TB, g *networkPhone, batch, place journal.ID, number int) journal.ID {
	t.Helper()
	bag := g.closeBag(t, h, batch, number)
	g.write(t, h.moveDraft(batch, bag, place))
	h.mustSyncPhone(t, g)
	return bag
}

func (h *testHub) moveDraft(batch, bag, place journal.ID) journal.Draft {
	return journal.Draft{Scope: journal.BatchScope(batch), Subject: bag, Kind: journal.KindBagMoved, Body: factText(fmt.Sprintf(`{"place":%q}`, place))}
}

func (h *testHub) readingDraft(place journal.ID, celsius string) journal.Draft {
	return journal.Draft{Scope: journal.PlaceScope(place), Subject: place, Kind: journal.KindPlaceRead, Body: factText(`{"celsius":` + celsius + `}`)}
}

func TestHelperSeesItsBatch(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market, gifts := h.startBatch(t, one, "market"), h.startBatch(t, one, "gifts")
	shed, attic := h.newID(), h.newID()
	one.write(t, h.readingDraft(shed, "18"), h.readingDraft(attic, "21"),
		journal.Draft{Scope: journal.ShelfScope, Subject: h.newID(), Kind: journal.KindStockCounted, Body: factText(`{"amount":500}`)})
	bag := h.closeBagAt(t, one, market, shed, 1)
	h.closeBagAt(t, one, gifts, attic, 1)
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	sees := func(why string, scopes ...journal.Scope) {
		t.Helper()
		a := h.mustSyncPhone(t, kai)
		if a.StartsOver || a.Cursor.ScopesHash == "" {
			t.Errorf("%s: fresh %v, cursor %+v", why, a.StartsOver, a.Cursor)
		}
		for _, f := range h.facts {
			var want bool
			for _, s := range scopes {
				want = want || f.Scope == s
			}
			if kai.hasRead(f) != want {
				t.Errorf("%s: has %s: %v", why, f.Text(), !want)
			}
		}
	}
	mine := journal.BatchScope(market)
	sees("at first", mine, journal.PlaceScope(shed))
	one.write(t, h.readingDraft(shed, "17"), h.readingDraft(attic, "20"))
	h.mustSyncPhone(t, one)
	sees("with new readings", mine, journal.PlaceScope(shed))
	if a := h.mustSyncPhone(t, kai); len(a.Facts) != 0 {
		t.Errorf("it was told %d again", len(a.Facts))
	}
	// The bag is moved to where older readings are: all of them come into sight.
	one.write(t, h.moveDraft(market, bag, attic))
	h.mustSyncPhone(t, one)
	sees("moved by the owner", mine, journal.PlaceScope(shed), journal.PlaceScope(attic))
	kai.write(t, h.moveDraft(market, bag, shed)) // by itself: in sight within the same call
	h.mustSyncPhone(t, kai)
	cellar := h.newID()
	one.write(t, h.readingDraft(cellar, "12"))
	h.mustSyncPhone(t, one)
	kai.write(t, h.moveDraft(market, bag, cellar))
	sees("moved by the helper", mine, journal.PlaceScope(shed), journal.PlaceScope(attic), journal.PlaceScope(cellar))
	// An owner now, it sees everything, from the beginning.
	h.mustPair(t, kai, h.mustInvite(t).Code)
	if a := h.mustSyncPhone(t, kai); a.Cursor.ScopesHash != "" || len(kai.facts) != len(h.facts) {
		t.Errorf("cursor %+v, %d of %d", a.Cursor, len(kai.facts), len(h.facts))
	}
}

// Naming another view in a cursor does not show a helper more, since a phone can write
// anything into its cursor.
func TestHelperSeesNoOtherView(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	h.startBatch(t, one, "gifts")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	whole := h.mustSyncPhone(t, one).Cursor
	for _, view := range []string{"", "x", strings.Repeat("0", 12)} {
		c := *whole
		c.ScopesHash = view
		a, err := h.Exchange(ctx, h.askerOf(kai), exchange.Request{Device: kai.Device, Cursor: &c})
		if err != nil || a.StartsOver || a.Cursor.ScopesHash == view {
			t.Fatalf("%+v %v", a, err)
		}
		for _, f := range a.Facts {
			if f.Scope != journal.BatchScope(market) {
				t.Errorf("view %q shows %s", view, f.Text())
			}
		}
		if len(a.Facts) != 3 {
			t.Errorf("view %q: %d facts", view, len(a.Facts))
		}
	}
}

func TestHelperWrites(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market, gifts := h.startBatch(t, one, "market"), h.startBatch(t, one, "gifts")
	shed := h.newID()
	bag := h.closeBagAt(t, one, market, shed, 1)
	code := h.shareBatch(t, one, market, 0)
	kai, ana := h.addHelper(t, code), h.addHelper(t, code)
	h.mustSyncPhone(t, kai)
	h.mustSyncPhone(t, ana)
	scope := journal.BatchScope(market)
	draft := func(s journal.Scope, subject journal.ID, kind, body string) journal.Draft {
		return journal.Draft{Scope: s, Subject: subject, Kind: kind, Body: factText(body)}
	}
	anas := h.recordFact(t, ana, scope, market, journal.KindBatchChanged, map[string]string{"note": "Ana's"})
	kais := h.recordFact(t, kai, scope, market, journal.KindBatchChanged, map[string]string{"note": "Kai's"})
	moved := h.facts[len(h.facts)-1]
	for _, f := range h.facts {
		if f.Kind == journal.KindBagMoved {
			moved = f
		}
	}
	target := func(f journal.Fact) string { return fmt.Sprintf(`{"target":%q}`, f.ID) }
	for _, c := range []struct {
		why   string
		by    *networkPhone // who wrote it; Kai brings it
		draft journal.Draft
		taken bool
	}{
		{"a look into a bag", kai, draft(scope, bag, journal.KindBagLooked, `{}`), true},
		{"what another helper wrote and the hub may have lost", ana, draft(scope, bag, journal.KindBagLooked, `{}`), false},
		{"a look into another batch's bag", kai, draft(journal.BatchScope(gifts), bag, journal.KindBagLooked, `{}`), false},
		{"a batch of its own", kai, draft(journal.BatchScope(h.newID()), h.newID(), journal.KindBatchStarted, fmt.Sprintf(`{"name":"x","secret":%q}`, h.newID())), false},
		{"a reading where its bag stands", kai, h.readingDraft(shed, "18"), false},
		{"a sensor there", kai, draft(journal.PlaceScope(shed), shed, journal.KindPlaceSensed, `{"name":"x","hash":"y"}`), false},
		{"stock", kai, draft(journal.ShelfScope, h.newID(), journal.KindStockCounted, `{"amount":1}`), false},
		{"its own name in the house", kai, draft(journal.HouseScope, kai.Device, journal.KindDeviceNamed, `{"name":"x"}`), false},
		{"another phone let out", kai, draft(journal.HouseScope, one.Device, kindRevoked, `{}`), false},
		{"a code", kai, draft(scope, market, journal.KindShareOpened, `{"hash":"x"}`), false},
		{"the owner's code", one, draft(scope, market, journal.KindShareOpened, `{"hash":"x"}`), false},
		{"the end of the sharing", kai, draft(scope, market, journal.KindShareClosed, `{}`), false},
		{"another helper", kai, draft(scope, h.newID(), kindHelperJoined, `{"name":"x"}`), false},
		{"another helper, in another's name", one, draft(scope, h.newID(), kindHelperJoined, `{"name":"x"}`), false},
		{"numbers", kai, draft(scope, market, journal.KindNumbersLeased, fmt.Sprintf(`{"device":%q,"from":1,"to":900}`, kai.Device)), false},
		{"numbers in the name of a phone that gives none", one, draft(scope, market, journal.KindNumbersLeased, fmt.Sprintf(`{"device":%q,"from":1,"to":900}`, kai.Device)), false},
		{"what it wrote itself, taken back", kai, draft(scope, kais.Subject, journal.KindFactWithdrawn, target(kais)), true},
		{"and brought back", kai, draft(scope, kais.Subject, journal.KindFactRestored, target(kais)), true},
		{"what the owner wrote, taken back", kai, draft(scope, bag, journal.KindFactWithdrawn, target(moved)), false},
		{"what another helper wrote, taken back", kai, draft(scope, market, journal.KindFactWithdrawn, target(anas)), false},
		{"or brought back", kai, draft(scope, market, journal.KindFactRestored, target(anas)), false},
		{"what the owner wrote, taken back in the owner's name", one, draft(scope, bag, journal.KindFactWithdrawn, target(moved)), false},
		{"what nobody has brought yet, taken back", kai, draft(scope, market, journal.KindFactWithdrawn, fmt.Sprintf(`{"target":%q}`, h.newID())), true},
	} {
		f := c.by.write(t, c.draft)[0]
		c.by.unsentFacts = nil
		for range 2 { // twice is once
			a, err := h.Exchange(ctx, h.askerOf(kai), exchange.Request{Device: kai.Device, Facts: []factText{f.Text()}})
			if err != nil {
				t.Fatal(err)
			}
			if taken := len(a.Acks) == 1; taken != c.taken || h.hasFact(f) != c.taken || len(a.Refused) != 1-len(a.Acks) {
				t.Errorf("%s: %+v", c.why, a)
			}
		}
	}
	// A target that is no id, though as long as one: there is nothing to take back.
	odd := kai.write(t, draft(scope, market, journal.KindFactWithdrawn, target(anas)))[0]
	text := strings.Replace(string(odd.Text()), string(anas.ID), string(anas.ID[:24])+`\n0`, 1)
	if a, err := h.Exchange(ctx, h.askerOf(kai), exchange.Request{Device: kai.Device, Facts: []factText{factText(text)}}); err != nil || len(a.Refused) != 1 {
		t.Errorf("%+v %v", a, err)
	}
	// With the target in the same call, and with a lie about who wrote it.
	own := kai.write(t, draft(scope, market, journal.KindBatchChanged, `{"note":"slip"}`))[0]
	undo := kai.write(t, draft(scope, market, journal.KindFactWithdrawn, target(own)))[0]
	lie := factText(strings.Replace(string(anas.Text()), string(ana.Device), string(kai.Device), 1))
	undoAnas := kai.write(t, draft(scope, market, journal.KindFactWithdrawn, target(anas)))[0]
	a, err := h.Exchange(ctx, h.askerOf(kai), exchange.Request{Device: kai.Device, Facts: []factText{undo.Text(), own.Text(), lie, undoAnas.Text()}})
	if err != nil || len(a.Acks) != 3 || len(a.Refused) != 1 || a.Refused[0].ID != undoAnas.ID {
		t.Errorf("%+v %v", a, err)
	}
	// What the table refuses changes nothing in the batch either.
	if s, _ := readState(memoryTx{h.memoryJournal, false}, market, h.now); len(s.Helpers) != 2 || s.Note != "Kai's" || len(s.ShareCodes) != 1 {
		t.Errorf("%+v", s)
	}
}

func TestHelperLeases(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market, gifts := h.startBatch(t, one, "market"), h.startBatch(t, one, "gifts")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	h.mustSyncPhone(t, kai)
	h.mustSyncPhone(t, kai, market, gifts)
	var got []journal.Fact
	for _, f := range h.facts {
		if f.Kind == journal.KindNumbersLeased {
			got = append(got, f)
		}
	}
	if len(got) != 1 || got[0].Scope != journal.BatchScope(market) {
		t.Errorf("leased %v", got)
	}
	// Of two phones that ask one after the other each gets its own, whatever stands
	// in memory of the batch.
	for range 3 {
		h.mustSyncPhone(t, one, market)
		for n := range journal.LeaseSize {
			one.closeBag(t, h, market, 21+n)
		}
		h.mustSyncPhone(t, kai, market)
	}
	given := map[int]bool{}
	for _, l := range journal.NumbersFromFacts(h.facts).Leases {
		for n := l.FirstNumber; n <= l.LastNumber; n++ {
			if given[n] {
				t.Errorf("%d was given twice", n)
			}
			given[n] = true
		}
	}
}

func TestSeesPhoto(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market, gifts := h.startBatch(t, one, "market"), h.startBatch(t, one, "gifts")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	mine, other := strings.Repeat("ab", 32), strings.Repeat("cd", 32)
	h.recordFact(t, one, journal.BatchScope(market), h.newID(), journal.KindPiecePhotographed, journal.PiecePhotographed{SHA256: mine})
	h.recordFact(t, one, journal.BatchScope(gifts), h.newID(), journal.KindPiecePhotographed, journal.PiecePhotographed{SHA256: other})
	h.recordFact(t, one, journal.BatchScope(market), market, journal.KindBatchChanged, map[string]string{"note": other}) // a word is no photo
	for _, c := range []struct {
		who  rights.Asker
		hash string
		want bool
	}{
		{h.askerOf(one), other, true}, {h.LocalAsker(), other, true}, {h.askerOf(kai), mine, true}, {h.askerOf(kai), other, false},
		{h.askerOf(kai), "", false}, {rights.Asker{Role: rights.Stranger}, mine, false}, {rights.Asker{Role: rights.LabelHolder}, mine, false}, {rights.Asker{}, mine, false},
	} {
		if got, err := h.CanSeePhoto(ctx, c.who, c.hash); err != nil || got != c.want {
			t.Errorf("%s sees %.4s: %v %v", c.who.Role, c.hash, got, err)
		}
	}
	h.recordFact(t, one, journal.BatchScope(market), market, journal.KindShareClosed, struct{}{})
	if got, _ := h.CanSeePhoto(ctx, h.askerOf(kai), mine); got {
		t.Error("a helper that is out sees the photo")
	}
}

func TestViewBagByAsker(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market, gifts := h.startBatch(t, one, "market"), h.startBatch(t, one, "gifts")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	tagOf := func(id journal.ID, number int) batchview.BagView {
		bag := one.closeBag(t, h, id, number)
		h.mustSyncPhone(t, one)
		s, err := readState(memoryTx{h.memoryJournal, false}, id, h.now)
		if err != nil {
			t.Fatal(err)
		}
		tag, err := batchview.ViewBag(s, bag, batchview.ViewEnv{Now: h.now, Host: "coldbatch.local:8443"})
		if err != nil {
			t.Fatal(err)
		}
		return tag
	}
	mine, other := tagOf(market, 7), tagOf(gifts, 8)
	label, stranger := rights.Asker{Role: rights.LabelHolder}, rights.Asker{Role: rights.Stranger}
	for _, c := range []struct {
		why  string
		who  rights.Asker
		code string
		want fault.Code
	}{
		{"an owner scans", h.askerOf(one), other.Code, ""},
		{"an owner types", h.askerOf(one), other.TypedID, ""},
		{"a helper scans", h.askerOf(kai), mine.Code, ""},
		{"a helper types", h.askerOf(kai), mine.TypedID, ""},
		{"a helper scans a label of another batch: whoever has the label may read it", h.askerOf(kai), other.Code, ""},
		{"a helper types the id of another batch", h.askerOf(kai), other.TypedID, fault.Refused},
		{"whoever has the label scans it", label, mine.Code, ""},
		{"by its whole address", label, mine.Address, ""},
		{"the id alone is short enough to be guessed", label, mine.TypedID, fault.Refused},
		{"a stranger without a label", stranger, mine.Code, fault.Refused},
	} {
		v, err := h.ViewBag(ctx, c.who, c.code)
		if c.want != "" {
			if !fault.Is(err, c.want) || fault.AsFault(err).Hint == "" {
				t.Errorf("%s: %+v %v", c.why, v, err)
			}
		} else if err != nil || v.Number == "" {
			t.Errorf("%s: %+v %v", c.why, v, err)
		}
	}
}
