package store

import (
	"os"

	"go.etcd.io/bbolt"

	"coldbatch/internal/fault"
)

const replacedHint = "stop the program, put the file that you want in its place, and start it again"

// checkSameFile returns a fault if the file at the store's path is not the open one, or is
// missing: what is written would be lost when the program ends.
func (s *Store) checkSameFile() error {
	opened, err := s.file.Stat()
	if err != nil {
		return nil // the store is closed: the transaction says so
	}
	if there, err := os.Stat(s.path); err == nil && os.SameFile(opened, there) {
		return nil
	}
	return fault.New(fault.Unavailable, "the file %s was removed or replaced while the program had it open", s.path).WithHint(replacedHint)
}

// checkOwnTx returns a fault where a transaction that writes does not follow the last one
// of this store: then a backup was copied over the open file.
func (s *Store) checkOwnTx(tx *bbolt.Tx) error {
	if s.lastTx == 0 || tx.ID() == s.lastTx+1 {
		return nil
	}
	return fault.New(fault.Damaged, "the file %s was overwritten while the program had it open", s.path).WithHint(replacedHint)
}
