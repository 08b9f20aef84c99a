package hub

import (
	"encoding/json"
	"fmt"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// buildBatch builds a batch as another phone of the owner would, from all that it is sent.
func (h *testHub) buildBatch(t *testing.T, id journal.ID) batch.State {
	t.Helper()
	other := h.addOwner(t)
	h.mustSyncPhone(t, other)
	var facts []journal.Fact
	for _, f := range other.facts {
		if f.Scope == journal.BatchScope(id) {
			facts = append(facts, f)
		}
	}
	return batch.BuildAsOf(facts, h.now)
}

// injectFact writes a fact straight into the journal, as earlier versions let a helper do.
func (h *testHub) injectFact(t *testing.T, text factText) journal.Fact {
	t.Helper()
	var f journal.Fact
	if err := json.Unmarshal(text, &f); err != nil {
		t.Fatal(err)
	}
	h.memoryJournal.facts = append(h.memoryJournal.facts, f)
	h.cache = map[string][]byte{}
	h.open(t)
	return f
}

// A helper sends facts in the name of the owner and of the hub. The bag stays closed, its
// time stays right, the owner gets numbers, and the batch keeps its secret.
func TestForgedNames(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	scope, now := journal.BatchScope(market), int64(h.now)
	h.mustSyncPhone(t, one, market)
	bag := one.closeBag(t, h, market, 1)
	h.mustSyncPhone(t, one)
	before := h.buildBatch(t, market)
	hub := &networkPhone{testPhone: &testPhone{Author: journal.Author{Device: h.ID}}}
	century := int64(100 * 365 * zone.Day)
	forged := []factText{
		h.forgeFact(one, "0000000000000000", scope, bag, journal.KindBagOpened, `{}`, now),
		h.forgeFact(one, "fffff", scope, bag, journal.KindBagOpened, `{}`, now),
		h.forgeFact(one, fmt.Sprintf("%012xfff0", now), scope, market, journal.KindClockMeasured, fmt.Sprintf(`{"offset":%d}`, century), now),
		h.forgeFact(hub, "0000000000000000", scope, market, journal.KindNumbersLeased, fmt.Sprintf(`{"device":%q,"from":1,"to":1023}`, kai.Device), now),
		h.forgeFact(kai, "0000000000000000", scope, market, journal.KindNumbersLeased, fmt.Sprintf(`{"device":%q,"from":1,"to":1023}`, kai.Device), now),
		h.forgeFact(kai, "0000000000000000", scope, market, journal.KindBatchStarted, fmt.Sprintf(`{"name":"x","secret":%q}`, h.newID()), now),
		h.forgeFact(one, "0000000000000000", scope, market, journal.KindBatchStarted, fmt.Sprintf(`{"name":"x","secret":%q}`, h.newID()), now),
		draftWithNeed(h.forgeFact(kai, fmt.Sprintf("%012xfff1", now), scope, market, journal.KindBatchChanged, `{"note":"x"}`, now), 32768),
		draftWithNeed(h.forgeFact(kai, fmt.Sprintf("%012xfff2", now), scope, bag, "bag.sniffed", `{}`, now), journal.MaxNeededVersion+1),
	}
	if a := h.sendForged(t, kai, forged...); len(a.Acks) != 0 || len(a.Refused) != len(forged) {
		t.Errorf("%d taken, %d refused", len(a.Acks), len(a.Refused))
	}
	after := h.buildBatch(t, market)
	if b := after.Bags[0]; b.OpenedAt != 0 || b.ClosedAt != before.Bags[0].ClosedAt || b.Token != before.Bags[0].Token || b.NeedsNewerApp {
		t.Errorf("the bag is %+v\nwas %+v", b, before.Bags[0])
	}
	if after.Secret != before.Secret || after.Name != "market" || after.NeedsNewerApp {
		t.Errorf("the batch is %q with secret %s, was %s; update %v", after.Name, after.Secret, before.Secret, after.NeedsNewerApp)
	}
	two := h.addOwner(t)
	h.mustSyncPhone(t, two)
	h.mustSyncPhone(t, two, market)
	if n := h.buildBatch(t, market).Numbers.FreeCount(two.Device); n != journal.LeaseSize {
		t.Errorf("another phone of the owner has %d numbers", n)
	}
	// What the helper writes as itself is taken as before.
	if looked := h.recordFact(t, kai, scope, bag, journal.KindBagLooked, struct{}{}); !h.hasFact(looked) {
		t.Error("its own entry is not taken")
	}
}

func draftWithNeed(text factText, need int) factText {
	var f map[string]any
	if err := json.Unmarshal(text, &f); err != nil {
		panic(err)
	}
	f["need"] = need
	out, err := json.Marshal(f)
	if err != nil {
		panic(err)
	}
	return out
}

// A journal that an earlier version wrote may contain such forged facts. A start by a helper re-keys
// nothing, and the others have no effect once the owner withdraws them.
func TestForgeriesAreWithdrawn(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	kai := h.addHelper(t, h.shareBatch(t, one, market, 0))
	scope, now := journal.BatchScope(market), int64(h.now)
	h.mustSyncPhone(t, one)
	one.Now = h.now.Add(zone.Hour)
	bag := one.closeBag(t, h, market, 1)
	h.mustSyncPhone(t, one)
	before := h.buildBatch(t, market)
	hub := &networkPhone{testPhone: &testPhone{Author: journal.Author{Device: h.ID}}}
	start := h.injectFact(t, h.forgeFact(kai, "0000000000000000", scope, market, journal.KindBatchStarted, fmt.Sprintf(`{"name":"x","secret":%q}`, h.newID()), now))
	if s := h.buildBatch(t, market); s.Secret != before.Secret || s.Name != "market" || s.Bags[0].Token != before.Bags[0].Token {
		t.Errorf("the batch is %q with secret %s, was %s (%s)", s.Name, s.Secret, before.Secret, start.ID)
	}
	bad := []journal.Fact{
		h.injectFact(t, h.forgeFact(hub, "0000000000000000", scope, market, journal.KindNumbersLeased, fmt.Sprintf(`{"device":%q,"from":1,"to":1023}`, kai.Device), now)),
		h.injectFact(t, h.forgeFact(one, fmt.Sprintf("%012xfff0", now+int64(2*zone.Hour)), scope, market, journal.KindClockMeasured, fmt.Sprintf(`{"offset":%d}`, int64(100*365*zone.Day)), now)),
		h.injectFact(t, h.forgeFact(one, fmt.Sprintf("%012xfff1", now), scope, bag, journal.KindBagOpened, `{}`, now)),
		h.injectFact(t, draftWithNeed(h.forgeFact(kai, fmt.Sprintf("%012xfff1", now), scope, market, journal.KindBatchChanged, `{"note":"x"}`, now), 32768)),
	}
	if s := h.buildBatch(t, market); s.Bags[0].ClosedAt == before.Bags[0].ClosedAt || s.Bags[0].OpenedAt == 0 || !s.NeedsNewerApp {
		t.Fatalf("the attack of before has no effect to withdraw: %+v", s.Bags[0])
	}
	for _, f := range bad {
		h.recordFact(t, one, scope, market, journal.KindFactWithdrawn, journal.FactTarget{Target: f.ID})
	}
	s := h.buildBatch(t, market)
	if b := s.Bags[0]; b.OpenedAt != 0 || b.ClosedAt != before.Bags[0].ClosedAt || s.NeedsNewerApp {
		t.Errorf("the bag is %+v\nwas %+v", b, before.Bags[0])
	}
	h.mustSyncPhone(t, one, market)
	if n := h.buildBatch(t, market).Numbers.FreeCount(one.Device); n != journal.LeaseSize {
		t.Errorf("the owner's phone has %d numbers", n)
	}
}
