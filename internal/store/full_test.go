//go:build linux

package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"coldbatch/internal/fault"
)

// fillDisk appends until the disk is full, makes room, appends more and compares. It
// returns what is wrong. backupFits says whether a backup still has room.
func fillDisk(path string, backupFits bool, makeRoom func() error) error {
	s, err := Open(path, Options{})
	if err != nil {
		return err
	}
	defer s.Close()
	maker := newFactGenerator(5)
	kept := 0
	for {
		err = appendAll(s, maker.next(100))
		if err != nil {
			break
		}
		if kept += 100; kept > 100_000 {
			return errors.New("the disk never became full")
		}
	}
	if !fault.Is(err, fault.Full) || !strings.Contains(err.Error(), "no space") {
		return fmt.Errorf("full, it says: %w", err)
	}
	for range 5 { // a phone tries again and again
		if err := appendAll(s, maker.next(3000)); !fault.Is(err, fault.Full) {
			return fmt.Errorf("tried again: %v", err)
		}
	}
	if err := checkWhole(s, kept); err != nil {
		return fmt.Errorf("while full: %w", err)
	}
	if err := s.BackupFile(path + ".copy"); backupFits && err != nil || !backupFits && !fault.Is(err, fault.Full) {
		return fmt.Errorf("backup: %v", err)
	}
	if names, _ := filepath.Glob(filepath.Join(filepath.Dir(path), "*.new*")); len(names) > 0 {
		return fmt.Errorf("left behind: %v", names)
	}
	if err := makeRoom(); err != nil {
		return err
	}
	for range 3 {
		if err := appendAll(s, maker.next(100)); err != nil {
			return fmt.Errorf("with room again: %w", err)
		}
		kept += 100
	}
	if err := checkWhole(s, kept); err != nil {
		return fmt.Errorf("with room again: %w", err)
	}
	if err := s.Close(); err != nil {
		return err
	}
	if s, err = Open(path, Options{}); err != nil {
		return fmt.Errorf("opened again: %w", err)
	}
	defer s.Close()
	return checkWhole(s, kept)
}

func checkWhole(s *Store, facts int) error {
	r, err := s.Check()
	if err != nil {
		return err
	}
	if r.FactCount != facts || len(r.Problems) > 0 {
		return fmt.Errorf("%d facts were acknowledged, check says %+v", facts, r)
	}
	return nil
}

// A small disk is full. Only root may mount one.
func TestFullDisk(t *testing.T) {
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=2m"); err != nil {
		t.Skipf("a small disk cannot be mounted here (%v); TestFileTooLarge tests the same with a limit", err)
	}
	defer func() {
		if err := syscall.Unmount(dir, 0); err != nil {
			t.Error(err)
		}
	}()
	filler := filepath.Join(dir, "photos")
	if err := os.WriteFile(filler, make([]byte, 1<<20), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := fillDisk(filepath.Join(dir, "coldbatch.db"), false, func() error { return os.Remove(filler) }); err != nil {
		t.Error(err)
	}
}

// A file may not grow past a limit. A child process has that limit, not this one.
func TestFileTooLarge(t *testing.T) {
	c := startChild(t, "limit", filepath.Join(t.TempDir(), "coldbatch.db"))
	for c.lines.Scan() {
		if text := c.lines.Text(); text != "good" {
			t.Error(text)
		}
	}
	if err := c.cmd.Wait(); err != nil {
		t.Error(err)
	}
}

func init() { childFunctions["limit"] = childLimit }

func childLimit(path string) {
	var l syscall.Rlimit
	err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &l)
	if err == nil {
		small := l
		small.Cur = 700_000
		err = syscall.Setrlimit(syscall.RLIMIT_FSIZE, &small)
	}
	if err == nil {
		err = fillDisk(path, true, func() error { return syscall.Setrlimit(syscall.RLIMIT_FSIZE, &l) })
	}
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("good")
}

// Missing permission is reported in a sentence. Root may read everything, so one
// thread acts as another user.
func TestNotPermitted(t *testing.T) {
	dir := memoryDir(t)
	path := filepath.Join(dir, "coldbatch.db")
	if err := os.WriteFile(path, sampleFile(t, 30), 0o400); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	secret := filepath.Join(dir, "secret.db")
	if err := os.WriteFile(secret, sampleFile(t, 30), 0); err != nil {
		t.Fatal(err)
	}
	asOtherUser(t, func() {
		for _, p := range []string{path, secret} {
			if _, err := Open(p, Options{}); !fault.Is(err, fault.Refused) {
				t.Errorf("%s: %v", p, err)
			}
		}
		if _, err := Check(secret); !fault.Is(err, fault.Refused) {
			t.Errorf("check: %v", err)
		}
		if _, err := Open(filepath.Join(dir, "new", "coldbatch.db"), Options{}); os.Getuid() == 0 && !fault.Is(err, fault.Refused) {
			t.Errorf("a new file: %v", err)
		}
	})
	if os.Getuid() == 0 {
		s, err := Open(path, Options{})
		if err != nil {
			t.Fatal(err)
		}
		s.Close()
	}
}

// In a read-only folder nothing new can be made, and a sentence says so. A file that
// can be written is used as before.
func TestReadOnlyFolder(t *testing.T) {
	dir := memoryDir(t)
	path := filepath.Join(dir, "coldbatch.db")
	if err := os.WriteFile(path, sampleFile(t, 30), 0o600); err != nil {
		t.Fatal(err)
	}
	photos := NewPhotos(filepath.Join(dir, "photos"))
	hash, b := fakeJPEG(1, 1000)
	if err := photos.Put(hash, b); err != nil {
		t.Fatal(err)
	}
	if os.Getuid() == 0 {
		err := filepath.WalkDir(dir, func(p string, _ fs.DirEntry, err error) error {
			return errors.Join(err, os.Chown(p, 65534, -1))
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	folders := []string{dir, filepath.Join(dir, "photos"), filepath.Join(dir, "photos", hash[:2])}
	for _, d := range folders {
		if err := os.Chmod(d, 0o500); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = os.Chmod(d, 0o700) })
	}
	asOtherUser(t, func() {
		s, err := Open(path, Options{})
		if err != nil {
			t.Errorf("the file itself can be written: %v", err)
			return
		}
		defer s.Close()
		if err := appendAll(s, newFactGenerator(1).next(200)); err != nil {
			t.Errorf("append: %v", err)
		}
		other, bytes := fakeJPEG(2, 1000)
		for what, err := range map[string]error{
			"backup":       s.BackupFile(path + ".copy"),
			"a photo":      photos.Put(other, bytes),
			"a first file": func() error { _, err := Open(filepath.Join(dir, "new.db"), Options{}); return err }(),
			"a new folder": func() error { _, err := Open(filepath.Join(dir, "a", "b", "new.db"), Options{}); return err }(),
		} {
			if !fault.Is(err, fault.Refused) || !strings.Contains(fault.AsFault(err).Sentence, dir) || fault.AsFault(err).Hint == "" {
				t.Errorf("%s: %v", what, err)
			}
		}
		if got, err := photos.Get(hash); err != nil || len(got) != len(b) {
			t.Errorf("read: %v", err)
		}
		if err := photos.Put(hash, b); err != nil {
			t.Errorf("a photo that is there: %v", err)
		}
	})
	if names, _ := os.ReadDir(dir); len(names) != 2 {
		t.Errorf("left behind: %v", names)
	}
	if r, err := Check(path); err != nil || r.FactCount != 230 || len(r.Problems) > 0 {
		t.Errorf("check: %+v %v", r, err)
	}
}

// asOtherUser calls do in a thread without root's permissions for files.
func asOtherUser(t *testing.T, do func()) {
	if os.Getuid() != 0 {
		do()
		return
	}
	done := make(chan struct{})
	go func() {
		defer close(done)
		runtime.LockOSThread() // never unlocked: the thread ends with its goroutine
		if _, _, errno := syscall.RawSyscall(syscall.SYS_SETFSUID, 65534, 0, 0); errno != 0 {
			t.Errorf("setfsuid: %v", errno)
			return
		}
		do()
	}()
	<-done
}

// Only the owner may read the file and its folder.
func TestModes(t *testing.T) {
	s := MustOpenStore(t)
	for path, want := range map[string]os.FileMode{s.Path(): 0o600, filepath.Dir(s.Path()): 0o700 | os.ModeDir} {
		if info, err := os.Stat(path); err != nil || info.Mode() != want {
			t.Errorf("%s has mode %v, not %v: %v", path, info.Mode(), want, err)
		}
	}
	copied := s.Path() + ".copy"
	if err := s.BackupFile(copied); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(copied); err != nil || info.Mode() != 0o600 {
		t.Errorf("the backup has mode %v: %v", info.Mode(), err)
	}
}
