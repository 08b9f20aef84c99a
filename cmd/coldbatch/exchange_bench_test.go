package main

import (
	bytesOf "encoding/binary"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"coldbatch/internal/exchange"
	"coldbatch/internal/hub"
	"coldbatch/internal/journal"
	"coldbatch/internal/store"
	"coldbatch/internal/zone"
)

// BenchmarkExchange gives the time of a call that brings as many facts as one may,
// and its speed as a share of bbolt alone writing the same bodies, one commit a
// call. The phone asks for bag numbers too, as phones do that bag.
func BenchmarkExchange(b *testing.B) {
	dir := b.TempDir()
	s, err := store.Open(filepath.Join(dir, journalFile), store.Options{})
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	h, err := hub.Open(bolt{s}, hub.Identity{Zone: "UTC"}, world())
	if err != nil {
		b.Fatal(err)
	}
	raw, err := bbolt.Open(filepath.Join(dir, "raw.db"), 0o600, nil)
	if err != nil {
		b.Fatal(err)
	}
	defer raw.Close()
	dice := rand.New(rand.NewPCG(1, 2))
	a := journal.Author{Now: zone.Instant(1777719600000), TZ: "UTC", Random: func(p []byte) {
		for i := range p {
			p[i] = byte(dice.Uint32())
		}
	}}
	a.Device = a.NewID()
	batch := a.NewID()
	draft := func(kind, body string) journal.Draft {
		return journal.Draft{Scope: journal.BatchScope(batch), Subject: batch, Kind: kind, Body: json.RawMessage(body)}
	}
	q := exchange.Request{Device: a.Device, Lease: []journal.ID{batch}}
	write := func(drafts []journal.Draft) {
		facts, err := a.Write(drafts)
		if err != nil {
			b.Fatal(err)
		}
		q.Facts = nil
		for _, f := range facts {
			q.Facts = append(q.Facts, f.Text())
		}
	}
	var ours, theirs time.Duration
	call := func() {
		start := time.Now()
		got, err := h.Exchange(h.Local(), q)
		if err != nil || len(got.Acks) != len(q.Facts) {
			b.Fatal(got, err)
		}
		mid := time.Now()
		err = raw.Update(func(tx *bbolt.Tx) error {
			bucket, err := tx.CreateBucketIfNotExists([]byte("facts"))
			for i := 0; i < len(q.Facts) && err == nil; i++ {
				var seq uint64
				if seq, err = bucket.NextSequence(); err == nil {
					err = bucket.Put(bytesOf.BigEndian.AppendUint64(nil, seq), q.Facts[i])
				}
			}
			return err
		})
		if err != nil {
			b.Fatal(err)
		}
		ours, theirs, q.Cursor = ours+mid.Sub(start), theirs+time.Since(mid), got.Cursor
	}
	write([]journal.Draft{draft("batch.started", fmt.Sprintf(`{"name":"market","secret":%q}`, a.NewID()))})
	call()
	drafts := make([]journal.Draft, exchange.MaxFacts)
	for i := range drafts {
		drafts[i] = draft("batch.changed", fmt.Sprintf(`{"note":"pillowcase %d in rust, wrung twice, a little unevenly"}`, i))
	}
	for range 20 {
		write(drafts)
		call()
	}
	ours, theirs = 0, 0
	for b.Loop() {
		b.StopTimer()
		write(drafts)
		b.StartTimer()
		call()
	}
	b.ReportMetric(float64(ours.Microseconds())/1000/float64(b.N), "ms/call")
	b.ReportMetric(float64(len(drafts)*b.N)/ours.Seconds(), "facts/s")
	b.ReportMetric(100*theirs.Seconds()/ours.Seconds(), "%ofraw")
}
