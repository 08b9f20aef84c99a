package store

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand"
	"path/filepath"
	"testing"

	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// trackedStore is a store under test and all facts appended to it, by sequence.
type trackedStore struct {
	*Store
	t     testing.TB
	facts map[uint64]journal.Fact
}

// MustOpenStore opens a fresh store. When the test ends the file is checked and
// every fact is compared with what was appended.
func MustOpenStore(t testing.TB) *trackedStore {
	t.Helper()
	k := &trackedStore{t: t, facts: map[uint64]journal.Fact{}}
	k.open(filepath.Join(t.TempDir(), "data", "coldbatch.db"))
	t.Cleanup(func() {
		k.verify()
		if err := k.Close(); err != nil {
			t.Errorf("close: %v", err)
		}
	})
	return k
}

func (k *trackedStore) open(path string) {
	k.t.Helper()
	s, err := Open(path, Options{})
	if err != nil {
		k.t.Fatalf("open: %v", err)
	}
	k.Store = s
}

// reopen closes the file and opens it again.
func (k *trackedStore) reopen() {
	k.t.Helper()
	if err := k.Close(); err != nil {
		k.t.Fatalf("close: %v", err)
	}
	k.open(k.Path())
}

// add appends facts in one transaction.
func (k *trackedStore) add(facts ...journal.Fact) error {
	seqs := make([]uint64, len(facts))
	err := k.Update(func(tx *Tx) (err error) {
		for i, f := range facts {
			if seqs[i], err = tx.Append(f); err != nil {
				return err
			}
		}
		return nil
	})
	if err == nil {
		for i, f := range facts {
			if _, known := k.facts[seqs[i]]; !known {
				k.facts[seqs[i]] = f
			}
		}
	}
	return err
}

func (k *trackedStore) mustAdd(facts ...journal.Fact) {
	k.t.Helper()
	if err := k.add(facts...); err != nil {
		k.t.Fatalf("append: %v", err)
	}
}

// verify checks the file and compares it with what was appended.
func (k *trackedStore) verify() {
	k.t.Helper()
	report, err := k.Check()
	if err != nil {
		k.t.Errorf("check: %v", err)
		return
	}
	for _, p := range report.Problems {
		k.t.Errorf("check: %s", p)
	}
	if report.FactCount != len(k.facts) {
		k.t.Errorf("%d facts are there, %d were appended", report.FactCount, len(k.facts))
	}
	checkSame(k.t, k.Store, k.facts)
}

// checkSame compares every fact of s with want, by sequence, id and scope.
func checkSame(t testing.TB, s *Store, want map[uint64]journal.Fact) {
	t.Helper()
	byScope := map[journal.Scope]int{}
	err := s.View(func(tx *Tx) error {
		last := uint64(0)
		err := tx.Since(0, func(seq uint64, f journal.Fact) bool {
			w, expected := want[seq]
			switch {
			case !expected:
				t.Errorf("fact %s at %d was never appended", f.ID, seq)
			case !bytes.Equal(f.Text(), w.Text()):
				t.Errorf("at %d there is %s, appended was %s", seq, f.Text(), w.Text())
			case seq <= last:
				t.Errorf("sequence %d comes after %d", seq, last)
			case !tx.Has(f.ID):
				t.Errorf("fact %s is missing", f.ID)
			}
			if id, ok := tx.IDAt(seq); !ok || id != f.ID {
				t.Errorf("at %d is %s, not %s", seq, id, f.ID)
			}
			last = seq
			byScope[f.Scope]++
			return true
		})
		if tx.Last() != last {
			t.Errorf("last is %d, not %d", tx.Last(), last)
		}
		if n := len(tx.Scopes()); n != len(byScope) {
			t.Errorf("%d scopes, not %d", n, len(byScope))
		}
		for _, scope := range tx.Scopes() {
			facts, err := tx.Scope(scope)
			if err != nil || len(facts) != byScope[scope] {
				t.Errorf("%s has %d facts, not %d: %v", scope, len(facts), byScope[scope], err)
			}
		}
		return err
	})
	if err != nil {
		t.Errorf("reading: %v", err)
	}
	n := 0
	for _, c := range byScope {
		n += c
	}
	if n != len(want) {
		t.Errorf("%d facts read, %d appended", n, len(want))
	}
}

// A factGenerator makes facts as a phone does; the same seed makes the same facts.
type factGenerator struct {
	r       *rand.Rand
	a       journal.Author
	batches []journal.ID
}

func newFactGenerator(seed int64) *factGenerator {
	maker := &factGenerator{r: rand.New(rand.NewSource(seed))}
	maker.a = journal.Author{Now: 1_750_000_000_000, TZ: "Europe/Lisbon", Random: func(b []byte) { maker.r.Read(b) }}
	maker.a.Device = maker.a.NewID()
	for range 5 {
		maker.batches = append(maker.batches, maker.a.NewID())
	}
	return maker
}

// next makes n facts of about the size of a batch's facts.
func (maker *factGenerator) next(n int) []journal.Fact {
	var drafts []journal.Draft
	for i := range n {
		maker.a.Now = maker.a.Now.Add(zone.Span(maker.r.Intn(1000)))
		id := maker.batches[maker.r.Intn(len(maker.batches))]
		d := journal.Draft{Scope: journal.BatchScope(id), Kind: journal.KindBatchChanged,
			Body: json.RawMessage(fmt.Sprintf(`{"note":"invented note %d of a neighbour's batch: aprons, rust & <deep> yellow \u00e9"}`, maker.r.Int63()))}
		if i%10 == 9 {
			d.Scope, d.Kind = journal.PlaceScope(id), journal.KindPlaceRead
			d.Body = json.RawMessage(fmt.Sprintf(`{"celsius":%d,"typed":{"celsius":"%d °C"}}`, i%30, i%30))
		}
		drafts = append(drafts, d)
	}
	facts, err := maker.a.MakeFacts(drafts)
	if err != nil {
		panic(err)
	}
	return facts
}
