package store

import (
	"bytes"
	"testing"

	"go.etcd.io/bbolt"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// Each index is compared with the facts, both ways.
func TestCheckComparesLists(t *testing.T) {
	first := newFactGenerator(3).next(30)[4]
	key := seqKey(5)
	// The checksums are right: what is wrong here is what the records say.
	get := func(b *bbolt.Bucket, key []byte) []byte {
		v, ok := openRecord(key, b.Get(key))
		if !ok {
			t.Fatalf("the record %x is damaged", key)
		}
		return bytes.Clone(v)
	}
	put := func(b *bbolt.Bucket, key, value []byte) error { return b.Put(key, sealRecord(key, value)) }
	for _, c := range []struct {
		why    string
		change func(tx *bbolt.Tx) error
	}{
		{"ids cut", func(tx *bbolt.Tx) error {
			b := tx.Bucket(idsBucket)
			return put(b, seqKey(1), get(b, seqKey(1))[:29*idSize])
		}},
		{"ids of a call lost", func(tx *bbolt.Tx) error { return tx.Bucket(idsBucket).Delete(seqKey(31)) }},
		{"an id of no fact", func(tx *bbolt.Tx) error { return put(tx.Bucket(idsBucket), seqKey(101), make([]byte, 16)) }},
		{"an id with another's number", func(tx *bbolt.Tx) error {
			b := tx.Bucket(idsBucket)
			v := get(b, seqKey(1))
			return put(b, seqKey(1), append(bytes.Clone(v[idSize:]), v[:idSize]...))
		}},
		{"a fact not in its scope", func(tx *bbolt.Tx) error {
			k, v := atOrBefore(tx.Bucket(scopesBucket), scopeKey(first.Scope, key))
			return put(tx.Bucket(scopesBucket), bytes.Clone(k), bytes.Clone(v[:8]))
		}},
		{"a scope of no fact", func(tx *bbolt.Tx) error {
			return put(tx.Bucket(scopesBucket), scopeKey(journal.ShelfScope, key), key)
		}},
		{"a scope with half a number", func(tx *bbolt.Tx) error {
			return put(tx.Bucket(scopesBucket), scopeKey(journal.ShelfScope, key), key[:4])
		}},
		{"a scope that is none", func(tx *bbolt.Tx) error { return put(tx.Bucket(scopesBucket), []byte("what"), nil) }},
		{"a fact lost", func(tx *bbolt.Tx) error { return tx.Bucket(factsBucket).Delete(key) }},
		{"a fact twice", func(tx *bbolt.Tx) error {
			b := tx.Bucket(factsBucket)
			_ = put(tx.Bucket(idsBucket), seqKey(101), first.ID.Bytes())
			_ = put(tx.Bucket(scopesBucket), scopeKey(first.Scope, seqKey(101)), seqKey(101))
			_ = b.SetSequence(101)
			return put(b, seqKey(101), get(b, key))
		}},
		{"a fact cut", func(tx *bbolt.Tx) error {
			b := tx.Bucket(factsBucket)
			return put(b, key, get(b, key)[:40])
		}},
		{"a fact with spaces put in", func(tx *bbolt.Tx) error {
			b := tx.Bucket(factsBucket)
			return put(b, key, bytes.Replace(get(b, key), []byte(`":`), []byte(`": `), 1))
		}},
		{"a key of another length", func(tx *bbolt.Tx) error {
			b := tx.Bucket(factsBucket)
			return put(b, []byte("x"), get(b, key))
		}},
		{"numbers set back: the next fact would replace one", func(tx *bbolt.Tx) error { return tx.Bucket(factsBucket).SetSequence(50) }},
	} {
		path := writeTemp(t, sampleFile(t, 100))
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
