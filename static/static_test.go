package static

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"path"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// The code of others is what was published: every file under vendor has its sum
// in SHA256SUMS, every sum its file, and README.md names origin, version and
// licence of every folder.
func TestVendorIsWhatWasPublished(t *testing.T) {
	want := map[string]string{}
	for _, line := range strings.Split(strings.TrimSpace(readFile(t, "vendor/SHA256SUMS")), "\n") {
		sum, name, ok := strings.Cut(line, "  ")
		if !ok {
			t.Fatalf("SHA256SUMS: %q is not a sum and a name", line)
		}
		want[name] = sum
	}
	readme := readFile(t, "vendor/README.md")
	err := fs.WalkDir(Files, "vendor", func(name string, d fs.DirEntry, err error) error {
		short := strings.TrimPrefix(name, "vendor/")
		switch {
		case err != nil || name == "vendor" || short == "SHA256SUMS" || short == "README.md":
			return err
		case d.IsDir():
			if pkg, version, _ := strings.Cut(short, "@"); !strings.Contains(readme, "`"+short+"`") || !strings.Contains(readme, "| "+version+" |") {
				t.Errorf("vendor/README.md says nothing of %s %s", pkg, version)
			}
			return nil
		}
		sum := sha256.Sum256([]byte(readFile(t, name)))
		if got := hex.EncodeToString(sum[:]); got != want[short] {
			t.Errorf("%s has sum %s, SHA256SUMS says %q", name, got, want[short])
		}
		delete(want, short)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for name := range want {
		t.Errorf("%s stands in SHA256SUMS and is not there", name)
	}
}

// What the page asks for is there: a path in the import map or a link that is
// misspelt would show only in a browser.
func TestPageNamesFilesThatExist(t *testing.T) {
	for _, from := range []string{"index.html", "manifest.webmanifest"} {
		for _, quoted := range strings.Split(readFile(t, from), `"`) {
			if !strings.HasPrefix(quoted, "/") || path.Ext(quoted) == "" {
				continue
			}
			if _, err := fs.Stat(Files, quoted[1:]); err != nil {
				t.Errorf("%s names %s, which is not there", from, quoted)
			}
		}
	}
}

// Each module is one screen, one part or one role: past 12 kB it is split. What it
// imports is there; in a browser a missing one stops the whole app.
func TestModulesAreSmallAndComplete(t *testing.T) {
	for name, imports := range modules(t) {
		if size := len(readFile(t, name)); size > 12<<10 {
			t.Errorf("static/%s has %d bytes, more than 12 kB: split it by role", name, size)
		}
		for _, spec := range imports {
			if !strings.HasPrefix(spec, ".") {
				continue
			}
			if _, err := fs.Stat(Files, path.Join(path.Dir(name), spec)); err != nil {
				t.Errorf("static/%s imports %s, which is not there: correct the path", name, spec)
			}
		}
	}
}

// Every module in screens is a screen of the app, and every module says at its top what it
// is for.
func TestScreensAreRegistered(t *testing.T) {
	registered := modules(t)["screens/index.js"]
	for name := range modules(t) {
		if path.Dir(name) == "screens" && name != "screens/index.js" && !slices.Contains(registered, "./"+path.Base(name)) {
			t.Errorf("static/%s is no screen of the app: import it in static/screens/index.js and give it a line in routes there", name)
		}
		if !strings.HasPrefix(readFile(t, name), "//") {
			t.Errorf("static/%s: begin it with a comment on its purpose", name)
		}
	}
}

// Lines of a module fit on a screen beside another: they have at most 120 characters.
// Biome leaves markup in templates as it is, so this looks at every line.
func TestLinesAreShort(t *testing.T) {
	err := fs.WalkDir(Files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() && (name == "vendor" || name == "dist") {
			return cmp.Or(err, fs.SkipDir)
		}
		if path.Ext(name) != ".js" {
			return nil
		}
		for i, line := range strings.Split(readFile(t, name), "\n") {
			if n := utf8.RuneCountInString(line); n > 120 {
				t.Errorf("static/%s:%d has %d characters, more than 120: break the line", name, i+1, n)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

func readFile(t *testing.T, name string) string {
	t.Helper()
	b, err := Files.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
