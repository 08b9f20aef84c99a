package static

import (
	"os/exec"
	"path/filepath"
	"testing"

	"coldbatch/internal/need"
)

// Modules, and screens on a stand-in for the page, are tested under Node: testdata/javascript/*.test.mjs.
func TestModulesUnderNode(t *testing.T) {
	node := need.Program(t, "node")
	files, err := filepath.Glob("../testdata/javascript/*.test.mjs")
	if err != nil || len(files) == 0 {
		t.Fatalf("no tests are there: %v", err)
	}
	if out, err := exec.Command(node, append([]string{"--test", "--test-concurrency=2"}, files...)...).CombinedOutput(); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}
