package internal_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"coldbatch/internal/journal"
)

// A kind of fact is written by its constant, so that the table of kinds is the one place
// where its name stands: in Go journal.Kind…, in JavaScript Kind.… of the generated
// dist/constants.js.
func TestKindsAreConstants(t *testing.T) {
	quoted := regexp.MustCompile("['\"`]([a-z-]+\\.[a-z.-]+)['\"`]")
	for _, root := range []string{"../internal", "../cmd", "../static"} {
		err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
			switch {
			case err != nil:
				return err
			case d.IsDir() && (d.Name() == "vendor" || d.Name() == "dist" || d.Name() == "node_modules"):
				return fs.SkipDir
			case d.IsDir() || strings.HasSuffix(path, "journal/kind_table.go") || strings.Contains(path, "internal/generate/"):
				return nil
			}
			switch filepath.Ext(path) {
			case ".go":
				return goKinds(t, path)
			case ".js":
				text, err := os.ReadFile(path)
				if err != nil {
					return err
				}
				for _, m := range quoted.FindAllStringSubmatch(string(text), -1) {
					if _, isKind := journal.FindKind(m[1]); isKind {
						t.Errorf("%s has the kind of fact %q as text: import Kind from dist/constants.js", path, m[1])
					}
				}
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

func goKinds(t *testing.T, path string) error {
	files := token.NewFileSet()
	file, err := parser.ParseFile(files, path, nil, 0)
	if err != nil {
		return err
	}
	for n := range ast.Preorder(file) {
		literal, ok := n.(*ast.BasicLit)
		if !ok || literal.Kind != token.STRING {
			continue
		}
		value, err := strconv.Unquote(literal.Value)
		if err != nil {
			return err
		}
		if _, isKind := journal.FindKind(value); isKind {
			t.Errorf("%s has the kind of fact %q as text: use the constant of package journal", files.Position(literal.Pos()), value)
		}
	}
	return nil
}
