package store

import (
	"bytes"
	"testing"

	"go.etcd.io/bbolt"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// Each index is compared with the facts, both ways.
func TestCheckComparesIndexes(t *testing.T) {
	first := newWriter(3).write(30)[4]
	key := sequence(5)
	for _, c := range []struct {
		why    string
		change func(tx *bbolt.Tx) error
	}{
		{"a fact without its id", func(tx *bbolt.Tx) error { return tx.Bucket(idsBucket).Delete(first.ID.Bytes()) }},
		{"an id of no fact", func(tx *bbolt.Tx) error { return tx.Bucket(idsBucket).Put(make([]byte, 16), key) }},
		{"an id with another's number", func(tx *bbolt.Tx) error { return tx.Bucket(idsBucket).Put(first.ID.Bytes(), sequence(6)) }},
		{"a fact not in its scope", func(tx *bbolt.Tx) error { return tx.Bucket(scopesBucket).Delete(scopeKey(first.Scope, key)) }},
		{"a scope of no fact", func(tx *bbolt.Tx) error { return tx.Bucket(scopesBucket).Put(scopeKey(journal.Shelf, key), nil) }},
		{"a scope that is none", func(tx *bbolt.Tx) error { return tx.Bucket(scopesBucket).Put([]byte("what"), nil) }},
		{"a fact lost", func(tx *bbolt.Tx) error { return tx.Bucket(factsBucket).Delete(key) }},
		{"a fact twice", func(tx *bbolt.Tx) error {
			b := tx.Bucket(factsBucket)
			return b.Put(sequence(101), bytes.Clone(b.Get(key)))
		}},
		{"a fact cut", func(tx *bbolt.Tx) error {
			b := tx.Bucket(factsBucket)
			return b.Put(key, bytes.Clone(b.Get(key)[:40]))
		}},
		{"a fact with spaces put in", func(tx *bbolt.Tx) error {
			b := tx.Bucket(factsBucket)
			return b.Put(key, bytes.Replace(b.Get(key), []byte(`":`), []byte(`": `), 1))
		}},
		{"a key of another length", func(tx *bbolt.Tx) error {
			b := tx.Bucket(factsBucket)
			return b.Put([]byte("x"), bytes.Clone(b.Get(key)))
		}},
		{"numbers set back: the next fact would replace one", func(tx *bbolt.Tx) error { return tx.Bucket(factsBucket).SetSequence(50) }},
	} {
		path := write(t, sample(t, 100))
		db, err := bbolt.Open(path, 0o600, nil)
		if err != nil {
			t.Fatal(err)
		}
		if err := db.Update(c.change); err != nil {
			t.Fatal(err)
		}
		db.Close()
		if r, err := Check(path); err != nil || len(r.Problems) == 0 {
			t.Errorf("%s: %v %v", c.why, r, err)
		}
		if err := backupOf(path); !fault.Is(err, fault.Damaged) {
			t.Errorf("%s: backup gave %v", c.why, err)
		}
	}
}

func backupOf(path string) error {
	s, err := Open(path, Options{})
	if err != nil {
		return err
	}
	defer s.Close()
	return s.BackupFile(path + ".copy")
}
