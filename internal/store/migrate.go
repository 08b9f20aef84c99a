package store

import (
	"bytes"
	"strconv"

	"go.etcd.io/bbolt"

	"coldbatch/internal/journal"
)

// formatVersion is the version of the file's layout that this program writes. A program
// refuses a file with a higher one. Format 1 had no checksums.
const formatVersion = 2

// migrate brings a file of format 1 to format 2 in one transaction: a program that
// is killed meanwhile leaves the old file. A fact that cannot be read gets a wrong checksum, so that it counts as damaged.
func (s *Store) migrate() error {
	err := catchDamage(s.path, func() error {
		return s.db.Update(func(tx *bbolt.Tx) error {
			for _, name := range [][]byte{factsBucket, idsBucket, scopesBucket, cacheBucket, metaBucket} {
				if err := sealBucket(s.path, tx, name); err != nil {
					return err
				}
			}
			meta := tx.Bucket(metaBucket)
			if err := putMetaChecksum(meta, metaChecksum(meta)); err != nil {
				return err
			}
			return meta.Put([]byte(formatKey), []byte(strconv.Itoa(formatVersion)))
		})
	})
	if err == nil {
		s.format = formatVersion
	}
	return asFault(s.path, err)
}

// sealBucket writes every record of a bucket again, with its checksum. It makes
// the bucket anew, in the order of its keys: records that grew in place would each
// split a full page.
func sealBucket(path string, tx *bbolt.Tx, name []byte) error {
	old := tx.Bucket(name)
	sequence := old.Sequence()
	var keys, records [][]byte
	err := old.ForEach(func(k, v []byte) error {
		if v == nil {
			return damagedFault(path, "a bucket is inside its %s", name)
		}
		record := sealRecord(k, v)
		switch {
		case bytes.Equal(name, metaBucket) && string(k) == formatKey:
			record = bytes.Clone(v)
		case bytes.Equal(name, factsBucket) && new(journal.Fact).UnmarshalJSON(v) != nil:
			record[len(v)] ^= 0xff
		}
		keys, records = append(keys, bytes.Clone(k)), append(records, record)
		return nil
	})
	if err != nil {
		return err
	}
	if err := tx.DeleteBucket(name); err != nil {
		return err
	}
	b, err := tx.CreateBucket(name)
	if err != nil {
		return err
	}
	b.FillPercent = 1
	for i, k := range keys {
		if err := b.Put(k, records[i]); err != nil {
			return err
		}
	}
	return b.SetSequence(sequence)
}
