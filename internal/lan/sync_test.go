//go:build linux

package lan

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"testing"
	"time"

	"coldbatch/internal/need"
)

// syncChild tells the test program to be the process that strace watches.
const syncChild = "COLDBATCH_LAN_SYNC"

// Each file of the authority is on the disk before it has its name, and its name
// before the program goes on: the kernel's calls say so.
func TestFilesAreSynced(t *testing.T) {
	if dir := os.Getenv(syncChild); dir != "" {
		mustOpenLeaf(t, mustOpenAuthority(t, dir, time.Now, Options{}), fixedAddresses("192.168.1.20"))
		return
	}
	strace := need.Program(t, "strace")
	parent, err := filepath.EvalSymlinks(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	dir, out := filepath.Join(parent, "data"), filepath.Join(t.TempDir(), "calls")
	cmd := exec.Command(strace, "-f", "-y", "-s", "200", "-e", "trace=mkdirat,fsync,fdatasync,renameat", "-o", out, os.Args[0], "-test.run", "^TestFilesAreSynced$")
	cmd.Env = append(os.Environ(), syncChild+"="+dir)
	if said, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, said)
	}
	calls, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range []string{caKeyFile, caCertFile, leafKeyFile, leafCertFile} {
		rename := regexp.MustCompile(`renameat\(.*"(` + regexp.QuoteMeta(dir) + `/\.new-\w+)".*"` + regexp.QuoteMeta(filepath.Join(dir, file)) + `"\)`).FindSubmatchIndex(calls)
		if rename == nil {
			t.Fatalf("%s is not put in place as a whole:\n%s", file, calls)
		}
		temporary := string(calls[rename[2]:rename[3]])
		if !slices.Contains(syncedPaths(calls[:rename[0]]), temporary) {
			t.Errorf("%s has its name before it is on the disk", file)
		}
		after := calls[rename[1]:]
		if next := regexp.MustCompile(`renameat\(`).FindIndex(after); next != nil {
			after = after[:next[0]]
		}
		if !slices.Contains(syncedPaths(after), dir) {
			t.Errorf("the name of %s is not written to the disk", file)
		}
	}
	if made := regexp.MustCompile(`mkdirat\(.*"` + regexp.QuoteMeta(dir) + `"`).FindIndex(calls); made == nil || !slices.Contains(syncedPaths(calls[made[1]:]), parent) {
		t.Error("the name of the new folder is not written to the disk")
	}
}

// syncedPaths lists the files and folders that were written to the disk.
func syncedPaths(calls []byte) (paths []string) {
	for _, m := range regexp.MustCompile(`f(?:data)?sync\(\d+<([^>]*)>`).FindAllSubmatch(calls, -1) {
		paths = append(paths, string(m[1]))
	}
	return paths
}
