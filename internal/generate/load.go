package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// loadedSource is the type-checked Go code that communicates with the page: its packages by
// import path, the types of all their expressions, and the comment of each declaration by
// the position of its name.
type loadedSource struct {
	packages map[string]*types.Package
	files    map[string][]*ast.File // by import path
	info     *types.Info
	comments map[token.Pos]string
}

// corePath and extraPath are the packages with the calls that the page makes; hubPaths are
// the packages that answer its requests.
const (
	corePath  = "coldbatch/cmd/phonecore"
	extraPath = "coldbatch/cmd/phoneextra"
)

var hubPaths = []string{"coldbatch/internal/api", "coldbatch/internal/web"}

// loadSource reads and type-checks corePath, extraPath and hubPaths, with all packages of this module
// that they import. Of other packages it reads only the export data.
func loadSource() (*loadedSource, error) {
	listed, err := listPackages()
	if err != nil {
		return nil, err
	}
	fset := token.NewFileSet()
	s := &loadedSource{packages: map[string]*types.Package{}, files: map[string][]*ast.File{}, comments: map[token.Pos]string{},
		info: &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Uses: map[*ast.Ident]types.Object{}}}
	exports := map[string]string{}
	compiled := importer.ForCompiler(fset, "gc", func(path string) (io.ReadCloser, error) { return os.Open(exports[path]) })
	check := types.Config{Importer: importFunc(func(path string) (*types.Package, error) {
		if p := s.packages[path]; p != nil {
			return p, nil
		}
		return compiled.Import(path)
	})}
	for _, p := range listed { // go list prints a package after those that it imports
		if !strings.HasPrefix(p.ImportPath, "coldbatch/") {
			exports[p.ImportPath] = p.Export
			continue
		}
		files, err := parseFiles(fset, p.Dir, p.GoFiles)
		if err != nil {
			return nil, err
		}
		s.files[p.ImportPath] = files
		if s.packages[p.ImportPath], err = check.Check(p.ImportPath, fset, files, s.info); err != nil {
			return nil, err
		}
		for _, f := range files {
			s.readComments(f)
		}
	}
	return s, nil
}

// listedPackage is one package as `go list` prints it.
type listedPackage struct {
	ImportPath, Dir, Export string
	GoFiles                 []string
}

func listPackages() ([]listedPackage, error) {
	cmd := exec.Command("go", append([]string{"list", "-export", "-deps", "-json=ImportPath,Dir,Export,GoFiles", corePath, extraPath}, hubPaths...)...)
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("listing the packages that communicate with the page: %w", err)
	}
	var all []listedPackage
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listedPackage
		switch err := d.Decode(&p); {
		case errors.Is(err, io.EOF):
			return all, nil
		case err != nil:
			return nil, fmt.Errorf("reading the list of the packages that communicate with the page: %w", err)
		}
		all = append(all, p)
	}
}

func parseFiles(fset *token.FileSet, dir string, names []string) (files []*ast.File, err error) {
	for _, name := range names {
		f, err := parser.ParseFile(fset, filepath.Join(dir, name), nil, parser.ParseComments|parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		files = append(files, f)
	}
	return files, nil
}

type importFunc func(path string) (*types.Package, error)

func (f importFunc) Import(path string) (*types.Package, error) { return f(path) }

// readComments stores the comments of types, constants and fields of f.
func (s *loadedSource) readComments(f *ast.File) {
	note := func(names []*ast.Ident, groups ...*ast.CommentGroup) {
		for _, g := range groups {
			text := strings.Join(strings.Fields(g.Text()), " ")
			for _, n := range names {
				if text != "" && s.comments[n.Pos()] == "" {
					s.comments[n.Pos()] = text
				}
			}
		}
	}
	ast.Inspect(f, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.GenDecl:
			for _, spec := range n.Specs {
				switch spec := spec.(type) {
				case *ast.TypeSpec:
					note([]*ast.Ident{spec.Name}, spec.Doc, n.Doc, spec.Comment)
				case *ast.ValueSpec:
					note(spec.Names, spec.Doc, spec.Comment)
					if len(n.Specs) == 1 {
						note(spec.Names, n.Doc)
					}
				}
			}
		case *ast.Field:
			note(n.Names, n.Doc, n.Comment)
		}
		return true
	})
}
