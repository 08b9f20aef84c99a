package store

import (
	"path/filepath"
	"testing"
	"time"

	"go.etcd.io/bbolt"

	"coldbatch/internal/journal"
)

// A call brings at most 500 facts. BenchmarkAppend measures how long such a call takes on a
// journal that already has many facts, and compares its speed with bbolt alone, which writes
// the same bytes under ascending keys with one commit per call.
func BenchmarkAppend(b *testing.B) {
	const call, before = 500, 40
	dir := b.TempDir()
	s, err := Open(filepath.Join(dir, "coldbatch.db"), Options{})
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	db, err := bbolt.Open(filepath.Join(dir, "raw.db"), 0o600, nil)
	if err != nil {
		b.Fatal(err)
	}
	defer db.Close()
	maker := newFactGenerator(1)
	var ours, raw time.Duration
	run := func() {
		facts := maker.next(call)
		start := time.Now()
		if err := appendAll(s, facts); err != nil {
			b.Fatal(err)
		}
		mid := time.Now()
		if err := appendRaw(db, facts); err != nil {
			b.Fatal(err)
		}
		ours, raw = ours+mid.Sub(start), raw+time.Since(mid)
	}
	for range before {
		run()
	}
	ours, raw = 0, 0
	for b.Loop() {
		run()
	}
	b.ReportMetric(float64(ours.Milliseconds())/float64(b.N), "ms/call")
	b.ReportMetric(float64(call*b.N)/ours.Seconds(), "facts/s")
	b.ReportMetric(100*raw.Seconds()/ours.Seconds(), "%ofraw")
}

func appendRaw(db *bbolt.DB, facts []journal.Fact) error {
	return db.Update(func(tx *bbolt.Tx) error {
		bucket, err := tx.CreateBucketIfNotExists([]byte("facts"))
		if err != nil {
			return err
		}
		for _, f := range facts {
			seq, err := bucket.NextSequence()
			if err != nil {
				return err
			}
			if err := bucket.Put(seqKey(seq), f.Text()); err != nil {
				return err
			}
		}
		return nil
	})
}

// Reading is what a phone waits for when it opens a batch.
func BenchmarkScope(b *testing.B) {
	s, err := Open(filepath.Join(b.TempDir(), "coldbatch.db"), Options{})
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	maker := newFactGenerator(1)
	for range 10 {
		if err := appendAll(s, maker.next(500)); err != nil {
			b.Fatal(err)
		}
	}
	n := 0
	for b.Loop() {
		err := s.View(func(tx *Tx) error {
			facts, err := tx.Scope(journal.BatchScope(maker.batches[0]))
			n = len(facts)
			return err
		})
		if err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(n), "facts")
}
