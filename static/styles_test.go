package static

import (
	"cmp"
	"io/fs"
	"maps"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"
)

var (
	literalClass = regexp.MustCompile(`\bclass=["']([^"'$]+)["']`)
	cssClass     = regexp.MustCompile(`\.([a-zA-Z][\w-]*)`)
	variableSet  = regexp.MustCompile(`(--[a-z][\w-]*)['"]?:`)
	variableUsed = regexp.MustCompile(`var\((--[\w-]+)`)
	cssComment   = regexp.MustCompile(`(?s)/\*.*?\*/`)
)

// readStylesAndCode returns all styles as one text, and all modules by their names.
func readStylesAndCode(t *testing.T) (styles string, modules map[string]string) {
	t.Helper()
	modules = map[string]string{}
	err := fs.WalkDir(Files, ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil || d.IsDir() && (name == "dist" || name == "vendor"):
			return cmp.Or(err, fs.SkipDir)
		case path.Ext(name) == ".css":
			styles += cssComment.ReplaceAllString(readFile(t, name), "")
		case path.Ext(name) == ".js":
			modules[name] = readFile(t, name)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return styles, modules
}

// A class that only a style or only a screen has was renamed in one place and not in the other.
func TestClassesHaveStyles(t *testing.T) {
	styles, modules := readStylesAndCode(t)
	known := map[string]bool{}
	for _, m := range cssClass.FindAllStringSubmatch(styles, -1) {
		known[m[1]] = true
	}
	delete(known, "woff2")
	code := ""
	for name, text := range modules {
		code += text
		for _, m := range literalClass.FindAllStringSubmatch(text, -1) {
			for _, class := range strings.Fields(m[1]) {
				if !known[class] {
					t.Errorf("static/%s has the class %q, which no style has: is it called something else there?", name, class)
				}
			}
		}
	}
	for class := range known {
		isComposed := strings.HasPrefix(class, "tone-") || strings.HasPrefix(class, "is-")
		if !isComposed && !strings.Contains(code, class) {
			t.Errorf("no screen has the class %q of the styles", class)
		}
	}
}

// The same for the variables of styles.
func TestStyleVariablesAreUsed(t *testing.T) {
	styles, modules := readStylesAndCode(t)
	set, used := map[string]bool{}, map[string]bool{}
	for _, text := range append(slices.Collect(maps.Values(modules)), styles) {
		for _, m := range variableSet.FindAllStringSubmatch(text, -1) {
			set[m[1]] = true
		}
		for _, m := range variableUsed.FindAllStringSubmatch(text, -1) {
			used[m[1]] = true
		}
	}
	for name := range set {
		if !used[name] {
			t.Errorf("%s is set and never used", name)
		}
	}
	for name := range used {
		if !set[name] {
			t.Errorf("%s is used and never set", name)
		}
	}
}
