package store

import (
	"bytes"
	"strings"
	"testing"

	"go.etcd.io/bbolt"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// changeBucket changes a bucket directly in the file, bypassing the store.
func changeBucket(t *testing.T, path string, name []byte, change func(*bbolt.Bucket) error) {
	t.Helper()
	db, err := bbolt.Open(path, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if err := db.Update(func(tx *bbolt.Tx) error { return change(tx.Bucket(name)) }); err != nil {
		t.Fatal(err)
	}
}

// spoilRecord changes one bit in the middle of the nth record of a bucket.
func spoilRecord(n int) func(*bbolt.Bucket) error {
	return func(b *bbolt.Bucket) error {
		c := b.Cursor()
		k, v := c.First()
		for range n {
			k, v = c.Next()
		}
		v = bytes.Clone(v)
		v[len(v)/2] ^= 4
		return b.Put(bytes.Clone(k), v)
	}
}

// dropRecord removes the nth record of a bucket, as a damaged page may.
func dropRecord(n int) func(*bbolt.Bucket) error {
	return func(b *bbolt.Bucket) error {
		c := b.Cursor()
		k, _ := c.First()
		for range n {
			k, _ = c.Next()
		}
		return b.Delete(bytes.Clone(k))
	}
}

// The lists of ids and scopes follow from the facts: if they are damaged, the damage
// is reported and everything can still be read.
func TestDamagedLists(t *testing.T) {
	facts := newFactGenerator(51).next(150)
	good := filledFile(t, facts)
	want := readEverything(t, writeTemp(t, good))
	for _, c := range []struct {
		why, told string
		bucket    []byte
		change    func(*bbolt.Bucket) error
	}{
		{"ids damaged", "list of ids", idsBucket, spoilRecord(3)},
		{"ids lost", "list of ids", idsBucket, dropRecord(3)},
		{"the last ids lost", "list of ids", idsBucket, dropRecord(8)},
		{"a scope damaged", "lists of scopes", scopesBucket, spoilRecord(7)},
		{"a scope's first entry lost", "lists of scopes", scopesBucket, dropRecord(0)},
		{"a scope's later entry lost", "lists of scopes", scopesBucket, dropRecord(9)},
	} {
		t.Run(c.why, func(t *testing.T) {
			path := writeTemp(t, good)
			changeBucket(t, path, c.bucket, c.change)
			if got := readEverything(t, path); got != want {
				t.Error("what is read differs")
			}
			if r, err := Check(path); err != nil || len(r.Problems) == 0 || r.FactCount != len(facts) {
				t.Errorf("check: %+v %v", r, err)
			}
			var told []string
			s, err := Open(path, Options{OnDamage: func(f *fault.Fault) { told = append(told, f.Error()) }})
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			if len(told) == 0 || !strings.Contains(told[0], c.told) || !strings.Contains(told[0], path) {
				t.Errorf("told was %q", told)
			}
			more := newFactGenerator(52).next(10)
			if err := appendAll(s, append(more, facts[100:]...)); err != nil { // the latter are known
				t.Error(err)
			}
			err = s.View(func(tx *Tx) error {
				n := 0
				for _, scope := range tx.Scopes() {
					facts, err := tx.Scope(scope)
					if err != nil {
						return err
					}
					n += len(facts)
				}
				if n != 160 || tx.Last() != 160 {
					t.Errorf("%d facts in scopes, the last is %d; want 160", n, tx.Last())
				}
				return nil
			})
			if err != nil {
				t.Error(err)
			}
		})
	}
}

// A list that is damaged while the file is open is noticed when it is read.
func TestListDamagedWhileOpen(t *testing.T) {
	facts := newFactGenerator(57).next(150)
	var told []string
	s, err := Open(writeTemp(t, filledFile(t, facts)), Options{OnDamage: func(f *fault.Fault) { told = append(told, f.Error()) }})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	scope := func() (n int) {
		err := s.View(func(tx *Tx) error {
			facts, err := tx.Scope(facts[0].Scope)
			n = len(facts)
			return err
		})
		if err != nil {
			t.Error(err)
		}
		return n
	}
	want := scope()
	err = s.db.Update(func(tx *bbolt.Tx) error {
		b := tx.Bucket(scopesBucket)
		k, record := b.Cursor().Seek(scopePrefix(facts[0].Scope))
		record = bytes.Clone(record)
		record[1] ^= 1
		return b.Put(bytes.Clone(k), record)
	})
	if err != nil || len(told) > 0 {
		t.Fatal(err, told)
	}
	if got := scope(); got != want || len(told) != 1 {
		t.Errorf("%d facts, want %d; told was %q", got, want, told)
	}
}

// A damaged or lost entry of meta is a fault for the caller that reads it, and only
// for that one: access must not rest on a guess.
func TestDamagedMeta(t *testing.T) {
	good := filledFile(t, newFactGenerator(53).next(20))
	isNth := func(b *bbolt.Bucket, n int) string {
		k, _ := b.Cursor().Seek([]byte("phone/"))
		c := b.Cursor()
		for k, _ = c.Seek(k); n > 0; n-- {
			k, _ = c.Next()
		}
		return string(k)
	}
	var hit string
	for _, c := range []struct {
		why           string
		change        func(*bbolt.Bucket) error
		othersMissing fault.Code // when an entry is asked for that never was
	}{
		{"damaged", func(b *bbolt.Bucket) error {
			hit = isNth(b, 4)
			v := bytes.Clone(b.Get([]byte(hit)))
			v[0] ^= 1
			return b.Put([]byte(hit), v)
		}, ""},
		{"lost", func(b *bbolt.Bucket) error {
			hit = isNth(b, 5)
			return b.Delete([]byte(hit))
		}, fault.Damaged},
	} {
		path := writeTemp(t, good)
		changeBucket(t, path, metaBucket, c.change)
		if r, err := Check(path); err != nil || len(r.Problems) != 1 || !strings.Contains(r.Problems[0], "meta") {
			t.Errorf("%s: check: %+v %v", c.why, r, err)
		}
		s, err := Open(path, Options{})
		if err != nil {
			t.Fatal(err)
		}
		// The caller's own error, which follows from the missing entry, does not hide it.
		stranger := fault.New(fault.Refused, "who is this")
		for _, run := range []func(func(*Tx) error) error{s.View, s.Update} {
			err := run(func(tx *Tx) error {
				if tx.Meta(hit) != nil {
					t.Errorf("%s: it is read", c.why)
				}
				return stranger
			})
			if !fault.Is(err, fault.Damaged) {
				t.Errorf("%s: asked for it: %v", c.why, err)
			}
		}
		if err := s.View(func(tx *Tx) error { tx.Meta("phone/9"); _, err := tx.Scope(journal.ShelfScope); return err }); err != nil {
			t.Errorf("%s: asked for another: %v", c.why, err)
		}
		err = s.View(func(tx *Tx) error { tx.Meta("never"); return nil })
		if c.othersMissing == "" && err != nil || c.othersMissing != "" && !fault.Is(err, c.othersMissing) {
			t.Errorf("%s: asked for one that never was: %v", c.why, err)
		}
		s.Close()
	}
}

// A damaged entry of the cache counts as missing and can be replaced.
func TestDamagedCache(t *testing.T) {
	path := writeTemp(t, filledFile(t, newFactGenerator(54).next(20)))
	changeBucket(t, path, cacheBucket, spoilRecord(0))
	if r, err := Check(path); err != nil || len(r.Problems) != 1 || !strings.Contains(r.Problems[0], `"batch/x"`) {
		t.Errorf("check: %+v %v", r, err)
	}
	s, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	err = s.Update(func(tx *Tx) error {
		if tx.Cache("batch/x") != nil {
			t.Error("it is read")
		}
		return tx.SetCache("batch/x", []byte("new"))
	})
	if err != nil {
		t.Fatal(err)
	}
	if r, err := s.Check(); err != nil || len(r.Problems) > 0 {
		t.Errorf("check: %+v %v", r, err)
	}
}

// The checksum over meta is right after entries are set, set again and rolled back.
func TestMetaSum(t *testing.T) {
	s := MustOpenStore(t)
	no := fault.New(fault.Refused, "no")
	for i := range 40 {
		err := s.Update(func(tx *Tx) error {
			if err := tx.SetMeta(string(rune('a'+i*7%26)), bytes.Repeat([]byte{byte(i)}, i)); err != nil {
				return err
			}
			if i%3 == 2 {
				return no
			}
			return nil
		})
		if err != nil && err != error(no) {
			t.Fatal(err)
		}
		if r, err := s.Check(); err != nil || len(r.Problems) > 0 {
			t.Fatalf("%+v %v", r, err)
		}
	}
	for _, key := range []string{formatKey, metaSumKey} {
		err := s.Update(func(tx *Tx) error { return tx.SetMeta(key, nil) })
		if !fault.Is(err, fault.Input) {
			t.Errorf("%s was set: %v", key, err)
		}
	}
}

// A damaged count of the numbers given would have the next fact replace another.
func TestNoFactIsReplaced(t *testing.T) {
	facts := newFactGenerator(55).next(100)
	path := writeTemp(t, filledFile(t, facts))
	changeBucket(t, path, factsBucket, func(b *bbolt.Bucket) error { return b.SetSequence(50) })
	s, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := appendAll(s, newFactGenerator(56).next(1)); !fault.Is(err, fault.Damaged) {
		t.Errorf("append: %v", err)
	}
	n := 0
	err = s.View(func(tx *Tx) error {
		return tx.Since(0, func(seq uint64, f journal.Fact) bool {
			if !bytes.Equal(f.Text(), facts[seq-1].Text()) {
				t.Errorf("fact %d is %s", seq, f.Text())
			}
			n++
			return true
		})
	})
	if err != nil || n != 100 {
		t.Errorf("%d facts, %v", n, err)
	}
}
