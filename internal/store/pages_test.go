package store

import (
	"bytes"
	"fmt"
	"math/rand"
	"os"
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// A bad page is reported as a fault and never ends the program, whatever is done
// with the file. Check finds it unless only unused bytes were changed.
func TestBadPages(t *testing.T) {
	before := sampleFiles(t, 200, 400, 570, 600)
	good := before[3]
	runs := int64(100)
	if isLongRun {
		runs = 3000
	}
	found := int64(0)
	for seed := range runs {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			path := writeTemp(t, damagePages(good, before[:3], seed))
			report, err := Check(path)
			bad := err != nil || len(report.Problems) > 0
			if bad {
				found++
			}
			s, err := Open(path, Options{})
			if err == nil {
				err = readAllFrom(s)
			}
			switch {
			case err != nil && !fault.Is(err, fault.Damaged):
				t.Error(err)
			case err != nil && !bad:
				t.Errorf("check found nothing, but %v", err)
			}
		})
	}
	t.Logf("check found %d of %d; in the others only free pages and unused bytes were hit", found, runs)
	if found < runs/2 {
		t.Error("check found too little")
	}
}

// damagePages changes one or a few pages of b, as a bad disk may.
func damagePages(b []byte, before [][]byte, seed int64) []byte {
	r := rand.New(rand.NewSource(seed))
	b = bytes.Clone(b)
	l, _ := readLayout("", bytes.NewReader(b), int64(len(b)))
	size := int(l.pageSize)
	page := func() []byte {
		at := (2 + r.Intn(int(l.pageCount)-2)) * size
		return b[at : at+size]
	}
	switch p := page(); r.Intn(7) {
	case 0:
		r.Read(p)
	case 1:
		clear(p)
	case 2: // another page in its place
		copy(p, page())
	case 3: // its flags, counts and first entries
		r.Read(p[8 : 8+r.Intn(200)])
	case 4: // one bit
		p[r.Intn(size)] ^= 1 << r.Intn(8)
	default: // writes that never came: pages as they once were
		old := before[r.Intn(len(before))]
		for range 1 + r.Intn(4) {
			at := (2 + r.Intn(int(l.pageCount)-2)) * size
			if at < len(old) {
				copy(b[at:at+size], old[at:])
			}
		}
	}
	return b
}

// A branch page that names itself would lead a reader into an endless loop.
func TestPageUsedTwice(t *testing.T) {
	b := sampleFile(t, 900)
	l, _ := readLayout("", bytes.NewReader(b), int64(len(b)))
	loops := 0
	for n := int64(2); n < int64(l.pageCount); n++ {
		p := b[n*l.pageSize:]
		if nativeByteOrder.Uint16(p[8:]) == branchPage && nativeByteOrder.Uint64(p) == uint64(n) {
			nativeByteOrder.PutUint64(p[pageHeader+8:], uint64(n))
			loops++
		}
	}
	if loops == 0 {
		t.Fatal("the sample has no branch")
	}
	path := writeTemp(t, b)
	if r, err := Check(path); err != nil || len(r.Problems) == 0 {
		t.Errorf("%v %v", r, err)
	}
	if _, err := Open(path, Options{}); !fault.Is(err, fault.Damaged) {
		t.Errorf("open: %v", err)
	}
}

// The file is cut while it is open: reading its lost pages is SIGBUS.
func TestCutWhileOpen(t *testing.T) {
	path := writeTemp(t, sampleFile(t, 900))
	s, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(path, int64(os.Getpagesize()*3)); err != nil {
		t.Fatal(err)
	}
	for range 3 {
		err := s.View(func(tx *Tx) error { return tx.Since(0, func(uint64, journal.Fact) bool { return true }) })
		if !fault.Is(err, fault.Damaged) {
			t.Errorf("view: %v", err)
		}
		err = s.Update(func(tx *Tx) error { _, err := tx.Append(newFactGenerator(1).next(1)[0]); return err })
		if !fault.Is(err, fault.Damaged) {
			t.Errorf("update: %v", err)
		}
		if _, err := s.Check(); !fault.Is(err, fault.Damaged) {
			t.Errorf("check: %v", err)
		}
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
}

// readAllFrom reads and writes everything, closes the file and returns the first error.
// Which call fails depends on the damaged page.
func readAllFrom(s *Store) error {
	defer s.Close()
	everything := func(uint64, journal.Fact) bool { return true }
	errs := []error{
		s.View(func(tx *Tx) error { return tx.Since(0, everything) }),
		s.View(func(tx *Tx) error {
			for _, scope := range tx.Scopes() {
				if _, err := tx.Scope(scope); err != nil {
					return err
				}
			}
			tx.Meta("a")
			tx.Cache("some")
			tx.IDAt(tx.Last())
			return nil
		}),
		appendAll(s, newFactGenerator(9).next(100)),
		s.Update(func(tx *Tx) error { return tx.DropCaches() }),
		s.View(func(tx *Tx) error { return nil }),
		s.Update(func(tx *Tx) error { return nil }),
	}
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
