package store

import (
	"strconv"

	"go.etcd.io/bbolt"

	"coldbatch/internal/fault"
)

// format is the number of the file's layout. A program refuses a higher one.
const format = 1

// formatKey is the one key of meta that is the store's own.
const formatKey = "format"

// Meta gives what SetMeta kept under key, or nil.
func (t *Tx) Meta(key string) []byte { return get(t.bucket(metaBucket), key) }

// SetMeta keeps value under key. The key "format" is the store's own.
func (t *Tx) SetMeta(key string, value []byte) error {
	if key == formatKey {
		return fault.New(fault.Input, "the key %q of the file's meta is not to be set", key)
	}
	return t.put(metaBucket, key, value)
}

// Cache gives what SetCache kept under key, or nil.
func (t *Tx) Cache(key string) []byte { return get(t.bucket(cacheBucket), key) }

// SetCache keeps value under key until the next DropCaches; a caller must be
// able to work it out again.
func (t *Tx) SetCache(key string, value []byte) error { return t.put(cacheBucket, key, value) }

// DropCaches empties the cache.
func (t *Tx) DropCaches() error {
	if err := t.tx.DeleteBucket(cacheBucket); err != nil {
		return told(t.path, err)
	}
	_, err := t.tx.CreateBucket(cacheBucket)
	return told(t.path, err)
}

func (t *Tx) put(bucket []byte, key string, value []byte) error {
	return told(t.path, t.bucket(bucket).Put([]byte(key), value))
}

// get copies: bbolt's bytes are only good until the transaction ends.
func get(b *bbolt.Bucket, key string) []byte {
	v := b.Get([]byte(key))
	if v == nil {
		return nil
	}
	return append([]byte{}, v...)
}

// known checks that a file is one of ours and not from a newer program.
func known(path string, tx *bbolt.Tx) error {
	for _, name := range [][]byte{factsBucket, idsBucket, scopesBucket, metaBucket, cacheBucket} {
		if tx.Bucket(name) == nil {
			return damaged(path, "it has no %s: another program wrote it", name)
		}
	}
	n, err := strconv.Atoi(string(tx.Bucket(metaBucket).Get([]byte(formatKey))))
	switch {
	case err != nil || n < 1:
		return damaged(path, "the number of its format does not read")
	case n > format:
		return fault.New(fault.Newer, "the file %s was written by a newer coldbatch: its format is %d, this program knows up to %d", path, n, format).
			WithHint("use the newer coldbatch; nothing was changed")
	}
	return nil
}
