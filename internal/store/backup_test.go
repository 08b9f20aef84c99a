package store

import (
	"bytes"
	"errors"
	"maps"
	"os"
	"path/filepath"
	"testing"

	"coldbatch/internal/fault"
)

func TestBackup(t *testing.T) {
	s := MustOpenStore(t)
	maker := newFactGenerator(1)
	s.mustAdd(maker.next(100)...)
	var b bytes.Buffer
	if n, err := s.Backup(&b); err != nil || n != int64(b.Len()) {
		t.Fatalf("%d bytes, %v", n, err)
	}
	path := filepath.Join(t.TempDir(), "copy.db")
	if err := s.BackupFile(path); err != nil {
		t.Fatal(err)
	}
	if whole, _ := os.ReadFile(path); !bytes.Equal(whole, b.Bytes()) {
		t.Error("the file and the stream differ")
	}
	then := maps.Clone(s.facts)
	s.mustAdd(maker.next(50)...)
	copied, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer copied.Close()
	checkSame(t, copied, then)
	if err := appendAll(copied, maker.next(10)); err != nil { // a backup goes on as the journal
		t.Error(err)
	}
}

func TestBackupReplacesNothing(t *testing.T) {
	s := MustOpenStore(t)
	s.mustAdd(newFactGenerator(1).next(10)...)
	dir := t.TempDir()
	file := filepath.Join(dir, "mine.txt")
	if err := os.WriteFile(file, []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(dir, "nowhere")
	if err := os.Symlink(filepath.Join(dir, "missing"), link); err != nil {
		t.Fatal(err)
	}
	for path, code := range map[string]fault.Code{
		file: fault.Conflict, link: fault.Conflict, dir: fault.Conflict, s.Path(): fault.Conflict,
		filepath.Join(dir, "none", "x.db"): fault.NotFound, filepath.Join(file, "x.db"): fault.NotFound,
	} {
		if err := s.BackupFile(path); !fault.Is(err, code) {
			t.Errorf("%s: %v", path, err)
		}
	}
	if b, _ := os.ReadFile(file); string(b) != "mine" {
		t.Error("a file was replaced")
	}
	if names, _ := os.ReadDir(dir); len(names) != 2 {
		t.Errorf("left behind: %v", names)
	}
}

type brokenWriter struct{}

func (brokenWriter) Write([]byte) (int, error) { return 0, errors.New("the connection is closed") }

func TestBackupToAReaderThatLeaves(t *testing.T) {
	s := MustOpenStore(t)
	s.mustAdd(newFactGenerator(1).next(10)...)
	if _, err := s.Backup(brokenWriter{}); err == nil || fault.AsFault(err).Sentence == "" {
		t.Errorf("said %v", err)
	}
	s.mustAdd(newFactGenerator(2).next(10)...)
}

// A copy gets the marks that are asked for, is good, and is all that gets them.
func TestBackupWithMarks(t *testing.T) {
	path := filepath.Join(t.TempDir(), "journal.db")
	s, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.BackupFile(path+".copy", "one", "two"); err != nil {
		t.Fatal(err)
	}
	copied, err := Open(path+".copy", Options{})
	if err != nil {
		t.Fatal(err)
	}
	for s, want := range map[*Store]string{s: "", copied: "1"} {
		_ = s.View(func(tx *Tx) error {
			if one, two := string(tx.Meta("one")), string(tx.Meta("two")); one != want || two != want {
				t.Errorf("%s: %q %q, want %q", s.path, one, two, want)
			}
			return nil
		})
	}
	if err := copied.Close(); err != nil {
		t.Fatal(err)
	}
	if r, err := Check(path + ".copy"); err != nil || len(r.Problems) > 0 {
		t.Errorf("the copy: %+v %v", r, err)
	}
}
