package hub

import (
	"encoding/json"
	"maps"
	"slices"
	"testing"

	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
)

// copyJournal returns a copy of the journal; restore puts it back.
func copyJournal(h *testHub) memoryJournal {
	return memoryJournal{facts: slices.Clone(h.facts), meta: maps.Clone(h.meta), cache: map[string][]byte{}}
}

func (h *testHub) restore(t testing.TB, m memoryJournal) {
	t.Helper()
	*h.memoryJournal = m
	h.open(t)
}

func (h *testHub) sendFacts(t *testing.T, p *testPhone, facts ...journal.Fact) *exchange.Answer {
	t.Helper()
	q := exchange.Request{Device: p.Device, Cursor: p.cursor}
	for _, f := range facts {
		q.Facts = append(q.Facts, f.Text())
	}
	a, err := h.Exchange(ctx, h.LocalAsker(), q)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// A restored journal may by chance have the same fact at the same sequence. If the hub
// trusted a cursor there, facts acknowledged before it would be lost.
func TestRestoredSameFactAtSameSequence(t *testing.T) {
	h := newTestHub(t)
	one, two := h.newPhone(), h.newPhone()
	one.write(t, h.newReadingDraft("18"))
	one.syncWith(t, h.Hub)
	old := copyJournal(h)
	lost := one.write(t, h.newReadingDraft("19"))[0]
	both := two.write(t, h.newReadingDraft("20"))[0]
	one.syncWith(t, h.Hub)
	h.sendFacts(t, two, both) // its answer is lost
	one.syncWith(t, h.Hub)
	if one.cursor.Seq != 3 || one.cursor.FactID != both.ID {
		t.Fatalf("the cursor is %+v", one.cursor)
	}
	h.restore(t, old)
	h.sendFacts(t, two, two.write(t, h.newReadingDraft("21"))[0], both)
	if h.facts[2].ID != both.ID {
		t.Fatal("the fact stands elsewhere")
	}
	one.syncWith(t, h.Hub)
	if !slices.ContainsFunc(h.facts, func(f journal.Fact) bool { return f.ID == lost.ID }) {
		t.Error("a fact that was acknowledged is lost")
	}
}

// A phone that has read little of a long journal when the hub is restored: what it
// had sent was beyond its cursor.
func TestRestoredBeyondTheCursor(t *testing.T) {
	h := newTestHub(t)
	one, two := h.newPhone(), h.newPhone()
	for range exchange.MaxFacts + 10 {
		one.write(t, h.newReadingDraft("18"))
	}
	one.syncWith(t, h.Hub)
	old := copyJournal(h)
	lost := two.write(t, h.newReadingDraft("19"))
	a := h.sendFacts(t, two, lost...)
	if two.cursor = a.Cursor; !a.HasMore || len(a.Acks) != 1 || two.cursor.Seq != exchange.MaxFacts {
		t.Fatalf("more %v, cursor %+v", a.HasMore, two.cursor)
	}
	h.restore(t, old)
	if a := h.sendFacts(t, two); !a.StartsOver {
		t.Error("a hub that lost what it acknowledged passes for what it was")
	}
}

// Restarting the program is not restoring it, and a start that writes nothing changes
// nothing.
func TestRestartKeepsEpoch(t *testing.T) {
	h := newTestHub(t)
	p := h.newPhone()
	for range 3 {
		p.write(t, h.newReadingDraft("18"))
		p.syncWith(t, h.Hub)
		for range 3 {
			h.open(t)
			if a := h.sendFacts(t, p); a.StartsOver || len(a.Facts) > 0 {
				t.Fatalf("after a start: %+v", a)
			}
		}
	}
	var list []epoch
	if err := json.Unmarshal(h.meta[epochsKey], &list); err != nil || len(list) != 3 || list[2].FirstSequence != 3 {
		t.Errorf("epochs %+v %v", list, err)
	}
	// A phone of long ago reads everything again: its epoch is not kept any more.
	old := *p.cursor
	for range maxEpochs {
		h.open(t)
		p.write(t, h.newReadingDraft("18"))
		p.syncWith(t, h.Hub)
	}
	if p.cursor = &old; !h.sendFacts(t, p).StartsOver {
		t.Error("an epoch that is not kept is known")
	}
	if _ = json.Unmarshal(h.meta[epochsKey], &list); len(list) != maxEpochs {
		t.Errorf("%d epochs are kept", len(list))
	}
}

// Older phones send a cursor without an epoch.
func TestCursorWithoutEpoch(t *testing.T) {
	h := newTestHub(t)
	p := h.newPhone()
	p.write(t, h.newReadingDraft("18"))
	p.syncWith(t, h.Hub)
	p.cursor = &exchange.Cursor{Seq: p.cursor.Seq, FactID: p.cursor.FactID}
	if a := h.sendFacts(t, p); a.StartsOver || a.Cursor.Epoch == "" {
		t.Errorf("%+v", a)
	}
}
