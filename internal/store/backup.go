package store

import (
	"errors"
	"io"
	"io/fs"
	"os"

	"coldbatch/internal/fault"
)

// Backup writes the whole file, as it is now, to w and returns the number of
// bytes. Facts may be written meanwhile; they are not in the copy.
func (s *Store) Backup(w io.Writer) (int64, error) {
	var n int64
	err := s.View(func(t *Tx) (err error) {
		n, err = t.tx.WriteTo(w)
		return err
	})
	return n, asFault(s.path, err)
}

// BackupFile writes a copy under a temporary name, checks it, and only then names
// it path. A file that is there is never replaced (Conflict). Each of marks is a key of meta
// that the copy gets, so that who opens it knows it for a copy.
func (s *Store) BackupFile(path string, marks ...string) error {
	if _, err := os.Lstat(path); err == nil {
		return asFault(path, fs.ErrExist)
	}
	err := writeNewFile(path, func(temp *os.File) error {
		err := s.View(func(t *Tx) error {
			_, err := t.tx.WriteTo(temp)
			return err
		})
		if err != nil {
			return err
		}
		report, err := Check(temp.Name())
		if err == nil && len(report.Problems) > 0 {
			err = fault.New(fault.Damaged, "no backup was made, because the file %s has problems: %s", s.path, report.Problems[0]).
				WithHint("run `coldbatch check` for all of them")
		}
		if err == nil && len(marks) > 0 {
			err = markCopy(temp.Name(), marks)
		}
		return err
	})
	if errors.Is(err, fs.ErrNotExist) {
		return fault.New(fault.NotFound, "there is no folder for the backup %s", path)
	}
	return asFault(path, err)
}

// markCopy sets keys of meta in the copy at path.
func markCopy(path string, marks []string) error {
	s, err := Open(path, Options{})
	if err != nil {
		return err
	}
	err = s.Update(func(t *Tx) error {
		for _, key := range marks {
			if err := t.SetMeta(key, []byte("1")); err != nil {
				return err
			}
		}
		return nil
	})
	return errors.Join(err, s.Close())
}
