// Package store stores the journal in one bbolt file: the facts in the order they
// arrived, which fact belongs to which scope, what the hub must remember (meta) and
// what it could compute again (cache). Call Open first, then Update and View.
//
// When Update returns without an error, what it wrote is on the disk. Every record
// has a checksum; a damaged fact is reported and left out, the rest stays readable.
// The package does not know what facts mean, who may see them, or what a cache
// holds; it reads no clock and starts no goroutine of its own.
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
	LockWait time.Duration // how long to wait while another program holds the file
	ReadOnly bool          // the file must exist; Update is refused

	// OnDamage is called once for each damaged part that is skipped, with a fault
	// that names it. It must not call the store. Check names all damaged parts.
	OnDamage func(*fault.Fault)
}

// Store is an open file. Its methods may be called from several goroutines.
type Store struct {
	path     string
	db       *bbolt.DB
	file     *os.File
	format   int // of the open file: 1 only if it was opened for reading
	onDamage func(*fault.Fault)
	damage   damageLog

	writeLock sync.Mutex // held by Update until the index has what it wrote
	index     idIndex
	lastTx    int // id of the last transaction that wrote; 0 if it is not known

	// brokenFault is set when the file can no longer be trusted: after an error of the
	// disk Update is refused, after a bad page View too.
	brokenFault atomic.Pointer[fault.Fault]
}

// Open opens the file at path, or creates it (mode 0600, its folder 0700). A file
// of an older format is migrated in one step, unless it is opened for reading. The
// faults are Locked (another program has it), Newer (a newer version wrote it),
// Damaged (it is cut short, empty, or something else), NotFound (only with
// ReadOnly), Refused (no permission), Full. After a fault an existing file is as it
// was. Open reads the lists of ids and scopes but not the facts; Check reads all.
func Open(path string, o Options) (*Store, error) {
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) && !o.ReadOnly {
		if err := createFile(path); err != nil {
			return nil, err
		}
	}
	if err := inspectFile(path, o.LockWait); err != nil {
		return nil, err
	}
	s, err := openFile(path, o)
	if err != nil {
		return nil, err
	}
	if err = s.loadFormat(); err == nil && s.format < formatVersion && !o.ReadOnly {
		err = s.migrate()
	}
	if err == nil {
		err = checkListPages(s)
	}
	if err == nil {
		err = s.View(s.loadIndex)
	}
	if err != nil {
		s.Close() // the error that counts is the first
		return nil, err
	}
	return s, nil
}

// openFile opens a file that inspectFile found good, or for inspectFile to read.
func openFile(path string, o Options) (*Store, error) {
	s := &Store{path: path, onDamage: o.OnDamage}
	err := catchDamage(path, func() (err error) {
		s.db, err = bbolt.Open(path, fileMode, &bbolt.Options{
			Timeout:  lockTimeout(o.LockWait),
			ReadOnly: o.ReadOnly,
			OpenFile: func(name string, flag int, mode os.FileMode) (f *os.File, err error) {
				// Without O_CREATE: a file that vanished since it was inspected
				// must not come back empty.
				s.file, err = os.OpenFile(name, flag&^os.O_CREATE, mode)
				return s.file, err
			},
		})
		return err
	})
	if err != nil {
		if s.file != nil {
			s.file.Close() // bbolt does not close it after a panic
		}
		return nil, asFault(path, err)
	}
	return s, nil
}

// loadFormat reads the format of a file whose layout is known to be good.
func (s *Store) loadFormat() error {
	err := catchDamage(s.path, func() error {
		return s.db.View(func(tx *bbolt.Tx) (err error) {
			s.format, err = readFormat(s.path, tx)
			return err
		})
	})
	return asFault(s.path, err)
}

// lockTimeout returns the time that bbolt is to wait for the lock on the file. To
// bbolt zero means for ever, so "do not wait" is a nanosecond.
func lockTimeout(wait time.Duration) time.Duration { return max(wait, time.Nanosecond) }

// Path returns the path as given to Open.
func (s *Store) Path() string { return s.path }

// View calls do with a transaction that sees the file as it is now, whatever is
// written meanwhile. It returns do's own error unchanged. do must not call Update,
// and should be quick: a writer that must make the file longer waits for it.
func (s *Store) View(do func(*Tx) error) error {
	if f := s.brokenFault.Load(); f != nil && f.Code == fault.Damaged {
		return f
	}
	var own error
	hasBegun := false
	err := catchDamage(s.path, func() error {
		return s.db.View(func(tx *bbolt.Tx) error {
			hasBegun = true
			t := s.newTx(tx)
			own = do(t)
			return t.result(&own)
		})
	})
	if own != nil {
		return own
	}
	if fault.Is(err, fault.Damaged) && !hasBegun {
		s.brokenFault.Store(fault.AsFault(err)) // bbolt holds locks that it will not release
	}
	return asFault(s.path, err)
}

// Update calls do with a transaction that may write; do must not call View or
// Update. If Update returns nil, all that do wrote is on the disk; otherwise
// nothing of it is kept. It returns do's own error unchanged. After a Full fault
// the file can be read, and written again when there is room.
func (s *Store) Update(do func(*Tx) error) error {
	s.writeLock.Lock()
	defer s.writeLock.Unlock()
	if f := s.brokenFault.Load(); f != nil {
		return f
	}
	if err := s.checkSameFile(); err != nil {
		return asFault(s.path, err)
	}
	own, err := s.update(do)
	switch {
	case own != nil:
		return own
	case err == nil:
		return nil
	}
	f := fault.AsFault(asFault(s.path, err))
	if f.Code == fault.Damaged || f.Code == fault.Internal {
		s.brokenFault.Store(f)
		return f
	}
	// If only the last sync of a commit failed, the facts may be in the file after
	// all: sent again they must be found.
	if err := s.View(s.loadIndex); err != nil {
		s.brokenFault.Store(fault.AsFault(err))
	}
	return f
}

// update returns the error of the transaction, or else that of writing. It removes from the index
// what was not written, also after a panic.
func (s *Store) update(do func(*Tx) error) (own, err error) {
	var t *Tx
	isWritten := false
	defer func() {
		if t != nil && !isWritten {
			s.index.remove(t.appendedIDs)
		}
	}()
	var id int
	err = catchDamage(s.path, func() error {
		return s.db.Update(func(tx *bbolt.Tx) error {
			if err := s.checkOwnTx(tx); err != nil {
				return err
			}
			id = tx.ID()
			t = s.newTx(tx)
			if own = do(t); own == nil {
				t.flushPending()
			}
			return t.result(&own)
		})
	})
	switch isWritten = err == nil; {
	case isWritten:
		s.lastTx = id
	case own == nil:
		s.lastTx = 0 // it may have been written all the same
	}
	return own, err
}

// result returns the error of a transaction and stores it in *own too. If the transaction itself
// failed, its error takes precedence over *own, which may only be a consequence of it.
func (t *Tx) result(own *error) error {
	if t.err != nil {
		*own = t.err
	}
	return *own
}

// Close waits for open transactions and closes the file. View and Update of a
// closed store return an Unavailable fault.
func (s *Store) Close() error {
	if f := s.brokenFault.Load(); f != nil && f.Code == fault.Damaged {
		// bbolt would wait for a lock that a panic left behind. The lock on the
		// file ends with the program, since the file stays mapped.
		return asFault(s.path, s.file.Close())
	}
	return asFault(s.path, s.db.Close())
}
