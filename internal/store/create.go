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

// create makes an empty store beside path and gives it its name when it is
// whole, so that a program killed while doing so leaves nothing in the way and
// of two that start at once one finds the other's file.
func create(path string) error {
	dir := filepath.Dir(path)
	if err := os.MkdirAll(dir, dirMode); err != nil {
		return told(dir, err)
	}
	err := publish(path, func(temp *os.File) error {
		return guarded(temp.Name(), func() error { return fill(temp.Name()) })
	})
	if errors.Is(err, fs.ErrExist) {
		return nil // another program was faster
	}
	return told(path, err)
}

// fill writes the buckets of a new file.
func fill(path string) error {
	db, err := bbolt.Open(path, fileMode, &bbolt.Options{Timeout: atLeast(0)})
	if err != nil {
		return err
	}
	err = db.Update(func(tx *bbolt.Tx) error {
		for _, name := range [][]byte{factsBucket, idsBucket, scopesBucket, metaBucket, cacheBucket} {
			if _, err := tx.CreateBucket(name); err != nil {
				return err
			}
		}
		return tx.Bucket(metaBucket).Put([]byte(formatKey), []byte(strconv.Itoa(format)))
	})
	return errors.Join(err, db.Close())
}

// publish lets write fill a temporary file in path's folder, puts it on the
// disk, and gives it the name path unless there is such a file (fs.ErrExist).
func publish(path string, write func(*os.File) error) (err error) {
	dir := filepath.Dir(path)
	temp, err := os.CreateTemp(dir, filepath.Base(path)+".new-*") // mode 0600
	if err != nil {
		return err
	}
	defer os.Remove(temp.Name())
	err = write(temp)
	if err == nil {
		err = temp.Sync()
	}
	if err = errors.Join(err, temp.Close()); err != nil {
		return err
	}
	if err := name(temp.Name(), path); err != nil {
		return err
	}
	syncDir(dir)
	syncDir(filepath.Dir(dir)) // dir itself may be new
	return nil
}

// name gives a file its name without replacing one that is there. A link does
// that in one step; where the disk knows no links a look must do.
func name(temp, path string) error {
	err := os.Link(temp, path)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	if _, err := os.Lstat(path); err == nil {
		return fs.ErrExist
	}
	return os.Rename(temp, path)
}

// syncDir puts a folder's names on the disk. Not every system can; what is in
// the file is safe without it, so an error is no reason to stop.
func syncDir(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync()
		d.Close()
	}
}
