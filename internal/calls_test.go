package internal_test

import (
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var (
	coreCall = regexp.MustCompile(`"([a-zA-Z.]+)":\s*(?:jsonCall|onBytes|calltable\.JSON|calltable\.OnBytes)\(`)
	pageCall = regexp.MustCompile(`\b(?:call|callExtra)(?:WithBytes)?\(\s*'([^']+)'`)
)

// Every call that a module of the app makes is in a table of cmd/phonecore or cmd/phoneextra; every call in a
// table is made by a module, and DEVELOPERS.md lists it.
func TestModulesMakeTheCallsOfTheCore(t *testing.T) {
	inCore := namesIn(t, "../cmd/phonecore", ".go", coreCall)
	maps.Copy(inCore, namesIn(t, "../cmd/phoneextra", ".go", coreCall))
	inPage := namesIn(t, "../static", ".js", pageCall)
	if len(inCore) < 20 {
		t.Fatalf("only %d calls were found in cmd/phonecore", len(inCore))
	}
	for name, file := range inPage {
		if _, ok := inCore[name]; !ok {
			t.Errorf("%s calls %q, which no table of cmd/phonecore has: rename the call, or add it to a table", file, name)
		}
	}
	manual, err := os.ReadFile("../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	for name, file := range inCore {
		if !strings.Contains(string(manual), "`"+name+"`") {
			t.Errorf("the table of calls in DEVELOPERS.md lacks `%s`", name)
		}
		if _, ok := inPage[name]; !ok {
			t.Errorf("%s has the call %q, which no module makes: remove it", file, name)
		}
	}
}

// namesIn returns what pattern finds in the files of a folder that end in ext, each with a
// file that has it. It skips generated files, the code of others, and tests.
func namesIn(t *testing.T, folder, ext string, pattern *regexp.Regexp) map[string]string {
	t.Helper()
	found := map[string]string{}
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (d.Name() == "dist" || d.Name() == "vendor"):
			return filepath.SkipDir
		case d.IsDir() || filepath.Ext(path) != ext || strings.HasSuffix(path, "_test.go"):
			return nil
		}
		text, err := os.ReadFile(path)
		for _, m := range pattern.FindAllStringSubmatch(string(text), -1) {
			found[m[1]] = path
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}
