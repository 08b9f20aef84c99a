// Package need lets a test require programs that not every machine has. Call Program.
// The package is for tests only.
package need

import (
	"os"
	"os/exec"
	"testing"
)

// Program returns the path of the first of names that is installed. Where none is, it
// skips the test with a reason. With the variable CI set it fails the test instead, as
// CI installs all of them.
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

// Programs calls Program for each of names, which are all required.
func Programs(t testing.TB, names ...string) {
	t.Helper()
	for _, name := range names {
		Program(t, name)
	}
}
