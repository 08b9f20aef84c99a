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

// minSpeedPercent says how fast the hub must store facts that come 500 a call, in % of bbolt's
// speed alone.
const minSpeedPercent = 60

// BenchmarkExchange returns the time of a call that brings as many facts as one may,
// without the network, and its speed as a share of bbolt alone writing the same
// bodies, one commit a call. Each round is a journal that grows from manyFacts to twice
// as many. A phone with so much to bring asks for no numbers of bags: exchange.NextRequest.
func BenchmarkExchange(b *testing.B) {
	const calls = manyFacts / exchange.MaxFacts
	var hubTimes, plainBoltTimes []float64
	for b.Loop() {
		call := newExchangeTimer(b)
		for range calls {
			call()
		}
		for range calls {
			own, raw := call()
			hubTimes, plainBoltTimes = append(hubTimes, milliseconds(own)), append(plainBoltTimes, milliseconds(raw))
		}
	}
	b.ReportMetric(median(hubTimes), "ms/call")
	b.ReportMetric(exchange.MaxFacts/median(hubTimes)*1000, "facts/s")
	// Other work on the machine only ever adds to a time: the fastest calls of both
	// sides, which took turns, are compared. Ten rounds give enough of them.
	share := 100 * meanOfFastestTenth(plainBoltTimes) / meanOfFastestTenth(hubTimes)
	b.ReportMetric(share, "%ofraw")
	if share < minSpeedPercent && os.Getenv("COLDBATCH_LONG") != "" {
		b.Fatalf("%.0f %% of bbolt's speed is less than %d", share, minSpeedPercent)
	}
}

// newExchangeTimer opens a new journal and returns a function that makes one more call and
// returns how long it took, and how long bbolt alone took.
func newExchangeTimer(b *testing.B) func() (hubTime, plainBoltTime time.Duration) {
	kept, err := store.Open(filepath.Join(b.TempDir(), journalFile), store.Options{})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { kept.Close() })
	h, err := hub.Open(storeJournal{kept}, api.Identity{Zone: "UTC"}, machineSystem())
	if err != nil {
		b.Fatal(err)
	}
	raw, s := newPlainBolt(b), newFactGenerator(b, 1)
	q := exchange.Request{Device: s.author.Device}
	return func() (hubTime, plainBoltTime time.Duration) {
		facts := factTexts(s.next(exchange.MaxFacts))
		q.Facts = nil
		for _, text := range facts {
			q.Facts = append(q.Facts, text)
		}
		start := time.Now()
		a, err := h.Exchange(b.Context(), h.LocalAsker(), q)
		hubTime = time.Since(start)
		if err != nil || len(a.Acks) != len(q.Facts) {
			b.Fatal(a, err)
		}
		q.Cursor = a.Cursor
		return hubTime, raw.writeBodies(facts)
	}
}
