package hub

import (
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// Sixty phones come with one code: as many get in as a batch may have helpers, and the
// letters stay for the phones of the house.
func TestHelpersByOneCode(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	code := h.shareBatch(t, one, market, 0)
	var in []*networkPhone
	for range 60 {
		g := h.newUnpairedPhone()
		p, err := h.pair(g, code)
		if err != nil {
			wantFault(t, err, fault.Conflict)
			if !strings.Contains(err.Error(), "20 helpers") || !strings.Contains(err.Error(), "coldbatch limits") {
				t.Fatal(err)
			}
			continue
		}
		if p.Letter != "" {
			t.Errorf("a helper has the letter %s", p.Letter)
		}
		in = append(in, g)
	}
	if len(in) != defaultLimits.HelperCount {
		t.Fatalf("%d helpers got in", len(in))
	}
	h.mustPair(t, in[0], code) // one that is in may come again
	if p := h.mustPair(t, h.newUnpairedPhone(), h.mustInvite(t).Digits); p.Letter != "B" {
		t.Errorf("the next phone of the house has the letter %q", p.Letter)
	}
	// A helper that becomes the owner's gets a letter, and keeps it.
	for range 2 {
		if p := h.mustPair(t, in[0], h.mustInvite(t).Digits); p.Letter != "C" {
			t.Errorf("a helper that became the owner's has the letter %q", p.Letter)
		}
	}
	// The owner allows more.
	if _, err := h.ChangeLimits(ctx, h.LocalAsker(), Limits{HelperCount: 25}); err != nil {
		t.Fatal(err)
	}
	h.open(t) // and after a new start
	for i := range 10 {
		if _, err := h.pair(h.newUnpairedPhone(), code); (err == nil) != (i < 6) { // one of the 20 became the owner's
			t.Errorf("newcomer %d: %v", i, err)
		}
	}
	// Once the sharing is closed, a new one has room again.
	h.recordFact(t, one, journal.BatchScope(market), market, journal.KindShareClosed, struct{}{})
	h.addHelper(t, h.shareBatch(t, one, market, 0))
}

// A helper floods a batch: the journal takes as much as it may send, tells the rest why,
// and takes it once the owner allows more. The owner's phones are bound by nothing.
func TestFloodOfAHelper(t *testing.T) {
	h := newTestHub(t)
	one := h.addOwner(t)
	market := h.startBatch(t, one, "market")
	code := h.shareBatch(t, one, market, 0)
	limits := Limits{FactCount: 100, ByteCount: 60_000, PhotoCount: 3, NewSubjectCount: 7}
	if _, err := h.ChangeLimits(ctx, h.LocalAsker(), limits); err != nil {
		t.Fatal(err)
	}
	note := func(n int) (drafts []journal.Draft) {
		for range n {
			drafts = append(drafts, journal.Draft{Scope: journal.BatchScope(market), Subject: market, Kind: journal.KindBatchFinished, Body: []byte(`{"note":"again"}`)})
		}
		return drafts
	}
	photo := func(n int) (drafts []journal.Draft) {
		for i := range n {
			drafts = append(drafts, journal.Draft{Scope: journal.BatchScope(market), Subject: market, Kind: journal.KindPiecePhotographed,
				Body: fmt.Appendf(nil, `{"sha256":"%064x"}`, i)})
		}
		return drafts
	}
	long := journal.Draft{Scope: journal.BatchScope(market), Subject: market, Kind: journal.KindBatchFinished, Body: fmt.Appendf(nil, `{"note":%q}`, strings.Repeat("x", 15_000))}
	send := func(g *networkPhone, drafts ...journal.Draft) *exchange.Answer {
		t.Helper()
		q := exchange.Request{Device: g.Device}
		for _, f := range g.write(t, drafts...) {
			q.Facts = append(q.Facts, f.Text())
		}
		g.unsentFacts = nil
		a, err := h.Exchange(ctx, h.askerOf(g), q)
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	before := len(h.facts)
	flood := h.addHelper(t, code)
	a := send(flood, note(150)...)
	if len(a.Acks) != 100 || len(a.Refused) != 50 || !strings.Contains(a.Refused[0].Sentence, "sent 100 entries") || !strings.Contains(a.Refused[0].Sentence, "coldbatch limits") {
		t.Fatalf("%d taken, %d refused: %+v", len(a.Acks), len(a.Refused), a.Refused[:1])
	}
	if a := send(h.addHelper(t, code), photo(5)...); len(a.Acks) != 3 || !strings.Contains(a.Refused[0].Sentence, "sent 3 photos") {
		t.Errorf("%d photos taken: %+v", len(a.Acks), a.Refused)
	}
	if a := send(h.addHelper(t, code), long, long, long, long, long); len(a.Acks) != 3 || !strings.Contains(a.Refused[0].Sentence, "bytes") {
		t.Errorf("%d long notes taken: %+v", len(a.Acks), a.Refused)
	}
	colour := func(n int) (drafts []journal.Draft) {
		for range n {
			drafts = append(drafts, journal.Draft{Scope: journal.BatchScope(market), Subject: h.newID(), Kind: journal.KindColourChosen,
				Body: []byte(`{"name":"rust","caps":"RU","rgb":"#b5372a","class":"dichlorotriazine","strength":34,"depth":1}`)})
		}
		return drafts
	}
	if a := send(h.addHelper(t, code), colour(9)...); len(a.Acks) != 7 || !strings.Contains(a.Refused[0].Sentence, "sent 7 bags, pieces, colours") {
		t.Errorf("%d colours taken: %+v", len(a.Acks), a.Refused)
	}
	for range 10 { // more helpers do not get more than all of a batch may
		send(h.addHelper(t, code), note(90)...)
	}
	if n := len(h.facts) - before; n > HelpersShare*limits.FactCount+2*14 {
		t.Errorf("the helpers wrote %d entries", n)
	}
	a = send(h.addHelper(t, code), note(1)...)
	if len(a.Refused) != 1 || !strings.Contains(a.Refused[0].Sentence, "the helpers of this batch") {
		t.Errorf("the last helper is told %+v", a.Refused)
	}
	h.open(t) // what was counted outlives a new start
	if a := send(flood, note(1)...); len(a.Acks) != 0 {
		t.Error("after a new start it may go on")
	}
	if a := send(one, note(300)...); len(a.Refused) != 0 {
		t.Errorf("the owner is refused: %+v", a.Refused[0])
	}
	if _, err := h.ChangeLimits(ctx, h.LocalAsker(), Limits{FactCount: 1000, ByteCount: 1 << 20}); err != nil {
		t.Fatal(err)
	}
	if a := send(flood, note(20)...); len(a.Refused) != 0 {
		t.Errorf("with more allowed: %+v", a.Refused[0])
	}
	for _, bad := range []Limits{{HelperCount: -1}, {FactCount: maxLimits.FactCount + 1}} {
		_, err := h.ChangeLimits(ctx, h.LocalAsker(), bad)
		wantFault(t, err, fault.Input)
	}
	_, err := h.ChangeLimits(ctx, h.askerOf(flood), Limits{HelperCount: 1000})
	wantFault(t, err, fault.Refused)
}

// BenchmarkListOfManyPhones lists ten times as many phones in the same run: reading each batch
// once for each phone took 300 times as long.
func BenchmarkListOfManyPhones(b *testing.B) {
	var few, many time.Duration
	for b.Loop() {
		few, many = timeOfPhoneList(b, 100), timeOfPhoneList(b, 1000)
	}
	ratio := float64(many) / float64(few)
	b.ReportMetric(float64(many.Microseconds())/1000, "ms/1000-phones")
	b.ReportMetric(ratio, "x-of-100-phones")
	if ratio > 40 {
		b.Errorf("1,000 phones are listed in %v, 100 in %v", many, few)
	}
	if os.Getenv("COLDBATCH_LONG") != "" && many > 100*time.Millisecond {
		b.Errorf("1,000 phones are listed in %v", many)
	}
}

// timeOfPhoneList returns the shortest time in which a hub with n helpers lists its phones.
func timeOfPhoneList(b *testing.B, n int) time.Duration {
	b.Helper()
	h := newTestHub(b)
	market := h.startBatch(b, h.addOwner(b), "market")
	h.shareBatch(b, h.addOwner(b), market, 0)
	err := h.changeAccess(ctx, func(w *factWriter, a *accessList) error {
		for range n {
			c := credential{Device: h.newID(), Role: rights.Helper, Batches: []journal.ID{market}}
			a.Phones = append(a.Phones, c)
			err := errors.Join(w.writeFact(journal.BatchScope(market), c.Device, kindHelperJoined, journal.DeviceNamed{Name: "a helper"}),
				w.writeFact(journal.HouseScope, c.Device, journal.KindDeviceJoined, journal.DeviceJoined{Name: "a helper"}))
			if err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		b.Fatal(err)
	}
	best := time.Hour
	for range 9 {
		began := time.Now()
		if l, err := h.Phones(ctx, h.LocalAsker()); err != nil || len(l) != n+2 || len(l[n+1].Batches) != 1 {
			b.Fatalf("%d phones, %v", len(l), err)
		}
		best = min(best, time.Since(began))
	}
	return best
}
