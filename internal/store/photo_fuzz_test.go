package store

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Whatever a phone sends as a photo and as its name: either it is refused and nothing is
// stored, or it is one file below the folder of photos, and is read again as it was sent.
func FuzzPhoto(f *testing.F) {
	hash, b := fakeJPEG(1, 100)
	f.Add(hash, b)
	f.Add(strings.ToUpper(hash), b)
	f.Add("../../"+hash, b)
	f.Add(hash[:62]+"/.", b)
	f.Add("", []byte("<svg>"))
	home := f.TempDir()
	f.Fuzz(func(t *testing.T, name string, b []byte) {
		dir := filepath.Join(home, "photos")
		if err := os.RemoveAll(dir); err != nil {
			t.Fatal(err)
		}
		p := NewPhotos(dir)
		err := p.Put(name, b)
		if real := hashOf(b); err != nil && p.Put(real, b) == nil {
			name, err = real, nil // its right name, so that most inputs are stored
		}
		got, readErr := p.Get(name)
		var stored []string
		if err := filepath.WalkDir(home, func(path string, d fs.DirEntry, err error) error {
			if err == nil && !d.IsDir() {
				stored = append(stored, path)
			}
			return err
		}); err != nil {
			t.Fatal(err)
		}
		switch {
		case err != nil && (readErr == nil || len(stored) > 0):
			t.Errorf("%q was refused (%v), and there is %q", name, err, stored)
		case err == nil && (readErr != nil || string(got) != string(b)):
			t.Errorf("%q is read as %d bytes of %d, %v", name, len(got), len(b), readErr)
		case err == nil && (len(stored) != 1 || stored[0] != filepath.Join(dir, name[:2], name)):
			t.Errorf("%q is stored as %q", name, stored)
		}
	})
}
