package static

import (
	"encoding/json"
	"io/fs"
	"maps"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// allowedImports lists, for each folder of modules, the other folders that it may import.
// The modules at the root start the app and may import all of them. All may import the
// constants in dist, which go generate makes.
var allowedImports = map[string][]string{
	"core":    {},
	"device":  {"core"},
	"journal": {"core", "device"},
	"sync":    {"core", "device", "journal"},
	"scan":    {"core", "device", "journal", "sync"},
	"labels":  {"core", "device", "journal", "sync"},
	"parts":   {"core", "device", "journal", "sync", "scan", "labels"},
	"fold":    {"core", "device", "journal", "sync", "parts"},
	"screens": {"core", "device", "journal", "sync", "scan", "labels", "parts", "fold"},
}

// rootModules are the only modules outside a folder: the page, the worker and the push
// that starts the app are found at fixed addresses; modules.js reaches into every folder.
var rootModules = []string{"boot.js", "main.js", "modules.js", "sw.js"}

var importPath = regexp.MustCompile(`(?m)(?:^import\s|^export\s[^;]*?\sfrom\s|\simport\()[^;'"]*['"]([^'"]+)['"]`)

// modules returns what each module of the app imports, by its path in this folder.
func modules(t *testing.T) map[string][]string {
	t.Helper()
	imports := map[string][]string{}
	err := fs.WalkDir(Files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(name) != ".js" || strings.HasPrefix(name, "dist/") || strings.HasPrefix(name, "vendor/") {
			return err
		}
		imports[name] = []string{}
		for _, m := range importPath.FindAllStringSubmatch(readFile(t, name), -1) {
			imports[name] = append(imports[name], m[1])
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return imports
}

// importMap returns the bare names that index.html returns to code of others.
func importMap(t *testing.T) map[string]string {
	t.Helper()
	_, rest, _ := strings.Cut(readFile(t, "index.html"), `<script type="importmap">`)
	text, _, _ := strings.Cut(rest, "</script>")
	var parsed struct{ Imports map[string]string }
	if err := json.Unmarshal([]byte(text), &parsed); err != nil {
		t.Fatalf("index.html: import map: %v", err)
	}
	return parsed.Imports
}

func folderOf(name string) string {
	folder, _, ok := strings.Cut(name, "/")
	if !ok {
		return ""
	}
	return folder
}

// Imports go from screens to parts to the folders by role, and are relative: a module
// can be moved with its folder, and read from the bottom up.
func TestImportsFollowTheFolders(t *testing.T) {
	vendor := importMap(t)
	for name, imports := range modules(t) {
		from := folderOf(name)
		allowed, known := allowedImports[from]
		switch {
		case from == "" && !slices.Contains(rootModules, name):
			t.Errorf("static/%s lies at the root: move it into the folder of its role (%s)", name, strings.Join(slices.Sorted(maps.Keys(allowedImports)), ", "))
		case from != "" && !known:
			t.Errorf("static/%s lies in a new folder: add %q to mayImport in imports_test.go and say what it may import", name, from)
		}
		for _, spec := range imports {
			if !strings.HasPrefix(spec, ".") {
				if vendor[spec] == "" {
					t.Errorf("static/%s imports %q: write a relative path (./ or ../), or a name of the import map in index.html", name, spec)
				}
				continue
			}
			to := folderOf(path.Join(path.Dir(name), spec))
			if to == "dist" { // generated constants, for every module
				continue
			}
			if from != "" && to != from && !slices.Contains(allowed, to) {
				t.Errorf("static/%s imports %s: %s may import %s only. Move what both need down into one of those, or hand it in as an argument",
					name, spec, from, strings.Join(append(slices.Clone(allowed), from), ", "))
			}
		}
	}
}

// No module imports itself by way of others: in a cycle nothing can be read, tested or
// started alone.
func TestNoImportCycles(t *testing.T) {
	imports := modules(t)
	const visiting, done = 1, 2
	state := map[string]int{}
	var visit func(name string, trail []string)
	visit = func(name string, trail []string) {
		trail = append(trail, name)
		switch state[name] {
		case visiting:
			at := slices.Index(trail, name)
			t.Errorf("import cycle: %s. Move what two of them share into a module of its own", strings.Join(trail[at:], " → "))
			return
		case done:
			return
		}
		state[name] = visiting
		for _, spec := range imports[name] {
			if strings.HasPrefix(spec, ".") {
				visit(path.Join(path.Dir(name), spec), trail)
			}
		}
		state[name] = done
	}
	for _, name := range slices.Sorted(maps.Keys(imports)) {
		visit(name, nil)
	}
}
