package store

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"hash/fnv"
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"go.etcd.io/bbolt"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

func fileHash(t testing.TB, path string) [32]byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return sha256.Sum256(b)
}

// sampleFile makes a store of n facts, thirty a call, and returns its bytes.
func sampleFile(t testing.TB, n int) []byte { return sampleFiles(t, n)[0] }

// sampleFiles returns the bytes of one store at each of these numbers of facts.
func sampleFiles(t testing.TB, counts ...int) (all [][]byte) {
	t.Helper()
	dir := memoryDir(t)
	defer os.RemoveAll(dir) // at once: what fuzzes is killed before it cleans up
	path := filepath.Join(dir, "sample.db")
	s, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	maker := newFactGenerator(3)
	have := 0
	for _, count := range counts {
		for have < count {
			n := min(count-have, 30)
			err := errors.Join(appendAll(s, maker.next(n)),
				s.Update(func(tx *Tx) error { return tx.SetCache("some", make([]byte, 3000-have)) }))
			if err != nil {
				t.Fatal(err)
			}
			have += n
		}
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, b)
	}
	return all
}

// memoryDir makes a folder that is removed after the test, in memory if the machine
// has such a disk: tests with damaged files do not depend on the disk.
func memoryDir(t testing.TB) string {
	t.Helper()
	dir, err := os.MkdirTemp("/dev/shm", "coldbatch-test-")
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return dir
}

// isLongRun is set if the full figures are wanted.
var isLongRun = os.Getenv("COLDBATCH_LONG") != ""

func writeTemp(t testing.TB, b []byte) (path string) {
	t.Helper()
	path = filepath.Join(memoryDir(t), "coldbatch.db")
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// checkRefused opens path in every way and wants a fault of that code in one
// sentence. The file and its folder must stay as they were.
func checkRefused(t *testing.T, path string, code fault.Code) {
	t.Helper()
	before := fileHash(t, path)
	_, ofOpen := Open(path, Options{})
	_, ofRead := Open(path, Options{ReadOnly: true})
	_, ofCheck := Check(path)
	for _, err := range []error{ofOpen, ofRead, ofCheck} {
		f := fault.AsFault(err)
		if !fault.Is(err, code) || !strings.Contains(f.Sentence, path) || strings.ContainsAny(f.Error(), "\n") {
			t.Errorf("said %v, want %s", err, code)
		}
	}
	if fileHash(t, path) != before {
		t.Error("the file was changed")
	}
	if names, _ := os.ReadDir(filepath.Dir(path)); len(names) != 1 {
		t.Errorf("there are %d files in the folder, not one", len(names))
	}
}

func TestCutShort(t *testing.T) {
	whole := sampleFile(t, 300)
	l, err := readLayout("", bytes.NewReader(whole), int64(len(whole)))
	if err != nil {
		t.Fatal(err)
	}
	need := int(int64(l.pageCount) * l.pageSize)
	lengths := []int{1, 15, 16, 64, 80, 1023, 1024, need - 1, need}
	for at := int(l.pageSize); at <= len(whole); at += int(l.pageSize) {
		lengths = append(lengths, at-1, at, at+1) // every page boundary
	}
	r := rand.New(rand.NewSource(1))
	for range 60 {
		lengths = append(lengths, 1+r.Intn(len(whole)))
	}
	for _, n := range lengths {
		switch {
		case n > len(whole):
		case n < need:
			t.Run(fmt.Sprint(n), func(t *testing.T) { checkRefused(t, writeTemp(t, whole[:n]), fault.Damaged) })
		default:
			t.Run(fmt.Sprint(n), func(t *testing.T) { checkGrows(t, writeTemp(t, whole[:n])) })
		}
	}
}

// A file that was cut at a page boundary is refused with a sentence. With a backup
// in its place all facts are there.
func TestCutFileIsRestored(t *testing.T) {
	facts := newFactGenerator(41).next(300)
	good := filledFile(t, facts)
	path := writeTemp(t, good)
	s, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	backup := path + ".backup"
	if err := s.BackupFile(backup); err != nil {
		t.Fatal(err)
	}
	s.Close()
	l, err := readLayout("", bytes.NewReader(good), int64(len(good)))
	if err != nil {
		t.Fatal(err)
	}
	copied, err := os.ReadFile(backup)
	if err != nil {
		t.Fatal(err)
	}
	for pages := range int64(l.pageCount) {
		if err := os.WriteFile(path, good[:pages*l.pageSize], 0o600); err != nil {
			t.Fatal(err)
		}
		_, ofOpen := Open(path, Options{})
		_, ofCheck := Check(path)
		for _, err := range []error{ofOpen, ofCheck} {
			if !fault.Is(err, fault.Damaged) || fault.AsFault(err).Hint == "" {
				t.Errorf("cut after %d of %d pages: %v", pages, l.pageCount, err)
			}
		}
		if err := os.WriteFile(path, copied, 0o600); err != nil {
			t.Fatal(err)
		}
		r, err := Check(path)
		if err != nil || r.FactCount != len(facts) || len(r.Problems) > 0 {
			t.Errorf("put back: %+v %v", r, err)
		}
		s, err := Open(path, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if err := appendAll(s, newFactGenerator(pages).next(3)); err != nil {
			t.Error(err)
		}
		s.Close()
	}
}

// checkGrows opens a file of 300 facts that lost only its room to grow. All facts
// must be there, and more can be added.
func checkGrows(t *testing.T, path string) {
	s, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	maker := newFactGenerator(1)
	for range 3 {
		if err := appendAll(s, maker.next(100)); err != nil {
			t.Fatal(err)
		}
	}
	if r, err := s.Check(); err != nil || r.FactCount != 600 || len(r.Problems) > 0 {
		t.Errorf("%v %v", r, err)
	}
}

func appendAll(s *Store, facts []journal.Fact) error {
	return s.Update(func(tx *Tx) error {
		for _, f := range facts {
			if _, err := tx.Append(f); err != nil {
				return err
			}
		}
		return nil
	})
}

// changeMeta changes both meta pages and corrects their checksums.
func changeMeta(b []byte, change func(meta []byte)) []byte {
	b = bytes.Clone(b)
	l, _ := readMeta(bytes.NewReader(b), 0)
	for _, at := range []int64{0, l.pageSize} {
		m := b[at+pageHeader : at+pageHeader+metaSize]
		change(m)
		h := fnv.New64a()
		h.Write(m[:56])
		nativeByteOrder.PutUint64(m[56:], h.Sum64())
	}
	return b
}

func TestNotAStore(t *testing.T) {
	good := sampleFile(t, 100)
	size := os.Getpagesize()
	l, _ := readLayout("", bytes.NewReader(good), int64(len(good)))
	random := make([]byte, 40_000)
	rand.New(rand.NewSource(2)).Read(random)
	list := int(int64(l.freeListPage) * l.pageSize)
	change := func(at int, with ...byte) []byte {
		b := bytes.Clone(good)
		copy(b[at:], with)
		return b
	}
	ff := bytes.Repeat([]byte{0xff}, 8)
	for _, c := range []struct {
		why string
		b   []byte
	}{
		{"empty: a disk that was full when the file was made, or a copy that failed", nil},
		{"one byte", []byte{1}},
		{"a short text", []byte("not a journal\n")},
		{"a long text", bytes.Repeat([]byte("not a journal\n"), 5000)},
		{"random bytes", random},
		{"zeros: a disk that lost power", make([]byte, len(good))},
		{"both meta pages zero", append(make([]byte, 2*size), good[2*size:]...)},
		{"both checksums wrong", func() []byte {
			b := bytes.Clone(good)
			b[pageHeader+56]++
			b[size+pageHeader+56]++
			return b
		}()},
		{"page size zero", changeMeta(good, func(m []byte) { nativeByteOrder.PutUint32(m[8:], 0) })},
		{"page size odd", changeMeta(good, func(m []byte) { nativeByteOrder.PutUint32(m[8:], 4095) })},
		{"page size huge", changeMeta(good, func(m []byte) { nativeByteOrder.PutUint32(m[8:], 1<<31) })},
		{"page size of another file", changeMeta(good, func(m []byte) { nativeByteOrder.PutUint32(m[8:], uint32(size)*2) })},
		{"root past the end", changeMeta(good, func(m []byte) { nativeByteOrder.PutUint64(m[16:], l.pageCount) })},
		{"root a meta page", changeMeta(good, func(m []byte) { nativeByteOrder.PutUint64(m[16:], 1) })},
		{"free list past the end", changeMeta(good, func(m []byte) { nativeByteOrder.PutUint64(m[32:], l.pageCount+9) })},
		{"free list a leaf", changeMeta(good, func(m []byte) { nativeByteOrder.PutUint64(m[32:], l.root) })},
		{"no free list kept: another program's way", changeMeta(good, func(m []byte) { nativeByteOrder.PutUint64(m[32:], noFreelist) })},
		{"more pages than bytes", changeMeta(good, func(m []byte) { nativeByteOrder.PutUint64(m[40:], 1<<30) })},
		{"pages beyond counting", changeMeta(good, func(m []byte) { nativeByteOrder.PutUint64(m[40:], 1<<62) })},
		{"no pages", changeMeta(good, func(m []byte) { nativeByteOrder.PutUint64(m[40:], 0) })},
		{"another layout of pages", changeMeta(good, func(m []byte) { nativeByteOrder.PutUint32(m[4:], 3) })},
		{"free list: count too high", change(list+10, 0xfe, 0xff)},
		{"free list: a count of 2^64-1, all the memory there is", change(list+10, append([]byte{0xff, 0xff, 0, 0, 0, 0}, ff...)...)},
		{"free list: overflow past the end", change(list+12, ff[:4]...)},
		{"free list: not a free list", change(list+8, leafPage)},
		{"free list: another page", change(list, 77)},
		{"free list: names a meta page", change(list+10, 1, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0, 0)},
		{"root page zero", change(int(int64(l.root)*l.pageSize), make([]byte, size)...)},
		{"root page all ones", change(int(int64(l.root)*l.pageSize), bytes.Repeat(ff, size/8)...)},
		{"root page: a key far outside", change(int(int64(l.root)*l.pageSize)+pageHeader+4, ff[:4]...)},
		{"another program's file", otherBboltFile(t)},
		{"format cannot be read", withFormat(t, good, "one")},
		{"format is missing", withFormat(t, good, "")},
		{"format is zero", withFormat(t, good, "0")},
	} {
		t.Run(c.why, func(t *testing.T) { checkRefused(t, writeTemp(t, c.b), fault.Damaged) })
	}
	t.Run("a newer format", func(t *testing.T) {
		checkRefused(t, writeTemp(t, withFormat(t, good, "3")), fault.Newer)
	})
	t.Run("one good meta page is enough", func(t *testing.T) {
		for _, at := range []int{0, size} {
			b := bytes.Clone(good)
			clear(b[at+pageHeader+20 : at+size]) // as when power fails while it is written
			s, err := Open(writeTemp(t, b), Options{})
			if err != nil {
				t.Fatal(err)
			}
			if r, err := s.Check(); err != nil || len(r.Problems) != 1 || !strings.Contains(r.Problems[0], "first pages") || r.FactCount < 60 {
				t.Errorf("%v %v", r, err)
			}
			if err := errors.Join(appendAll(s, newFactGenerator(1).next(1)), appendAll(s, newFactGenerator(2).next(1))); err != nil {
				t.Error(err)
			}
			if r, err := s.Check(); err != nil || len(r.Problems) > 0 {
				t.Errorf("after the page was written again: %v %v", r, err)
			}
			s.Close()
		}
	})
	t.Run("a folder", func(t *testing.T) {
		if _, err := Open(t.TempDir(), Options{}); !fault.Is(err, fault.Damaged) {
			t.Error(err)
		}
	})
	t.Run("below a file", func(t *testing.T) {
		path := writeTemp(t, good)
		if _, err := Open(filepath.Join(path, "coldbatch.db"), Options{}); !fault.Is(err, fault.NotFound) {
			t.Error(err)
		}
	})
}

// otherBboltFile returns a bbolt file of another program.
func otherBboltFile(t *testing.T) []byte {
	path := filepath.Join(t.TempDir(), "x")
	db, err := bbolt.Open(path, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	_ = db.Update(func(tx *bbolt.Tx) error { _, err := tx.CreateBucket([]byte("recipes")); return err })
	b, _ := os.ReadFile(path)
	return b
}

func withFormat(t *testing.T, good []byte, number string) []byte {
	path := writeTemp(t, good)
	db, err := bbolt.Open(path, 0o600, nil)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	_ = db.Update(func(tx *bbolt.Tx) error {
		if number == "" {
			return tx.Bucket(metaBucket).Delete([]byte(formatKey))
		}
		return tx.Bucket(metaBucket).Put([]byte(formatKey), []byte(number))
	})
	b, _ := os.ReadFile(path)
	return b
}
