package hubtest

import (
	"fmt"
	"io/fs"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

// WaitTimeout says how long a test waits for something that must happen. It is long
// because the machine may be busy with other things: a test that passes never waits
// for its end.
const WaitTimeout = time.Minute

// Runner is what runs the tests of a package: *testing.M.
type Runner interface{ Run() int }

// WithCleanup runs the tests of a package and then what AddCleanup was given.
func WithCleanup(tests Runner) Runner { return withCleanup{tests} }

type withCleanup struct{ tests Runner }

func (w withCleanup) Run() int {
	code := w.tests.Run()
	cleanupMu.Lock()
	defer cleanupMu.Unlock()
	for _, clean := range cleanups {
		clean()
	}
	return code
}

var (
	cleanupMu sync.Mutex
	cleanups  []func()
)

// AddCleanup has clean called when all tests of the package are done.
func AddCleanup(clean func()) {
	cleanupMu.Lock()
	defer cleanupMu.Unlock()
	cleanups = append(cleanups, clean)
}

var buildOnce = sync.OnceValues(func() (path string, err error) {
	dir, err := os.MkdirTemp("", "coldbatch-test-")
	if err != nil {
		return "", err
	}
	AddCleanup(func() { os.RemoveAll(dir) })
	path = filepath.Join(dir, "coldbatch")
	return path, Build(path)
})

// Binary builds the program once for all tests of a package and returns its path. The
// variable COLDBATCH_BINARY names one that was built already, such as a released one.
func Binary(t testing.TB) string {
	t.Helper()
	if path := os.Getenv("COLDBATCH_BINARY"); path != "" {
		return path
	}
	path, err := buildOnce()
	if err == nil {
		err = statSources()
	}
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// statSources looks at every file that the program is built from. The tests start it as
// another process, of which Go's test cache knows nothing: it follows the files that a test
// looks at itself, and runs the test again when one of them has changed.
var statSources = sync.OnceValue(func() error {
	root, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}").Output()
	if err != nil {
		return fmt.Errorf("go list: %w", err)
	}
	for _, folder := range []string{"cmd", "internal", "static"} {
		err := filepath.WalkDir(filepath.Join(strings.TrimSpace(string(root)), folder), func(path string, entry fs.DirEntry, err error) error {
			if err != nil || entry.IsDir() || strings.HasSuffix(path, "_test.go") || strings.Contains(path, "testdata") {
				return err
			}
			_, err = os.Stat(path)
			return err
		})
		if err != nil {
			return err
		}
	}
	return nil
})

// Build builds the program at path, with flags for go build.
func Build(path string, flags ...string) error {
	args := append([]string{"build", "-ldflags=-s -w", "-o", path}, flags...)
	out, err := exec.Command("go", append(args, "coldbatch/cmd/coldbatch")...).CombinedOutput()
	if err != nil {
		return fmt.Errorf("go build: %w\n%s", err, out)
	}
	return nil
}

// FreePort returns a port that no program uses. It is below those that a system gives
// out by itself (32768 and up on Linux), so that it is still free when the program is
// started again on it.
func FreePort(t testing.TB) int {
	t.Helper()
	for range 100 {
		port := 12_000 + rand.IntN(20_000)
		if l, err := net.Listen("tcp", fmt.Sprintf(":%d", port)); err == nil {
			l.Close()
			return port
		}
	}
	t.Fatal("no port is free")
	return 0
}

// WaitUntilUp waits until the program at url answers.
func WaitUntilUp(url string) (err error) {
	for end := time.Now().Add(WaitTimeout); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		var r *http.Response
		if r, err = http.Get(url + "/healthz"); err == nil {
			r.Body.Close()
			return nil
		}
	}
	return err
}

// WaitUntil waits until the condition is true.
func WaitUntil(t testing.TB, what string, isTrue func() bool) {
	t.Helper()
	for end := time.Now().Add(WaitTimeout); !isTrue(); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("not in %v: %s", WaitTimeout, what)
		}
	}
}
