package store

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"io"
	"os"
	"path/filepath"
	"testing"

	"coldbatch/internal/journal"
)

// testdata/format1.db.gz was written by the last program with format 1: 24 facts
// in three calls, two entries of meta and one of the cache. testdata/format1.jsonl
// has its facts.
func newFormat1File(t testing.TB) (file []byte, facts map[uint64]journal.Fact) {
	t.Helper()
	packed, err := os.Open(filepath.Join("testdata", "format1.db.gz"))
	if err != nil {
		t.Fatal(err)
	}
	defer packed.Close()
	unpacked, err := gzip.NewReader(packed)
	if err != nil {
		t.Fatal(err)
	}
	if file, err = io.ReadAll(unpacked); err != nil {
		t.Fatal(err)
	}
	text, err := os.Open(filepath.Join("testdata", "format1.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	defer text.Close()
	facts = map[uint64]journal.Fact{}
	for lines := bufio.NewScanner(text); lines.Scan(); {
		var f journal.Fact
		if err := f.UnmarshalJSON(lines.Bytes()); err != nil {
			t.Fatal(err)
		}
		facts[uint64(len(facts)+1)] = f
	}
	if len(facts) != 24 {
		t.Fatalf("%d facts, not 24", len(facts))
	}
	return file, facts
}

// requireFormat1 compares everything in a store with the file of format 1.
func requireFormat1(t *testing.T, s *Store, facts map[uint64]journal.Fact) {
	t.Helper()
	checkSame(t, s, facts)
	err := s.View(func(tx *Tx) error {
		if got := string(tx.Meta("hub")); got != `{"id":"invented"}` {
			t.Errorf("meta hub is %q", got)
		}
		if got := tx.Meta("empty"); got == nil || len(got) > 0 {
			t.Errorf("meta empty is %q", got)
		}
		if got := string(tx.Cache("batch/x")); got != "a cached state" {
			t.Errorf("the cache is %q", got)
		}
		return nil
	})
	if err != nil {
		t.Error(err)
	}
	if r, err := s.Check(); err != nil || r.FactCount != len(facts) || len(r.Problems) > 0 {
		t.Errorf("check: %+v %v", r, err)
	}
}

func TestMigrate(t *testing.T) {
	old, facts := newFormat1File(t)
	path := writeTemp(t, old)

	// Opened for reading, and by check, the file stays as it is.
	s, err := Open(path, Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	requireFormat1(t, s, facts)
	copied := filepath.Join(t.TempDir(), "copy.db")
	if err := s.BackupFile(copied); err != nil {
		t.Fatal(err)
	}
	s.Close()
	if r, err := Check(path); err != nil || r.FactCount != 24 || len(r.Problems) > 0 {
		t.Errorf("check: %+v %v", r, err)
	}
	if now, _ := os.ReadFile(path); !bytes.Equal(now, old) {
		t.Error("the file was changed")
	}

	for _, path := range []string{path, copied} {
		for range 2 { // the second time it is of format 2
			s, err := Open(path, Options{})
			if err != nil {
				t.Fatal(err)
			}
			requireFormat1(t, s, facts)
			s.Close()
		}
		if bad := countUndetectedFlips(t, path); bad > 0 {
			t.Errorf("after the migration %d changed facts pass for good", bad)
		}
		s, err := Open(path, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if err := appendAll(s, newFactGenerator(8).next(10)); err != nil {
			t.Error(err)
		}
		if r, err := s.Check(); err != nil || r.FactCount != 34 || len(r.Problems) > 0 {
			t.Errorf("check: %+v %v", r, err)
		}
		s.Close()
	}
}

// countUndetectedFlips changes one bit of each fact in a copy of the file at path, and
// counts the copies that Check calls good.
func countUndetectedFlips(t *testing.T, path string) (n int) {
	t.Helper()
	for _, f := range readStored(t, path) {
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		flipBit(b, f.bytes(), 8*(8+len(f.value)/2))
		if r, err := Check(writeTemp(t, b)); err == nil && len(r.Problems) == 0 {
			n++
		}
	}
	return n
}

// A damaged fact is not made good by the migration.
func TestMigrateKeepsDamage(t *testing.T) {
	old, facts := newFormat1File(t)
	text := facts[7].Text()
	for at := bytes.Index(old, text); at >= 0; at = bytes.Index(old, text) {
		old[at] = 'x' // no JSON object any more
	}
	path := writeTemp(t, old)
	if r, err := Check(path); err != nil || r.FactCount != 23 || len(r.Problems) != 1 {
		t.Errorf("before: %+v %v", r, err)
	}
	s, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if r, err := s.Check(); err != nil || r.FactCount != 23 || len(r.Problems) != 1 {
		t.Errorf("after: %+v %v", r, err)
	}
	lost := facts[7]
	delete(facts, 7)
	n := 0
	err = s.View(func(tx *Tx) error {
		return tx.Since(0, func(seq uint64, f journal.Fact) bool {
			n++
			if !bytes.Equal(f.Text(), facts[seq].Text()) {
				t.Errorf("fact %d is %s", seq, f.Text())
			}
			return true
		})
	})
	if err != nil || n != 23 {
		t.Errorf("%d facts, %v", n, err)
	}
	if err := appendAll(s, []journal.Fact{lost}); err != nil { // someone has it and sends it again
		t.Fatal(err)
	}
	if r, err := s.Check(); err != nil || r.FactCount != 24 || len(r.Problems) > 0 {
		t.Errorf("appended again: %+v %v", r, err)
	}
}
