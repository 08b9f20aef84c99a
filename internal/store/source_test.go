package store

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// bbolt can be told to be faster and lose what it acknowledged. No such option appears anywhere
// in the program's source, whether set or not.
func TestNothingSkipsSync(t *testing.T) {
	words := []string{"No" + "Sync", "NoGrow" + "Sync", "NoFreelist" + "Sync"}
	files := 0
	err := filepath.WalkDir(filepath.Join("..", ".."), func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") {
			return err
		}
		files++
		b, err := os.ReadFile(path)
		for _, w := range words {
			if strings.Contains(string(b), w) {
				t.Errorf("%s names %s", path, w)
			}
		}
		return err
	})
	if err != nil || files < 20 {
		t.Errorf("%d files looked at: %v", files, err)
	}
}
