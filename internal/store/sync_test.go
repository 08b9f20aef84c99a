//go:build linux

package store

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/need"
)

// strace can make a system call fail. A commit syncs twice, its pages and then
// the page that makes them count; when only the second fails, the facts can be
// seen in the file although they were not acknowledged.
func TestSyncFails(t *testing.T) {
	strace := need.Program(t, "strace")
	for _, c := range []struct{ inject, want, why string }{
		{"error=ENOSPC:when=3", "1 ok, 2 full, 2 ok, 3 ok", "no room for the pages of call 2"},
		{"error=ENOSPC:when=4", "1 ok, 2 full, 2 ok, 3 ok", "no room when all but the last step is done"},
		{"error=ENOSPC:when=4..7", "1 ok, 2 full, 2 full, 2 full, 2 full, 2 ok, 3 ok", "no room for a while"},
		{"error=EIO:when=3", "1 ok, 2 internal, 2 internal, 2 internal", "a disk that fails is not written to again"},
		{"error=EIO:when=4", "1 ok, 2 internal, 2 internal, 2 internal", "the same in the last step"},
	} {
		path := filepath.Join(t.TempDir(), "coldbatch.db")
		s, err := Open(path, Options{})
		if err != nil {
			t.Fatal(err)
		}
		s.Close()
		if got := syncInjected(t, strace, path, "fdatasync", c.inject); got != "0 ok, "+c.want {
			t.Errorf("%s (%s): %q, want %q", c.inject, c.why, got, c.want)
		}
		r, err := Check(path)
		if err != nil || len(r.Problems) > 0 || strings.HasSuffix(c.want, "3 ok") && r.FactCount != 30 || r.FactCount < 10 {
			t.Errorf("%s (%s): %v %v", c.inject, c.why, r, err)
		}
	}
}

// syncInjected runs childSync and makes some of its calls of that name fail.
func syncInjected(t *testing.T, strace, path, name, inject string) string {
	t.Helper()
	cmd := exec.Command(strace, "-f", "-o", os.DevNull, "-e", "trace="+name, "-e", "inject="+name+":"+inject, os.Args[0], path)
	cmd.Env = append(os.Environ(), childVar+"=sync")
	out, err := cmd.Output()
	if err != nil && len(out) == 0 {
		t.Fatalf("strace: %v", err)
	}
	return strings.TrimSuffix(string(out), ", \n")
}

// Each single call that writes, names or syncs fails once because the disk is full.
// A Full fault says so, nothing acknowledged is lost, and what was refused can be
// written later.
func TestFullAtEveryWrite(t *testing.T) {
	strace := need.Program(t, "strace")
	root := memoryDir(t)
	inside := filepath.Join("data", "coldbatch.db")
	count := map[string]int{}
	for _, c := range traceChild(t, "sync", filepath.Join(root, inside)) {
		if strings.HasPrefix(c.paths[0], root) && c.name != "openat" && c.name != "unlinkat" {
			count[c.name]++
		}
	}
	refused, runs := 0, 0
	for name, n := range count {
		for i := range n {
			path := filepath.Join(root, fmt.Sprint(name, i), inside)
			if err := os.Mkdir(filepath.Dir(filepath.Dir(path)), 0o700); err != nil {
				t.Fatal(err)
			}
			got := syncInjected(t, strace, path, name, fmt.Sprintf("error=ENOSPC:when=%d", i+1))
			if strings.Contains(got, "full") {
				refused++
			}
			for call := range 4 {
				if n := strings.Count(got, fmt.Sprintf("%d ok", call)); n != 1 {
					t.Errorf("%s %d: call %d was acknowledged %d times: %q", name, i+1, call, n, got)
				}
			}
			if strings.Count(got, ",")-strings.Count(got, "full") != 3 {
				t.Errorf("%s %d: said %q", name, i+1, got)
			}
			if r, err := Check(path); err != nil || r.FactCount != 30 || len(r.Problems) > 0 {
				t.Errorf("%s %d: %+v %v", name, i+1, r, err)
			}
			if left, _ := filepath.Glob(path + ".new*"); len(left) > 0 {
				t.Errorf("%s %d: left behind: %v", name, i+1, left)
			}
			runs++
		}
	}
	if count["pwrite64"] < 10 || refused < runs/2 {
		t.Errorf("%d of %d calls were refused: %v", refused, runs, count)
	}
	t.Logf("%d of %d calls without room were refused: %v", refused, runs, count)
}

func init() { childFunctions["sync"] = childSync }

// childSync opens a store and appends ten facts three times. It tries each append until it
// succeeds: up to six times while the store is not broken, and up to three once it is. It
// stays on one thread, because strace counts system calls by thread.
func childSync(path string) {
	runtime.LockOSThread()
	var s *Store
	for range 3 {
		var err error
		if s, err = Open(path, Options{}); err == nil {
			break
		}
		fmt.Printf("0 %s, ", fault.AsFault(err).Code)
	}
	if s == nil {
		return
	}
	fmt.Print("0 ok, ")
	maker := newFactGenerator(1)
	for call := range 3 {
		facts := maker.next(10)
		for tries := 0; tries < 6 && (tries < 3 || s.brokenFault.Load() == nil); tries++ {
			err := appendAll(s, facts)
			if err == nil {
				fmt.Printf("%d ok, ", call+1)
				break
			}
			fmt.Printf("%d %s, ", call+1, fault.AsFault(err).Code)
			if s.brokenFault.Load() != nil && s.View(func(*Tx) error { return nil }) != nil {
				fmt.Print("and it cannot be read, ")
			}
		}
		if s.brokenFault.Load() != nil {
			break
		}
	}
	fmt.Println()
}
