package store

import (
	"os"
	"path/filepath"
	"testing"

	"coldbatch/internal/fault"
)

// A file that is moved away while it is open gets no more facts, which would be lost, and
// gets them again once it is back.
func TestFileMovedAway(t *testing.T) {
	path := filepath.Join(t.TempDir(), "coldbatch.db")
	s, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	write := func() error { return s.Update(func(tx *Tx) error { tx.SetMeta("a", []byte("b")); return nil }) }
	if err := write(); err != nil {
		t.Fatal(err)
	}
	away := path + ".away"
	if err := os.Rename(path, away); err != nil {
		t.Fatal(err)
	}
	if err := write(); !fault.Is(err, fault.Unavailable) {
		t.Errorf("without a file: %v", err)
	}
	if err := os.WriteFile(path, []byte("another"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := write(); !fault.Is(err, fault.Unavailable) {
		t.Errorf("with another file: %v", err)
	}
	if err := os.Rename(away, path); err != nil {
		t.Fatal(err)
	}
	if err := write(); err != nil {
		t.Errorf("with the file back: %v", err)
	}
}

// A backup that is copied over the open file stays as it is: the program writes nothing
// more into it.
func TestBackupCopiedOverTheOpenFile(t *testing.T) {
	dir := t.TempDir()
	path, backup := filepath.Join(dir, "coldbatch.db"), filepath.Join(dir, "backup.db")
	s, err := Open(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	write := func() error { return s.Update(func(tx *Tx) error { tx.SetMeta("a", []byte("b")); return nil }) }
	if err := write(); err != nil {
		t.Fatal(err)
	}
	copied, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for range 30 {
		if err := write(); err != nil {
			t.Fatal(err)
		}
	}
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.WriteAt(copied, 0); err != nil {
		t.Fatal(err)
	}
	f.Close()
	for range 2 {
		if err := write(); !fault.Is(err, fault.Damaged) {
			t.Errorf("the program wrote on: %v", err)
		}
	}
	now, err := os.ReadFile(path)
	if err != nil || string(now[:len(copied)]) != string(copied) {
		t.Errorf("the file is no longer the backup (%v)", err)
	}
	if err := os.WriteFile(backup, now, 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Check(backup); err != nil {
		t.Errorf("it does not read: %v", err)
	}
}
