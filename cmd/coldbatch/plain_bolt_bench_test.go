package main

import (
	bytesOf "encoding/binary"
	"encoding/json"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"go.etcd.io/bbolt"
)

// plainBolt is bbolt alone: bodies under growing keys, one commit with its sync a call.
type plainBolt struct {
	tb testing.TB
	db *bbolt.DB
}

var plainBoltBucket = []byte("facts")

func newPlainBolt(tb testing.TB) *plainBolt {
	tb.Helper()
	db, err := bbolt.Open(filepath.Join(tb.TempDir(), "raw.db"), 0o600, nil)
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(func() { db.Close() })
	return &plainBolt{tb, db}
}

// writeBodies writes bodies and returns how long that took.
func (r *plainBolt) writeBodies(bodies [][]byte) time.Duration {
	r.tb.Helper()
	start := time.Now()
	err := r.db.Update(func(tx *bbolt.Tx) error {
		bucket, err := tx.CreateBucketIfNotExists(plainBoltBucket)
		for i := 0; i < len(bodies) && err == nil; i++ {
			var seq uint64
			if seq, err = bucket.NextSequence(); err == nil {
				err = bucket.Put(bytesOf.BigEndian.AppendUint64(nil, seq), bodies[i])
			}
		}
		return err
	})
	if err != nil {
		r.tb.Fatal(err)
	}
	return time.Since(start)
}

// readAll reads the first manyFacts, each by encoding/json as it stands there, and
// returns how long that took.
func (r *plainBolt) readAll() time.Duration {
	r.tb.Helper()
	start, n := time.Now(), 0
	err := r.db.View(func(tx *bbolt.Tx) error {
		c := tx.Bucket(plainBoltBucket).Cursor()
		for k, v := c.First(); k != nil && n < manyFacts; k, v = c.Next() {
			var fields map[string]json.RawMessage
			if err := json.Unmarshal(v, &fields); err != nil {
				return err
			}
			n++
		}
		return nil
	})
	if err != nil || n < manyFacts {
		r.tb.Fatalf("%d facts: %v", n, err)
	}
	return time.Since(start)
}

func milliseconds(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }

// meanOfFastestTenth returns the mean of the fastest tenth.
func meanOfFastestTenth(times []float64) float64 {
	tenth := slices.Sorted(slices.Values(times))[:(len(times)+9)/10]
	sum := 0.0
	for _, t := range tenth {
		sum += t
	}
	return sum / float64(len(tenth))
}

func median(list []float64) float64 {
	list = slices.Sorted(slices.Values(list))
	return list[len(list)/2]
}
