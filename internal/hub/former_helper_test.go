package hub

import (
	"testing"

	"coldbatch/internal/batchview"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
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
	n, err := h.Accept(ctx, h.LocalAsker(), kai.Device)
	if err != nil || n.Facts != 1 {
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
