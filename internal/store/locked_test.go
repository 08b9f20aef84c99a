package store

import (
	"encoding/json"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

func TestLockedByAnotherProgram(t *testing.T) {
	path := filepath.Join(t.TempDir(), "coldbatch.db")
	other := startChild(t, "hold", path)
	if !other.lines.Scan() || other.lines.Text() != "held" {
		t.Fatalf("the other program says %q", other.lines.Text())
	}
	before := fileHash(t, path)
	for _, o := range []Options{{}, {ReadOnly: true}, {LockWait: 120 * time.Millisecond}} {
		start := time.Now()
		_, err := Open(path, o)
		if !fault.Is(err, fault.Locked) {
			t.Errorf("%+v: %v", o, err)
		}
		if took := time.Since(start); took > o.LockWait+2*time.Second {
			t.Errorf("%+v: took %v", o, took)
		}
	}
	if _, err := Check(path); !fault.Is(err, fault.Locked) {
		t.Errorf("check: %v", err)
	}
	if fileHash(t, path) != before {
		t.Error("the file was changed")
	}
	time.AfterFunc(100*time.Millisecond, func() { other.stdin.Close() })
	s, err := Open(path, Options{LockWait: 10 * time.Second}) // long enough for the other to end
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
}

// Of several programs that start on an empty folder one opens the file and the
// others get a Locked fault. None finds an incomplete file.
func TestStartedAtOnce(t *testing.T) {
	for range 10 {
		path := filepath.Join(t.TempDir(), "new", "coldbatch.db")
		var open atomic.Int32
		var wg sync.WaitGroup
		done := make(chan struct{})
		for range 6 {
			wg.Go(func() {
				s, err := Open(path, Options{})
				if err == nil {
					if n := open.Add(1); n > 1 {
						t.Errorf("%d have the file open at once", n)
					}
					<-done
					open.Add(-1)
					s.Close()
				} else if !fault.Is(err, fault.Locked) {
					t.Errorf("open: %v", err)
				}
			})
		}
		time.AfterFunc(50*time.Millisecond, func() { close(done) })
		wg.Wait()
		if names, _ := os.ReadDir(filepath.Dir(path)); len(names) != 1 {
			t.Errorf("%d files are in the folder, not one", len(names))
		}
		if r, err := Check(path); err != nil || len(r.Problems) > 0 {
			t.Errorf("check: %v %v", r, err)
		}
	}
}

// Facts acknowledged before kill -9 are there after it, byte for byte.
func TestKilledWhileAppending(t *testing.T) {
	path := filepath.Join(t.TempDir(), "coldbatch.db")
	r := newFactGenerator(7).r
	acknowledged := map[journal.ID]string{}
	for range 6 {
		c := startChild(t, "append", path)
		time.AfterFunc(time.Duration(r.Intn(200))*time.Millisecond, func() { _ = c.cmd.Process.Kill() })
		for c.lines.Scan() {
			var f journal.Fact
			if json.Unmarshal(c.lines.Bytes(), &f) == nil { // the last line may be cut
				acknowledged[f.ID] = c.lines.Text()
			} else if c.lines.Text()[0] != '{' {
				t.Fatal(c.lines.Text())
			}
		}
		_ = c.cmd.Wait()
		if _, err := os.Stat(path); err != nil {
			continue // killed before there was a file
		}
		s, err := Open(path, Options{LockWait: 5 * time.Second})
		if err != nil {
			t.Fatal(err)
		}
		found := 0
		_ = s.View(func(tx *Tx) error {
			return tx.Since(0, func(_ uint64, f journal.Fact) bool {
				if text, ok := acknowledged[f.ID]; ok {
					found++
					if text != string(f.Text()) {
						t.Errorf("kept is %s, acknowledged was %s", f.Text(), text)
					}
				}
				return true
			})
		})
		if found != len(acknowledged) {
			t.Errorf("%d facts are there of %d acknowledged", found, len(acknowledged))
		}
		if r, err := s.Check(); err != nil || len(r.Problems) > 0 {
			t.Errorf("check: %v %v", r, err)
		}
		s.Close()
	}
	t.Logf("%d facts acknowledged over 6 kills", len(acknowledged))
}
