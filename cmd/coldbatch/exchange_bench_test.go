package main

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"coldbatch/internal/api"
	"coldbatch/internal/exchange"
	"coldbatch/internal/hub"
	"coldbatch/internal/store"
)

// leastRate is how fast facts that come 500 a call must be taken, in % of bbolt's
// speed alone.
const leastRate = 60

// BenchmarkExchange gives the time of a call that brings as many facts as one may,
// without the network, and its speed as a share of bbolt alone writing the same
// bodies, one commit a call. Each round is a journal that grows from manyFacts to twice
// as many. A phone with so much to bring asks for no numbers of bags: exchange.NextRequest.
func BenchmarkExchange(b *testing.B) {
	const calls = manyFacts / exchange.MaxFacts
	var ours, theirs []float64
	for b.Loop() {
		call := newExchanges(b)
		for range calls {
			call()
		}
		for range calls {
			own, raw := call()
			ours, theirs = append(ours, milliseconds(own)), append(theirs, milliseconds(raw))
		}
	}
	b.ReportMetric(median(ours), "ms/call")
	b.ReportMetric(exchange.MaxFacts/median(ours)*1000, "facts/s")
	// Other work on the machine only ever adds to a time: the fastest calls of both
	// sides, which took turns, are compared. Ten rounds give enough of them.
	share := 100 * meanOfFastestTenth(theirs) / meanOfFastestTenth(ours)
	b.ReportMetric(share, "%ofraw")
	if share < leastRate && os.Getenv("COLDBATCH_LONG") != "" {
		b.Fatalf("%.0f %% of bbolt's speed is less than %d", share, leastRate)
	}
}

// newExchanges begins a journal and gives what one call more takes it, and bbolt.
func newExchanges(b *testing.B) func() (ours, theirs time.Duration) {
	kept, err := store.Open(filepath.Join(b.TempDir(), journalFile), store.Options{})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { kept.Close() })
	h, err := hub.Open(bolt{kept}, api.Identity{Zone: "UTC"}, system())
	if err != nil {
		b.Fatal(err)
	}
	raw, s := newRaw(b), newSeason(b, 1)
	q := exchange.Request{Device: s.author.Device}
	return func() (ours, theirs time.Duration) {
		facts := texts(s.facts(exchange.MaxFacts))
		q.Facts = nil
		for _, text := range facts {
			q.Facts = append(q.Facts, text)
		}
		start := time.Now()
		a, err := h.Exchange(b.Context(), h.LocalAsker(), q)
		ours = time.Since(start)
		if err != nil || len(a.Acks) != len(q.Facts) {
			b.Fatal(a, err)
		}
		q.Cursor = a.Cursor
		return ours, raw.writeBodies(facts)
	}
}
