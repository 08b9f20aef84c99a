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
		cmd := exec.Command(strace, "-f", "-o", os.DevNull, "-e", "trace=fdatasync", "-e", "inject=fdatasync:"+c.inject, os.Args[0], path)
		cmd.Env = append(os.Environ(), childVar+"=sync")
		out, err := cmd.Output()
		if err != nil && len(out) == 0 {
			t.Fatalf("strace: %v", err)
		}
		if got := strings.TrimSuffix(string(out), ", \n"); got != c.want {
			t.Errorf("%s (%s): %q, want %q", c.inject, c.why, got, c.want)
		}
		r, err := Check(path)
		if err != nil || len(r.Problems) > 0 || strings.HasSuffix(c.want, "3 ok") && r.Facts != 30 || r.Facts < 10 {
			t.Errorf("%s (%s): %v %v", c.inject, c.why, r, err)
		}
	}
}

func init() { children["sync"] = childSync }

// childSync writes three calls of ten facts, each again until it is taken or the
// store has refused it three times. strace counts calls by thread.
func childSync(path string) {
	runtime.LockOSThread()
	s, err := Open(path, Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	w := newWriter(1)
	for call := range 3 {
		facts := w.write(10)
		for tries := 0; tries < 6 && (tries < 3 || s.broken.Load() == nil); tries++ {
			err := appendAll(s, facts)
			if err == nil {
				fmt.Printf("%d ok, ", call+1)
				break
			}
			fmt.Printf("%d %s, ", call+1, fault.Of(err).Code)
			if s.broken.Load() != nil && s.View(func(*Tx) error { return nil }) != nil {
				fmt.Print("and it cannot be read, ")
			}
		}
		if s.broken.Load() != nil {
			break
		}
	}
	fmt.Println()
}
