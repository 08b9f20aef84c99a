package store

import (
	"encoding/binary"
	"strconv"

	"go.etcd.io/bbolt"

	"coldbatch/internal/fault"
)

// The keys of meta that are the store's own.
const (
	formatKey  = "format"   // version of the file's layout, as decimal text without a checksum: every version must read it
	metaSumKey = "checksum" // XOR of the checksums of all other records, so that a lost one is noticed
)

// Meta returns the value of a key, or nil if there is none. If the value is
// damaged, or one that is lost may have been this one, it returns nil and View or
// Update fails with a Damaged fault: a guess could let in a stranger.
func (t *Tx) Meta(key string) []byte {
	record := t.bucket(metaBucket).Get([]byte(key))
	if record == nil {
		if t.store.damage.hasLostMeta() {
			t.fail(damagedFault(t.store.path, "an entry of its meta is missing"))
		}
		return nil
	}
	value, ok := t.value([]byte(key), record)
	if !ok {
		t.fail(damagedFault(t.store.path, "the entry %q of its meta is damaged", key))
		return nil
	}
	return copyOf(value)
}

// SetMeta stores value under key. The keys "format" and "checksum" are refused.
func (t *Tx) SetMeta(key string, value []byte) error {
	if key == formatKey || key == metaSumKey {
		return fault.New(fault.Input, "the key %q of the file's meta cannot be set", key).WithHint("the store uses it itself")
	}
	b, k := t.bucket(metaBucket), []byte(key)
	sum, ok := readMetaChecksum(b)
	if !ok && b.Writable() {
		return damagedFault(t.store.path, "the checksum of its meta is damaged")
	}
	sum ^= recordSum(b.Get(k))
	record := sealRecord(k, value)
	if err := b.Put(k, record); err != nil {
		return asFault(t.store.path, err)
	}
	return asFault(t.store.path, putMetaChecksum(b, sum^recordSum(record)))
}

// recordSum returns the checksum at the end of a record, 0 if there is no record.
func recordSum(record []byte) uint32 {
	if len(record) < checksumSize {
		return 0
	}
	return binary.BigEndian.Uint32(record[len(record)-checksumSize:])
}

// metaChecksum returns what the record under metaSumKey should hold.
func metaChecksum(meta *bbolt.Bucket) (sum uint32) {
	_ = meta.ForEach(func(k, record []byte) error { // the function returns no error
		if key := string(k); key != formatKey && key != metaSumKey {
			sum ^= recordSum(record)
		}
		return nil
	})
	return sum
}

func readMetaChecksum(meta *bbolt.Bucket) (sum uint32, ok bool) {
	value, ok := openRecord([]byte(metaSumKey), meta.Get([]byte(metaSumKey)))
	if !ok || len(value) != 4 {
		return 0, false
	}
	return binary.BigEndian.Uint32(value), true
}

func putMetaChecksum(meta *bbolt.Bucket, sum uint32) error {
	key := []byte(metaSumKey)
	return meta.Put(key, sealRecord(key, binary.BigEndian.AppendUint32(nil, sum)))
}

// Cache returns the value of a key, or nil if there is none or it is damaged: the
// caller computes it again.
func (t *Tx) Cache(key string) []byte {
	record := t.bucket(cacheBucket).Get([]byte(key))
	if record == nil {
		return nil
	}
	value, ok := t.value([]byte(key), record)
	if !ok {
		return nil
	}
	return copyOf(value)
}

// SetCache stores value under key until the next DropCaches. The caller must be
// able to compute it again.
func (t *Tx) SetCache(key string, value []byte) error {
	k := []byte(key)
	return asFault(t.store.path, t.bucket(cacheBucket).Put(k, sealRecord(k, value)))
}

// DropCaches empties the cache.
func (t *Tx) DropCaches() error {
	if err := t.tx.DeleteBucket(cacheBucket); err != nil {
		return asFault(t.store.path, err)
	}
	_, err := t.tx.CreateBucket(cacheBucket)
	return asFault(t.store.path, err)
}

// copyOf copies a value, since bbolt's bytes are only good until the transaction
// ends. The copy of an empty value is not nil.
func copyOf(value []byte) []byte { return append([]byte{}, value...) }

// readFormat returns the version of the file's layout. It refuses files of another
// program (Damaged) and of a newer version of this one (Newer).
func readFormat(path string, tx *bbolt.Tx) (int, error) {
	for _, name := range [][]byte{factsBucket, idsBucket, scopesBucket, metaBucket, cacheBucket} {
		if tx.Bucket(name) == nil {
			return 0, damagedFault(path, "it has no %s: another program wrote it", name)
		}
	}
	n, err := strconv.Atoi(string(tx.Bucket(metaBucket).Get([]byte(formatKey))))
	switch {
	case err != nil || n < 1:
		return 0, damagedFault(path, "the number of its format cannot be read")
	case n > formatVersion:
		return 0, fault.New(fault.Newer, "the file %s was written by a newer coldbatch: its format is %d, this program knows up to %d", path, n, formatVersion).
			WithHint("use the newer coldbatch; nothing was changed")
	}
	return n, nil
}
