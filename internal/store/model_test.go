package store

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// After appends, repeated appends, rollbacks and reopening in any order, the file
// holds the acknowledged facts and nothing else.
func TestAnyOrder(t *testing.T) {
	dir := memoryDir(t)
	pool := newFactGenerator(11).next(120)
	no := fault.New(fault.Refused, "no")
	n := 0
	rapid.Check(t, func(t *rapid.T) {
		n++
		path := filepath.Join(dir, fmt.Sprintf("%d.db", n))
		defer os.Remove(path)
		s, err := Open(path, Options{})
		if err != nil {
			t.Fatal(err)
		}
		defer func() { s.Close() }()
		model := map[uint64]journal.Fact{}
		seqs := map[journal.ID]uint64{}
		t.Repeat(map[string]func(*rapid.T){
			"call": func(t *rapid.T) {
				call := rapid.SliceOfN(rapid.SampledFrom(pool), 0, 12).Draw(t, "facts")
				keep := rapid.Bool().Draw(t, "keep")
				m, q := maps.Clone(model), maps.Clone(seqs)
				err := s.Update(func(tx *Tx) error {
					for i, f := range call {
						seq, err := tx.Append(f)
						if err != nil {
							return err
						}
						if before, known := q[f.ID]; known && before != seq {
							t.Fatalf("fact %s moved from %d to %d", f.ID, before, seq)
						}
						q[f.ID], m[seq] = seq, f
						if i%5 == 4 { // reading in the midst of writing
							checkTx(t, tx, m)
						}
					}
					checkTx(t, tx, m)
					if !keep {
						return no
					}
					return nil
				})
				if keep && err != nil || !keep && err != error(no) {
					t.Fatal(err)
				}
				if keep {
					model, seqs = m, q
				}
			},
			"open again": func(t *rapid.T) {
				if err := s.Close(); err != nil {
					t.Fatal(err)
				}
				if s, err = Open(path, Options{}); err != nil {
					t.Fatal(err)
				}
			},
			"": func(t *rapid.T) {
				_ = s.View(func(tx *Tx) error { checkTx(t, tx, model); return nil })
				for id := range seqs {
					if !hasFact(s, id) {
						t.Fatalf("fact %s is missing", id)
					}
				}
			},
		})
		if r, err := s.Check(); err != nil || r.FactCount != len(model) || len(r.Problems) > 0 {
			t.Fatalf("%v %v", r, err)
		}
	})
}

// checkTx compares what a transaction sees, its own writes included.
func checkTx(t *rapid.T, tx *Tx, want map[uint64]journal.Fact) {
	scopes := map[journal.Scope]int{}
	for seq, f := range want {
		scopes[f.Scope]++
		if id, ok := tx.IDAt(seq); !ok || id != f.ID || !tx.Has(f.ID) {
			t.Fatalf("at %d is %q, not %s", seq, id, f.ID)
		}
	}
	if got := len(tx.Scopes()); got != len(scopes) {
		t.Fatalf("%d scopes, not %d", got, len(scopes))
	}
	for scope, n := range scopes {
		if facts, err := tx.Scope(scope); err != nil || len(facts) != n {
			t.Fatalf("%s has %d facts, not %d: %v", scope, len(facts), n, err)
		}
	}
	last := tx.Last()
	for _, seq := range []uint64{0, last + 1, last + 100, 1<<64 - 1} {
		if id, ok := tx.IDAt(seq); ok {
			t.Fatalf("at %d is %s, but the last is %d", seq, id, last)
		}
	}
}

func hasFact(s *Store, id journal.ID) (has bool) {
	_ = s.View(func(tx *Tx) error { has = tx.Has(id); return nil })
	return has
}

// A transaction that began before a fact was written does not see it afterwards.
func TestReaderSeesItsOwnTime(t *testing.T) {
	s := MustOpenStore(t)
	facts := newFactGenerator(1).next(301)
	s.mustAdd(facts[:300]...)
	later := facts[300]
	begun, written := make(chan bool), make(chan bool)
	go func() {
		<-begun
		s.mustAdd(later) // 300 facts leave room in the file for one more: no writer waits for a reader
		close(written)
	}()
	err := s.View(func(tx *Tx) error {
		close(begun)
		<-written
		if tx.Has(later.ID) || !tx.Has(facts[299].ID) || tx.Last() != 300 {
			t.Error("it sees what came later, or not what came before")
		}
		return nil
	})
	if err != nil || !hasFact(s.Store, later.ID) {
		t.Errorf("a later reader does not see it: %v", err)
	}
}
