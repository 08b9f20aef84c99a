//go:build linux

package main

import (
	"context"
	"slices"
	"sync"
	"testing"
	"time"

	"coldbatch/internal/exchange"
	"coldbatch/internal/hubtest"
	"coldbatch/internal/journal"
)

// What one program must stand: so many paired phones with the app open, and so long
// a journal.
const (
	manyPhones = 50
	manyFacts  = 20_000

	maxMemory = 120e6 // resident, in bytes, while all of them write
)

// BenchmarkPhones runs the program as it is released, in a process of its own, with
// phones that are connected by https and do what the app does. The phones share the
// machine's processors with it. What it is compared with is bbolt alone, in this
// process, in the same minute.
//
//	Join  a new phone is paired and reads the whole journal
//	Push  within a second each phone brings one fact, and all of them hear of it
//	Take  one phone brings 500 facts a call without pause; the others are away
//
// Take is held to no limit: how fast facts are taken is BenchmarkExchange's to say,
// and what comes on top here is TLS and HTTP, of both sides.
func BenchmarkPhones(b *testing.B) {
	h := hubtest.StartOnNetwork(b)
	raw := newPlainBolt(b)
	s := newFactGenerator(b, 1)
	writer := newSimulatedPhone(b, h)
	if err := writer.pair(h.Invite()); err != nil {
		b.Fatal(err)
	}
	for n := 0; n < manyFacts; n += exchange.MaxFacts {
		facts := factTexts(s.next(exchange.MaxFacts))
		raw.writeBodies(facts)
		writer.waitingFacts = facts
		if _, _, _, err := writer.exchange(); err != nil {
			b.Fatal(err)
		}
	}
	ctx, leave := context.WithCancel(context.Background())
	var mu sync.Mutex
	var pushTimes []time.Duration
	phones, left := startPhones(b, h, ctx, manyPhones, []journal.ID{s.batch}, func(d time.Duration) {
		mu.Lock()
		defer mu.Unlock()
		pushTimes = append(pushTimes, d)
	})
	disconnectPhones := sync.OnceFunc(func() { leave(); left() })
	b.Cleanup(disconnectPhones)

	b.Run("Join", func(b *testing.B) {
		var join, ratio []float64
		for b.Loop() {
			b.StopTimer()
			waitUntilSynced(b, phones)
			p, digits := newSimulatedPhone(b, h), h.Invite()
			b.StartTimer()
			start := time.Now()
			if err := p.pair(digits); err != nil {
				b.Fatal(err)
			}
			if _, err := p.exchangeAll(); err != nil {
				b.Fatal(err)
			}
			took := time.Since(start)
			b.StopTimer()
			if seq, _ := p.syncPosition(); seq < manyFacts {
				b.Fatalf("it read as far as %d", seq)
			}
			p.http.CloseIdleConnections()
			waitUntilSynced(b, phones)
			join = append(join, milliseconds(took))
			ratio = append(ratio, milliseconds(took)/milliseconds(raw.readAll()))
			b.StartTimer()
		}
		b.ReportMetric(median(join), "ms/join")
		b.ReportMetric(median(ratio), "×raw")
	})

	b.Run("Push", func(b *testing.B) {
		var most, commits []float64
		pushTimes = nil
		for b.Loop() {
			facts := s.next(manyPhones)
			peak := peakMemory(b, h.PID())
			for i, p := range phones {
				pause := time.Duration(s.random.IntN(1000)) * time.Millisecond
				time.AfterFunc(pause, func() { p.record(facts[i]) })
			}
			time.Sleep(time.Second)
			waitUntilSynced(b, phones)
			most = append(most, peak())
			b.StopTimer()
			for i := range 10 {
				commits = append(commits, milliseconds(raw.writeBodies(factTexts(facts[i:i+1]))))
			}
			b.StartTimer()
		}
		mu.Lock()
		defer mu.Unlock()
		if len(pushTimes) == 0 || len(pushTimes) > b.N*manyPhones {
			b.Fatalf("%d facts went in %d calls", b.N*manyPhones, len(pushTimes))
		}
		var took []float64
		for _, d := range pushTimes {
			took = append(took, milliseconds(d))
		}
		slices.Sort(took)
		p99, commit := took[(len(took)*99+99)/100-1], median(commits)
		b.ReportMetric(median(took), "ms/p50")
		b.ReportMetric(p99, "ms/p99")
		b.ReportMetric(p99/commit, "p99×raw")
		b.ReportMetric(commit, "ms/raw")
		b.ReportMetric(median(most)/1e6, "MB-RSS")
		b.ReportMetric(processMemory(b, h.PID(), "VmHWM")/1e6, "MB-HWM")
		if got := median(most); got > maxMemory {
			b.Fatalf("%.0f MB are resident, more than %.0f", got/1e6, maxMemory/1e6)
		}
	})

	b.Run("Take", func(b *testing.B) {
		disconnectPhones()
		var rate, share []float64
		for b.Loop() {
			b.StopTimer()
			const calls = 4
			var ours, theirs time.Duration
			for range calls {
				facts := factTexts(s.next(exchange.MaxFacts))
				writer.waitingFacts = facts
				b.StartTimer()
				_, _, took, err := writer.exchange()
				b.StopTimer()
				if err != nil {
					b.Fatal(err)
				}
				ours += took
				theirs += raw.writeBodies(facts)
			}
			rate = append(rate, calls*exchange.MaxFacts/ours.Seconds())
			share = append(share, 100*theirs.Seconds()/ours.Seconds())
			b.StartTimer()
		}
		b.ReportMetric(median(rate), "facts/s")
		b.ReportMetric(median(share), "%ofraw")
	})
}

// peakMemory watches what a process has resident until peak is called, which gives
// the most that was seen.
func peakMemory(tb testing.TB, pid int) (peak func() float64) {
	stop, most := make(chan struct{}), make(chan float64)
	go func() {
		top := 0.0
		for tick := time.NewTicker(20 * time.Millisecond); ; {
			select {
			case <-stop:
				tick.Stop()
				most <- top
				return
			case <-tick.C:
				top = max(top, processMemory(tb, pid, "VmRSS"))
			}
		}
	}()
	return func() float64 { close(stop); return <-most }
}
