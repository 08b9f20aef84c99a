// Package need lets a test ask for programs that not every machine has. Call Program.
// It is for tests only.
package need

import (
	"os"
	"os/exec"
	"testing"
)

// Program gives the path of the first of names that is installed. Where none is, the
// test is skipped with a reason; with CI set, which installs them all, it fails.
func Program(t testing.TB, names ...string) (path string) {
	t.Helper()
	for _, name := range names {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	if os.Getenv("CI") != "" {
		t.Fatalf("%s is not installed, and CI is set", names[0])
	}
	t.Skipf("%s is not installed", names[0])
	return ""
}

// Programs is Program for several that are all needed.
func Programs(t testing.TB, names ...string) {
	t.Helper()
	for _, name := range names {
		Program(t, name)
	}
}
