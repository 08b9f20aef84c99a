package store

import (
	"bytes"
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"go.etcd.io/bbolt"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// storedFact is a fact as it is in the file: bbolt writes a value right after its key.
type storedFact struct {
	seq        uint64
	key, value []byte
}

func (f storedFact) bytes() []byte { return append(bytes.Clone(f.key), f.value...) }

// readStored reads the facts of the file at path with bbolt alone.
func readStored(t testing.TB, path string) (all []storedFact) {
	t.Helper()
	db, err := bbolt.Open(path, 0o600, &bbolt.Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	_ = db.View(func(tx *bbolt.Tx) error {
		return tx.Bucket(factsBucket).ForEach(func(k, v []byte) error {
			all = append(all, storedFact{uint64(len(all) + 1), bytes.Clone(k), bytes.Clone(v)})
			return nil
		})
	})
	return all
}

// flipBit changes one bit of record wherever it is in the file, also in free pages.
func flipBit(file, record []byte, bit int) {
	changed := bytes.Clone(record)
	changed[bit/8] ^= 1 << (bit % 8)
	for at := bytes.Index(file, record); at >= 0; at = bytes.Index(file, record) {
		copy(file[at:], changed)
	}
}

// filledFile makes a store with facts, meta and a cache.
func filledFile(t testing.TB, facts []journal.Fact) []byte {
	t.Helper()
	path := filepath.Join(memoryDir(t), "filled.db")
	s, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for len(facts) > 0 {
		n := min(17, len(facts))
		if err := appendAll(s, facts[:n]); err != nil {
			t.Fatal(err)
		}
		facts = facts[n:]
	}
	err = s.Update(func(tx *Tx) error {
		for i := range 20 {
			if err := tx.SetMeta(fmt.Sprintf("phone/%d", i), []byte(strings.Repeat("invented", i))); err != nil {
				return err
			}
		}
		return tx.SetCache("batch/x", make([]byte, 700))
	})
	if err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// One bit of a fact is changed, in its text, its checksum or its key. Check names
// the fact, all others can be read, and the fact can be appended again.
func TestFlippedBitInAFact(t *testing.T) {
	maker := newFactGenerator(21)
	facts := maker.next(150)
	good := filledFile(t, facts)
	stored := readStored(t, writeTemp(t, good))
	flips := 200
	if isLongRun {
		flips = 5000
	}
	r := rand.New(rand.NewSource(1))
	for i := range flips {
		hit := stored[r.Intn(len(stored))]
		b, bit := bytes.Clone(good), r.Intn(8*len(hit.bytes()))
		if i%10 == 0 { // a key is short, and would hardly ever be hit
			bit = r.Intn(64)
		}
		flipBit(b, hit.bytes(), bit)
		if err := checkFlipped(writeTemp(t, b), facts, int(hit.seq), bit < 64); err != nil {
			t.Errorf("fact %d, bit %d: %v", hit.seq, bit, err)
		}
	}
}

// checkFlipped tests a file whose fact seq is damaged, in its key or elsewhere.
func checkFlipped(path string, facts []journal.Fact, seq int, inKey bool) error {
	damaged := facts[seq-1]
	name := fmt.Sprintf("fact %d (id %s, %s) is damaged", seq, damaged.ID, damaged.Scope)
	report, err := Check(path)
	if err != nil || len(report.Problems) == 0 || report.FactCount != len(facts)-1 {
		return fmt.Errorf("check: %+v %v", report, err)
	}
	if !inKey && len(report.Problems) != 1 || !slices.Contains(report.Problems, name) {
		return fmt.Errorf("check says %q, want %q", report.Problems, name)
	}
	var told []string
	s, err := Open(path, Options{OnDamage: func(f *fault.Fault) { told = append(told, f.Sentence) }})
	if err != nil {
		return err
	}
	defer s.Close()
	everything := func(tx *Tx) error { return tx.Since(0, func(uint64, journal.Fact) bool { return true }) }
	inScope := func(tx *Tx) error { _, err := tx.Scope(damaged.Scope); return err }
	for _, read := range []func(*Tx) error{everything, inScope} { // each reports it, once
		s.damage.reportedDamage, told = nil, nil
		for range 2 {
			if err := s.View(read); err != nil {
				return err
			}
		}
		if len(told) != 1 || !strings.Contains(told[0], name) {
			return fmt.Errorf("told was %q", told)
		}
	}
	if err := readAllBut(s, facts, seq); err != nil {
		return err
	}
	if len(told) != 1 || !strings.Contains(told[0], name) {
		return fmt.Errorf("told was %q", told)
	}
	if inKey { // its place among the keys is wrong: bbolt may not be able to write
		return nil
	}
	if hasFact(s, damaged.ID) {
		return fmt.Errorf("the damaged fact passes for known")
	}
	if err := s.BackupFile(path + ".copy"); !fault.Is(err, fault.Damaged) {
		return fmt.Errorf("backup gave %v", err)
	}
	if err := appendAll(s, []journal.Fact{damaged}); err != nil {
		return err
	}
	if report, err = s.Check(); err != nil || len(report.Problems) > 0 || report.FactCount != len(facts) || !hasFact(s, damaged.ID) {
		return fmt.Errorf("appended again: %+v %v", report, err)
	}
	return s.BackupFile(path + ".copy")
}

// readAllBut compares what a store reads, fact by fact and scope by scope.
func readAllBut(s *Store, facts []journal.Fact, seq int) error {
	return s.View(func(tx *Tx) error {
		want := append(append([]journal.Fact{}, facts[:seq-1]...), facts[seq:]...)
		scopes, n := map[journal.Scope]int{}, 0
		err := tx.Since(0, func(_ uint64, f journal.Fact) bool {
			if n < len(want) && bytes.Equal(f.Text(), want[n].Text()) {
				n++
			}
			scopes[f.Scope]++
			return true
		})
		if err != nil || n != len(want) {
			return fmt.Errorf("%d facts read, want %d: %v", n, len(want), err)
		}
		for _, after := range []int{1, len(facts) / 2, len(facts) - 1, len(facts), max(seq-10, 0), max(seq-3, 0), seq - 1, seq} {
			n, left := 0, len(facts)-after
			if seq > after {
				left--
			}
			err = tx.Since(uint64(after), func(uint64, journal.Fact) bool { n++; return true })
			if err != nil || n != left {
				return fmt.Errorf("%d facts after %d read, want %d: %v", n, after, left, err)
			}
		}
		for _, scope := range tx.Scopes() {
			if got, err := tx.Scope(scope); err != nil || len(got) != scopes[scope] {
				return fmt.Errorf("%s: %d facts read, want %d: %v", scope, len(got), scopes[scope], err)
			}
		}
		return nil
	})
}

// One bit anywhere in the file is changed. A file that Check calls good has lost
// nothing.
func TestFlippedBitAnywhere(t *testing.T) {
	facts := newFactGenerator(22).next(150)
	good := filledFile(t, facts)
	whole := readEverything(t, writeTemp(t, good))
	l, err := readLayout("", bytes.NewReader(good), int64(len(good)))
	if err != nil {
		t.Fatal(err)
	}
	flips := 400
	if isLongRun {
		flips = 20_000
	}
	r := rand.New(rand.NewSource(2))
	passed := 0
	for range flips {
		b, bit := bytes.Clone(good), r.Intn(8*int(int64(l.pageCount)*l.pageSize))
		b[bit/8] ^= 1 << (bit % 8)
		path := writeTemp(t, b)
		report, err := Check(path)
		if err == nil && len(report.Problems) == 0 {
			passed++
			if got := readEverything(t, path); got != whole {
				t.Errorf("byte %d, bit %d: check says good, but what is read differs", bit/8, bit%8)
			}
			continue
		}
		if err != nil && !fault.Is(err, fault.Damaged) && !fault.Is(err, fault.Newer) {
			t.Errorf("byte %d, bit %d: %v", bit/8, bit%8, err)
		}
		if s, err := Open(path, Options{}); err == nil {
			if err := readAllFrom(s); err != nil && !fault.Is(err, fault.Damaged) {
				t.Errorf("byte %d, bit %d: %v", bit/8, bit%8, err)
			}
		}
	}
	t.Logf("%d of %d flips pass check: they hit free pages or unused bytes", passed, flips)
}

// readEverything reads everything that a caller of the store can read.
func readEverything(t *testing.T, path string) string {
	t.Helper()
	s, err := Open(path, Options{ReadOnly: true})
	if err != nil {
		t.Error(err)
		return ""
	}
	defer s.Close()
	var b strings.Builder
	err = s.View(func(tx *Tx) error {
		err := tx.Since(0, func(seq uint64, f journal.Fact) bool {
			id, ok := tx.IDAt(seq)
			fmt.Fprintf(&b, "%d %s %v %v %s\n", seq, id, ok, tx.Has(f.ID), f.Text())
			return true
		})
		for _, scope := range tx.Scopes() {
			facts, err := tx.Scope(scope)
			fmt.Fprintf(&b, "%s %v", scope, err)
			for _, f := range facts {
				fmt.Fprintf(&b, " %s", f.ID)
			}
		}
		for i := range 20 {
			fmt.Fprintf(&b, "%s\n", tx.Meta(fmt.Sprintf("phone/%d", i)))
		}
		fmt.Fprintf(&b, "%d %x\n", tx.Last(), tx.Cache("batch/x"))
		return err
	})
	if err != nil {
		t.Error(err)
	}
	return b.String()
}
