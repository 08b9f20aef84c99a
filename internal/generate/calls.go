package main

import (
	"fmt"
	"go/ast"
	"go/constant"
	"go/types"
	"maps"
	"slices"
)

// coreCall is one call that the page can make: its name and the types of its arguments
// and result.
type coreCall struct {
	name         string
	args, result types.Type
}

// callsOf returns the entries of all tables of calls in a program for the phone, sorted by
// name. Each entry has the form `"name": on(function)`.
func (s *loadedSource) callsOf(path string) ([]coreCall, error) {
	byName := map[string]coreCall{}
	for entry := range s.entries(path, "callTable") {
		name := s.info.Types[entry.Key].Value
		made, ok := entry.Value.(*ast.CallExpr)
		if name == nil || !ok || len(made.Args) != 1 {
			return nil, fmt.Errorf("an entry of a table of calls is not `\"name\": on(function)`")
		}
		f, ok := s.info.Types[made.Args[0]].Type.(*types.Signature)
		takesBytes := ok && f.Params().Len() == 2 && f.Results().Len() == 3 // onBytes
		if !ok || !takesBytes && (f.Params().Len() != 1 || f.Results().Len() != 2) {
			return nil, fmt.Errorf("call %s is not a function of one argument, and maybe bytes, with a result and an error", name)
		}
		c := coreCall{constant.StringVal(name), f.Params().At(0).Type(), f.Results().At(0).Type()}
		byName[c.name] = c
	}
	if len(byName) == 0 {
		return nil, fmt.Errorf("%s has no tables of calls", path)
	}
	var sorted []coreCall
	for _, name := range slices.Sorted(maps.Keys(byName)) {
		sorted = append(sorted, byName[name])
	}
	return sorted, nil
}

// factBody is the body of one kind of fact.
type factBody struct {
	kind string
	body types.Type
}

// factBodies returns the kinds of fact in the order of their table in package journal. An
// entry there names its kind, and the type of its body in the call bodyOf[T]().
func (s *loadedSource) factBodies() ([]factBody, error) {
	const journal = "coldbatch/internal/journal"
	var found []factBody
	for _, f := range s.files[journal] {
		ast.Inspect(f, func(n ast.Node) bool {
			entry, ok := n.(*ast.CompositeLit)
			if !ok || !isNamed(s.info.Types[entry].Type, journal, "Kind") {
				return true
			}
			var b factBody
			ast.Inspect(entry, func(n ast.Node) bool {
				switch n := n.(type) {
				case *ast.IndexExpr:
					if called, ok := n.X.(*ast.Ident); ok && called.Name == "bodyOf" {
						b.body = s.info.Types[n.Index].Type
					}
				case ast.Expr:
					if v := s.info.Types[n].Value; v != nil && v.Kind() == constant.String && b.kind == "" {
						b.kind = constant.StringVal(v) // the first text of an entry is its name
					}
				}
				return true
			})
			if b.kind != "" && b.body != nil {
				found = append(found, b)
			}
			return false
		})
	}
	if len(found) == 0 {
		return nil, fmt.Errorf("%s has no table of kinds", journal)
	}
	return found, nil
}

// entries yields the keyed entries of all composite literals of a named type.
func (s *loadedSource) entries(path, name string) func(yield func(*ast.KeyValueExpr) bool) {
	return func(yield func(*ast.KeyValueExpr) bool) {
		for _, f := range s.files[path] {
			for n := range ast.Preorder(f) {
				literal, ok := n.(*ast.CompositeLit)
				if !ok || !isNamed(s.info.Types[literal].Type, path, name) {
					continue
				}
				for _, e := range literal.Elts {
					if kv, ok := e.(*ast.KeyValueExpr); ok && !yield(kv) {
						return
					}
				}
			}
		}
	}
}

func isNamed(t types.Type, path, name string) bool {
	n, ok := t.(*types.Named)
	return ok && n.Obj().Pkg() != nil && n.Obj().Pkg().Path() == path && n.Obj().Name() == name
}
