package store

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"coldbatch/internal/journal"
)

// A backup made while many write equals one moment of the journal: all facts up to
// one sequence, whole calls, and none after it.
func TestBackupWhileManyWrite(t *testing.T) {
	s := MustOpenStore(t)
	const writers, call = 8, 7
	const perBackup = 40 // calls of all writers: without a bound a slow machine would drown in facts
	backups := 6
	if isLongRun {
		backups = 200
	}
	tickets, wrote, failed := make(chan struct{}, perBackup), make(chan struct{}, backups*perBackup), make(chan error, writers)
	var wg sync.WaitGroup
	var mu sync.Mutex
	written := map[uint64]journal.Fact{}
	for i := range writers {
		wg.Go(func() {
			maker := newFactGenerator(int64(100 + i))
			for range tickets {
				mine := map[uint64]journal.Fact{}
				err := s.Update(func(tx *Tx) error {
					for _, f := range maker.next(call) {
						seq, err := tx.Append(f)
						if err != nil {
							return err
						}
						mine[seq] = f
					}
					return nil
				})
				if err != nil {
					failed <- err
					return
				}
				mu.Lock()
				for seq, f := range mine {
					written[seq] = f
				}
				mu.Unlock()
				wrote <- struct{}{}
			}
		})
	}
	dir := memoryDir(t)
	var paths []string
	for i := range backups {
		for len(wrote) > 0 {
			<-wrote
		}
		for len(tickets) < perBackup {
			tickets <- struct{}{}
		}
		select {
		case <-wrote: // the others write on while the backup is made
		case err := <-failed:
			t.Fatalf("append: %v", err)
		}
		var b bytes.Buffer
		path := filepath.Join(dir, fmt.Sprint(i))
		if i%2 == 0 { // both ways to make one
			if _, err := s.Backup(&b); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
				t.Fatal(err)
			}
		} else if err := s.BackupFile(path); err != nil {
			t.Fatal(err)
		}
		paths = append(paths, path)
	}
	close(tickets)
	wg.Wait()
	s.facts = written
	sizes := map[uint64]bool{}
	for _, path := range paths {
		last := isPrefix(t, path, written)
		if last%call != 0 {
			t.Errorf("%s ends in the middle of a call: %d facts", path, last)
		}
		sizes[last] = true
		os.Remove(path)
	}
	if len(sizes) < backups/2 {
		t.Errorf("%d backups are of %d moments", backups, len(sizes))
	}
}

// isPrefix checks that a file holds the facts 1 to n of all, and returns n.
func isPrefix(t *testing.T, path string, all map[uint64]journal.Fact) (n uint64) {
	t.Helper()
	s, err := Open(path, Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if r, err := s.Check(); err != nil || len(r.Problems) > 0 {
		t.Errorf("check: %+v %v", r, err)
	}
	first := map[uint64]journal.Fact{}
	_ = s.View(func(tx *Tx) error { n = tx.Last(); return nil })
	for seq := range n {
		first[seq+1] = all[seq+1]
	}
	checkSame(t, s, first)
	return n
}
