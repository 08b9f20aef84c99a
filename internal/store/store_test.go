package store

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

func TestAppendAndRead(t *testing.T) {
	s := MustOpenStore(t)
	maker := newFactGenerator(1)
	s.mustAdd(maker.next(200)...)
	s.reopen()
	s.mustAdd(maker.next(300)...)
	if got := s.facts[500].Text(); len(got) == 0 {
		t.Error("sequence 500 is not the last of 500 facts")
	}
}

// A fact is stored as it was written, with fields that this program does not know.
func TestUnknownFieldsStay(t *testing.T) {
	s := MustOpenStore(t)
	var f journal.Fact
	text := bytes.Replace(newFactGenerator(1).next(1)[0].Text(), []byte(`"body":{`), []byte(`"later":[1,2.50,"<&>"],"body":{"x":1e2,`), 1)
	if err := json.Unmarshal(text, &f); err != nil {
		t.Fatal(err)
	}
	s.mustAdd(f)
	_ = s.View(func(tx *Tx) error {
		return tx.Since(0, func(_ uint64, got journal.Fact) bool {
			if !bytes.Equal(got.Text(), text) {
				t.Errorf("kept %s, written was %s", got.Text(), text)
			}
			return true
		})
	})
}

func TestKnownIDIsNotReplaced(t *testing.T) {
	s := MustOpenStore(t)
	facts := newFactGenerator(1).next(3)
	s.mustAdd(facts...)
	other := newFactGenerator(2).next(1)[0]
	other.ID = facts[1].ID
	err := s.Update(func(tx *Tx) error {
		seq, err := tx.Append(other)
		if seq != 2 {
			t.Errorf("sequence %d, not 2", seq)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	s.mustAdd(facts...) // a phone that heard no answer sends again
}

func TestNothingOfAFailedUpdateIsKept(t *testing.T) {
	s := MustOpenStore(t)
	maker := newFactGenerator(1)
	s.mustAdd(maker.next(2)...)
	no := fault.New(fault.Refused, "no")
	err := s.Update(func(tx *Tx) error {
		if _, err := tx.Append(maker.next(1)[0]); err != nil {
			t.Fatal(err)
		}
		if err := tx.SetMeta("a", []byte("b")); err != nil {
			t.Fatal(err)
		}
		return no
	})
	if err != error(no) {
		t.Errorf("update gave %v", err)
	}
	_ = s.View(func(tx *Tx) error {
		if tx.Meta("a") != nil || tx.Last() != 2 {
			t.Error("something of it was kept")
		}
		return nil
	})
	lost := maker.next(1)[0]
	func() { // nor of one that panics; the mistake is not called damage
		defer func() {
			if p := recover(); p == nil {
				t.Error("the mistake was hidden")
			}
		}()
		_ = s.Update(func(tx *Tx) error {
			_, _ = tx.Append(lost)
			var none []int
			return fmt.Errorf("%d", none[tx.Last()])
		})
	}()
	s.mustAdd(maker.next(1)...) // another takes its sequence
	if hasFact(s.Store, lost.ID) {
		t.Error("a fact that was not kept passes for known")
	}
	s.mustAdd(lost)
	if !hasFact(s.Store, lost.ID) {
		t.Error("sent again it is not kept")
	}
}

func TestBadFactsAreRefused(t *testing.T) {
	s := MustOpenStore(t)
	good := newFactGenerator(1).next(1)[0]
	for name, f := range map[string]journal.Fact{
		"nothing at all": {},
		"an id too short": func() journal.Fact {
			f := good
			f.ID = f.ID[1:]
			return f
		}(),
		"a scope with a zero byte": func() journal.Fact {
			f := good
			f.Scope = "shelf\x00"
			return f
		}(),
	} {
		if err := s.add(f); !fault.Is(err, fault.Input) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestSince(t *testing.T) {
	s := MustOpenStore(t)
	s.mustAdd(newFactGenerator(1).next(10)...)
	for _, c := range []struct {
		since uint64
		want  int
		why   string
	}{
		{0, 10, "all"}, {1, 9, "not the first"}, {9, 1, "the last"}, {10, 0, "none is newer"},
		{11, 0, "past the end"}, {1<<64 - 1, 0, "no number is higher"},
	} {
		n := 0
		err := s.View(func(tx *Tx) error {
			return tx.Since(c.since, func(seq uint64, _ journal.Fact) bool { n++; return true })
		})
		if err != nil || n != c.want {
			t.Errorf("since %d (%s): %d facts, want %d: %v", c.since, c.why, n, c.want, err)
		}
	}
	n := 0
	_ = s.View(func(tx *Tx) error {
		return tx.Since(0, func(uint64, journal.Fact) bool { n++; return n < 4 })
	})
	if n != 4 {
		t.Errorf("went on after false: %d", n)
	}
}

func TestScopes(t *testing.T) {
	s := MustOpenStore(t)
	maker := newFactGenerator(1)
	var facts []journal.Fact
	var want []journal.Scope
	for range 300 { // enough for several pages
		f := maker.next(1)[0]
		f.Scope = journal.BatchScope(maker.a.NewID())
		text, _ := json.Marshal(map[string]any{"id": f.ID, "stamp": f.Stamp, "device": f.Device, "scope": f.Scope,
			"subject": f.Subject, "kind": f.Kind, "v": 1, "need": 1, "at": f.At, "tz": f.TZ, "body": f.Body})
		var g journal.Fact
		if err := json.Unmarshal(text, &g); err != nil {
			t.Fatal(err)
		}
		facts = append(facts, g)
		want = append(want, g.Scope)
	}
	s.mustAdd(facts...)
	slices.Sort(want)
	_ = s.View(func(tx *Tx) error {
		if got := tx.Scopes(); !slices.Equal(got, want) {
			t.Errorf("%d scopes, want %d", len(got), len(want))
		}
		if facts, err := tx.Scope(journal.HouseScope); err != nil || facts != nil {
			t.Errorf("an empty scope gave %v, %v", facts, err)
		}
		return nil
	})
}

func TestMetaAndCache(t *testing.T) {
	s := MustOpenStore(t)
	err := s.Update(func(tx *Tx) error {
		if err := tx.SetMeta(formatKey, []byte("9")); !fault.Is(err, fault.Input) {
			t.Errorf("the format was set: %v", err)
		}
		_ = tx.SetMeta("hub", []byte("one"))
		_ = tx.SetMeta("empty", nil)
		return tx.SetCache("batch/x", []byte("two"))
	})
	if err != nil {
		t.Fatal(err)
	}
	s.reopen()
	_ = s.Update(func(tx *Tx) error {
		if string(tx.Meta("hub")) != "one" || string(tx.Cache("batch/x")) != "two" || tx.Meta("none") != nil || tx.Meta("empty") == nil {
			t.Error("not kept")
		}
		return tx.DropCaches()
	})
	_ = s.View(func(tx *Tx) error {
		if tx.Cache("batch/x") != nil || string(tx.Meta("hub")) != "one" {
			t.Error("caches were not dropped, or more than they")
		}
		if err := tx.SetMeta("a", nil); !fault.Is(err, fault.Conflict) {
			t.Errorf("written while reading: %v", err)
		}
		return nil
	})
	if err := s.Update(func(tx *Tx) error { return tx.SetMeta("", nil) }); err == nil {
		t.Error("an empty key was taken")
	}
}

// A reader sees one state while others write and make backups.
func TestReadersAndWritersTogether(t *testing.T) {
	s := MustOpenStore(t)
	maker := newFactGenerator(1)
	done := make(chan struct{})
	var wg sync.WaitGroup
	for range 3 {
		wg.Go(func() {
			for {
				select {
				case <-done:
					return
				default:
				}
				err := s.View(func(tx *Tx) error {
					last, n := tx.Last(), uint64(0)
					err := tx.Since(0, func(uint64, journal.Fact) bool { n++; return true })
					if n != last || n%7 != 0 {
						t.Errorf("half a call is seen: %d of %d", n, last)
					}
					return err
				})
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Go(func() {
		for i := range 5 {
			path := filepath.Join(filepath.Dir(s.Path()), fmt.Sprintf("copy%d", i))
			if err := s.BackupFile(path); err != nil {
				t.Errorf("backup: %v", err)
			} else if r, err := Check(path); err != nil || r.FactCount%7 != 0 || len(r.Problems) > 0 {
				t.Errorf("backup: %v %v", r, err)
			}
		}
	})
	for start := time.Now(); time.Since(start) < 300*time.Millisecond; {
		s.mustAdd(maker.next(7)...)
	}
	close(done)
	wg.Wait()
}

func TestClosedAndReadOnly(t *testing.T) {
	s := MustOpenStore(t)
	s.mustAdd(newFactGenerator(1).next(5)...)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	for name, err := range map[string]error{
		"view": s.View(func(*Tx) error { return nil }), "update": s.Update(func(*Tx) error { return nil }),
	} {
		if !fault.Is(err, fault.Unavailable) {
			t.Errorf("%s of a closed store: %v", name, err)
		}
	}
	if err := s.Close(); err != nil {
		t.Errorf("closing twice: %v", err)
	}
	ro, err := Open(s.Path(), Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	checkSame(t, ro, s.facts)
	if err := ro.Update(func(*Tx) error { return nil }); !fault.Is(err, fault.Conflict) {
		t.Errorf("update of a read-only store: %v", err)
	}
	if r, err := ro.Check(); err != nil || r.FactCount != 5 || len(r.Problems) > 0 {
		t.Errorf("check of a read-only store: %v %v", r, err)
	}
	if err := ro.Close(); err != nil {
		t.Error(err)
	}
	missing := filepath.Join(t.TempDir(), "none.db")
	if _, err := Open(missing, Options{ReadOnly: true}); !fault.Is(err, fault.NotFound) {
		t.Errorf("a missing file, read only: %v", err)
	}
	if _, err := os.Stat(missing); err == nil {
		t.Error("it was made")
	}
	s.open(s.Path())
}
