// Package store keeps the journal in one bbolt file: the facts in the order they
// came, which fact belongs to which scope, what the hub must remember (meta) and
// what it could work out again (caches). Call Open first, then Update and View.
//
// When Update returns without an error, what it wrote is on the disk. The
// package does not know what facts mean, who may see them, or what a cache
// holds; it sets no clock and starts no goroutine of its own.
package store

import (
	"errors"
	"io/fs"
	"os"
	"sync"
	"sync/atomic"
	"time"

	"go.etcd.io/bbolt"

	"coldbatch/internal/fault"
)

// Options say how a file is opened. The zero value opens for reading and
// writing and does not wait for another program.
type Options struct {
	Wait     time.Duration // how long to wait while another program holds the file
	ReadOnly bool          // the file must exist; Update is refused
}

// Store is an open file. Its methods may be called from several goroutines.
type Store struct {
	path string
	db   *bbolt.DB
	file *os.File

	write sync.Mutex // held by Update until the index knows what it wrote
	index index

	// broken is set when the file can no longer be trusted: after an error of
	// the disk nothing more is written, after damage nothing is read either.
	broken atomic.Pointer[fault.Fault]
}

// Open opens the file at path, or makes it (mode 0600, its folder 0700). The
// faults are Locked (another program has it), Newer (a newer version wrote it),
// Damaged (it is cut short, empty, or something else), NotFound (only with
// ReadOnly), Refused (no permission), Full. Whatever the fault, an existing file
// is left as it was. Open reads the ids but not the facts; Check reads all.
func Open(path string, o Options) (*Store, error) {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) && !o.ReadOnly {
		if err := create(path); err != nil {
			return nil, err
		}
	}
	if err := inspect(path, o.Wait); err != nil {
		return nil, err
	}
	s, err := open(path, o)
	if err != nil {
		return nil, err
	}
	if err := s.View(s.index.load); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// open opens a file that inspect found good, or is about to look at.
func open(path string, o Options) (*Store, error) {
	s := &Store{path: path}
	err := guarded(path, func() (err error) {
		s.db, err = bbolt.Open(path, fileMode, &bbolt.Options{
			Timeout:  atLeast(o.Wait),
			ReadOnly: o.ReadOnly,
			OpenFile: func(name string, flag int, mode os.FileMode) (f *os.File, err error) {
				// O_CREATE is left out: a file that vanished since it was
				// inspected must not come back empty.
				s.file, err = os.OpenFile(name, flag&^os.O_CREATE, mode)
				return s.file, err
			},
		})
		return err
	})
	if err != nil {
		if s.file != nil {
			s.file.Close() // after a panic bbolt has not
		}
		return nil, told(path, err)
	}
	return s, nil
}

// atLeast makes "do not wait" something bbolt understands: to it, zero means
// for ever.
func atLeast(wait time.Duration) time.Duration { return max(wait, time.Nanosecond) }

// Path is the file's path as given to Open.
func (s *Store) Path() string { return s.path }

// View calls do with a transaction that sees the file as it is now, whatever is
// written meanwhile. It returns do's own error as it is. do must not call Update,
// and should not take long: a writer that must make the file longer waits for it.
func (s *Store) View(do func(*Tx) error) error {
	if f := s.broken.Load(); f != nil && f.Code == fault.Damaged {
		return f
	}
	var own error
	begun := false
	err := guarded(s.path, func() error {
		return s.db.View(func(tx *bbolt.Tx) error {
			begun = true
			t := s.begin(tx)
			if own = do(t); own != nil {
				return own
			}
			return t.err
		})
	})
	if own != nil {
		return own
	}
	if fault.Is(err, fault.Damaged) && !begun {
		s.broken.Store(fault.Of(err)) // bbolt holds locks it will not give back
	}
	return told(s.path, err)
}

// Update calls do with a transaction that may write; do must not call View or
// Update. If do returns nil all of it is on the disk when Update returns nil;
// otherwise none of it is kept. It returns do's own error as it is. After a Full
// fault the file can be read, and written again when there is room.
func (s *Store) Update(do func(*Tx) error) error {
	s.write.Lock()
	defer s.write.Unlock()
	if f := s.broken.Load(); f != nil {
		return f
	}
	own, err := s.update(do)
	switch {
	case own != nil:
		return own
	case err == nil:
		return nil
	}
	f := fault.Of(told(s.path, err))
	if f.Code == fault.Damaged || f.Code == fault.Internal {
		s.broken.Store(f)
		return f
	}
	// Where only the last sync of a commit failed, the facts may be seen in the
	// file all the same: sent again they must be found.
	if err := s.View(s.index.load); err != nil {
		s.broken.Store(fault.Of(err))
	}
	return f
}

// update gives do's own error or else that of writing. What was not written is out
// of the index again, whatever ended it.
func (s *Store) update(do func(*Tx) error) (own, err error) {
	var t *Tx
	written := false
	defer func() {
		if t != nil && !written {
			s.index.drop(t.wrote)
		}
	}()
	err = guarded(s.path, func() error {
		return s.db.Update(func(tx *bbolt.Tx) error {
			t = s.begin(tx)
			if own = do(t); own != nil {
				return own
			}
			t.enter()
			return t.err
		})
	})
	written = err == nil
	return own, err
}

// Close waits for open transactions and closes the file. A closed store answers
// with an Unavailable fault.
func (s *Store) Close() error {
	if f := s.broken.Load(); f != nil && f.Code == fault.Damaged {
		// bbolt would wait for a lock inside it that a panic left behind. The
		// lock on the file goes with the program, since the file stays mapped.
		return told(s.path, s.file.Close())
	}
	return told(s.path, s.db.Close())
}
