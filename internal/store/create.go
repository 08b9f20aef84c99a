package store

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"

	"go.etcd.io/bbolt"
)

const (
	fileMode = 0o600
	dirMode  = 0o700
)

// createFile writes an empty store under a temporary name and names it path when it
// is complete. A program that is killed meanwhile leaves no half file, and of two
// that start at once one finds the other's file.
func createFile(path string) error {
	dir := filepath.Dir(path)
	if err := makeFolder(dir); err != nil {
		return asFault(dir, err)
	}
	err := writeNewFile(path, func(temp *os.File) error {
		return catchDamage(temp.Name(), func() error { return createBuckets(temp.Name()) })
	})
	if errors.Is(err, fs.ErrExist) {
		return nil // another program was faster
	}
	return asFault(path, err)
}

// createBuckets writes the buckets of a new file.
func createBuckets(path string) error {
	db, err := bbolt.Open(path, fileMode, &bbolt.Options{Timeout: lockTimeout(0)})
	if err != nil {
		return err
	}
	err = db.Update(func(tx *bbolt.Tx) error {
		for _, name := range [][]byte{factsBucket, idsBucket, scopesBucket, metaBucket, cacheBucket} {
			if _, err := tx.CreateBucket(name); err != nil {
				return err
			}
		}
		meta := tx.Bucket(metaBucket)
		if err := putMetaChecksum(meta, metaChecksum(meta)); err != nil {
			return err
		}
		return meta.Put([]byte(formatKey), []byte(strconv.Itoa(formatVersion)))
	})
	return errors.Join(err, db.Close())
}
