// Package need lets a test require programs that not every machine has, and time that not
// every run has. Call Program and CI. The package is for tests only.
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
	if IsCI() {
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

// CI skips a test that takes long and that few changes can break. It runs with the
// variable CI set, as .ci/run does.
func CI(t testing.TB) {
	t.Helper()
	if !IsCI() {
		t.Skip("it takes long, and runs with CI=true")
	}
}

// IsCI reports whether the variable CI is set: everything is tested then.
func IsCI() bool { return os.Getenv("CI") != "" }
