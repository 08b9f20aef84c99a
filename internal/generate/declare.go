package main

import (
	"fmt"
	"go/constant"
	"go/types"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// declareTypes writes the TypeScript declarations of the core's calls, of the views that
// they return and of the bodies of facts, with the comments of the Go code.
func (s *loadedSource) declareTypes() ([]byte, error) {
	bodies, err := s.factBodies()
	if err != nil {
		return nil, err
	}
	d := &typeNamer{loadedSource: s, names: map[*types.TypeName]string{}}
	var b strings.Builder
	b.WriteString("// Types of the calls that the page makes, written from the Go code by go generate.\n\n")
	b.WriteString("/** Calls names each call of the core, what it takes and what it returns. */\nexport interface Calls {\n")
	if err := d.declareCalls(&b, corePath); err != nil {
		return nil, err
	}
	b.WriteString("}\n\n/** ExtraCalls are the calls of the program that few screens need. */\nexport interface ExtraCalls {\n")
	if err := d.declareCalls(&b, extraPath); err != nil {
		return nil, err
	}
	b.WriteString("}\n\n/** Bodies names each kind of fact and its body. */\nexport interface Bodies {\n")
	for _, f := range bodies {
		body, err := d.typeOf(f.body)
		if err != nil {
			return nil, fmt.Errorf("the body of kind %s cannot be written as JSON: %w", f.kind, err)
		}
		fmt.Fprintf(&b, "  %s: %s;\n", quote(f.kind), body)
	}
	b.WriteString("}\n\n/** FactDraft is a draft of a fact, with the body of its kind. */\nexport type FactDraft = {\n" +
		"  [Kind in keyof Bodies]: Omit<Draft, 'kind' | 'body'> & { kind: Kind; body: Bodies[Kind] };\n}[keyof Bodies];\n")
	for _, a := range hubTypes {
		t, err := d.namedType(a.path, a.goName)
		if err != nil {
			return nil, err
		}
		d.nameOf(t)
	}
	for len(d.undeclared) > 0 { // a type that is declared may name others
		t := d.undeclared[0]
		d.undeclared = d.undeclared[1:]
		if err := d.declareType(&b, t); err != nil {
			return nil, fmt.Errorf("type %s: %w", t.Obj().Name(), err)
		}
	}
	return []byte(b.String()), nil
}

// declareCalls writes the calls of a program, a line each.
func (d *typeNamer) declareCalls(b *strings.Builder, path string) error {
	calls, err := d.callsOf(path)
	if err != nil {
		return err
	}
	for _, c := range calls {
		args, err := d.typeOf(c.args)
		if err != nil {
			return fmt.Errorf("the arguments of call %s cannot be written as JSON: %w", c.name, err)
		}
		result, err := d.typeOf(c.result)
		if err != nil {
			return fmt.Errorf("the result of call %s cannot be written as JSON: %w", c.name, err)
		}
		fmt.Fprintf(b, "  %s: { args: %s; result: %s };\n", quote(c.name), args, result)
	}
	return nil
}

// hubTypes are the types that only the hub sends to the page, and further the fault that
// hub and core answer with, and the draft that FactDraft is made from.
var hubTypes = []struct{ path, goName string }{
	{"journal", "Draft"}, {"fault", "Fault"},
	{"api", "AboutAnswer"}, {"api", "JoinAnswer"}, {"api", "PairAnswer"}, {"api", "PhoneInfo"}, {"api", "Invitation"}, {"api", "QuarantinedFact"}, {"api", "FactCount"},
	{"web", "Network"},
}

// namedType returns a type by its package and its name.
func (s *loadedSource) namedType(path, goName string) (*types.Named, error) {
	if p := s.packages["coldbatch/internal/"+path]; p != nil {
		if t, ok := p.Scope().Lookup(goName).(*types.TypeName); ok {
			return t.Type().(*types.Named), nil
		}
	}
	return nil, fmt.Errorf("package %s has no type %s: correct hubTypes in internal/generate/declare.go", path, goName)
}

// typeNamer assigns names to types. undeclared are the types that have a name but no
// declaration yet.
type typeNamer struct {
	*loadedSource
	names      map[*types.TypeName]string
	undeclared []*types.Named
}

// typeOf returns the TypeScript type of the JSON of a value of type t.
func (d *typeNamer) typeOf(t types.Type) (string, error) {
	switch t := types.Unalias(t).(type) {
	case *types.Named:
		if t.Obj().Pkg() != nil && t.Obj().Pkg().Path() == "encoding/json" && t.Obj().Name() == "RawMessage" {
			return "unknown", nil
		}
		return d.nameOf(t), nil
	case *types.Basic:
		switch {
		case t.Info()&types.IsBoolean != 0:
			return "boolean", nil
		case t.Info()&types.IsNumeric != 0:
			return "number", nil
		case t.Info()&types.IsString != 0:
			return "string", nil
		}
	case *types.Pointer:
		return d.typeOf(t.Elem())
	case *types.Slice:
		return d.listOf(t.Elem())
	case *types.Array:
		return d.listOf(t.Elem())
	case *types.Map:
		value, err := d.typeOf(t.Elem())
		return "Record<string, " + value + ">", err
	case *types.Struct:
		return d.fieldsOf(t, " ", " ", false)
	case *types.Interface:
		return "unknown", nil
	}
	return "", fmt.Errorf("%s is not written as JSON", t)
}

func (d *typeNamer) listOf(t types.Type) (string, error) {
	if b, ok := t.Underlying().(*types.Basic); ok && b.Kind() == types.Byte {
		return "string", nil // base64
	}
	e, err := d.typeOf(t)
	if strings.ContainsAny(e, " |") {
		return "Array<" + e + ">", err
	}
	return e + "[]", err
}

// nameOf returns the declared name of a type: its own, capitalized, with its package in
// front where another package used the name first.
func (d *typeNamer) nameOf(t *types.Named) string {
	if name := d.names[t.Obj()]; name != "" {
		return name
	}
	name := capitalize(t.Obj().Name())
	for _, other := range d.names {
		if other == name {
			name = capitalize(t.Obj().Pkg().Name()) + name
			break
		}
	}
	d.names[t.Obj()] = name
	d.undeclared = append(d.undeclared, t)
	return name
}

func (d *typeNamer) declareType(b *strings.Builder, t *types.Named) error {
	b.WriteString("\n")
	writeComment(b, "", d.comments[t.Obj().Pos()])
	name := d.nameOf(t)
	if fields, ok := t.Underlying().(*types.Struct); ok && !hasMethod(t, "MarshalText") {
		text, err := d.fieldsOf(fields, "\n  ", "\n", true)
		fmt.Fprintf(b, "export interface %s %s\n", name, text)
		return err
	}
	text, err := "string", error(nil)
	if !hasMethod(t, "MarshalText") {
		if text = d.constantsOf(t); text == "" {
			text, err = d.typeOf(t.Underlying())
		}
	}
	fmt.Fprintf(b, "export type %s = %s;\n", name, text)
	return err
}

// openTexts are string types that have other values than their constants.
var openTexts = map[string]bool{"Scope": true}

// constantsOf returns the constants of a string type as a union, "" where it has none.
func (d *typeNamer) constantsOf(t *types.Named) string {
	if b, ok := t.Underlying().(*types.Basic); !ok || b.Info()&types.IsString == 0 || openTexts[t.Obj().Name()] {
		return ""
	}
	var values []string
	scope := t.Obj().Pkg().Scope()
	for _, name := range scope.Names() {
		if c, ok := scope.Lookup(name).(*types.Const); ok && types.Identical(c.Type(), t) {
			values = append(values, quote(constant.StringVal(c.Val())))
		}
	}
	slices.Sort(values)
	return strings.Join(slices.Compact(values), " | ")
}

// fieldsOf writes the fields of a struct that are in its JSON, including those of embedded
// structs; of two with the same name the outer one counts. before is written before each
// field, after behind the last one.
func (d *typeNamer) fieldsOf(t *types.Struct, before, after string, comments bool) (string, error) {
	var b strings.Builder
	b.WriteString("{")
	have := map[string]bool{}
	err := d.eachField(t, func(f *types.Var, name string, optional bool) error {
		if have[name] {
			return nil
		}
		have[name] = true
		text, err := d.typeOf(f.Type())
		if err != nil {
			return fmt.Errorf("%s: %w", f.Name(), err)
		}
		mark := ""
		if _, pointer := f.Type().(*types.Pointer); optional {
			mark = "?"
		} else if pointer {
			text += " | null"
		}
		if comments {
			writeComment(&b, before, d.comments[f.Pos()])
		}
		fmt.Fprintf(&b, "%s%s%s: %s;", before, name, mark, text)
		return nil
	})
	if len(have) > 0 {
		b.WriteString(after)
	}
	b.WriteString("}")
	return b.String(), err
}

// eachField calls do for the fields of a struct, then for those of embedded structs. A
// field is optional if JSON omits it when empty; in an argument it means that a page may
// leave it out.
func (d *typeNamer) eachField(t *types.Struct, do func(f *types.Var, name string, optional bool) error) error {
	var embedded []*types.Struct
	for i := range t.NumFields() {
		f := t.Field(i)
		name, options, _ := strings.Cut(reflect.StructTag(t.Tag(i)).Get("json"), ",")
		if inner, ok := f.Type().Underlying().(*types.Struct); ok && f.Embedded() && name == "" {
			embedded = append(embedded, inner)
			continue
		}
		if !f.Exported() || name == "-" {
			continue
		}
		if name == "" {
			name = f.Name()
		}
		if err := do(f, name, strings.Contains(options, "omit")); err != nil {
			return err
		}
	}
	for _, inner := range embedded {
		if err := d.eachField(inner, do); err != nil {
			return err
		}
	}
	return nil
}

func hasMethod(t *types.Named, name string) bool {
	m, _, _ := types.LookupFieldOrMethod(t, true, t.Obj().Pkg(), name)
	_, ok := m.(*types.Func)
	return ok
}

func writeComment(b *strings.Builder, before, text string) {
	if text != "" {
		b.WriteString(before + "/** " + strings.ReplaceAll(text, "*/", "* /") + " */")
		if before == "" {
			b.WriteString("\n")
		}
	}
}

func capitalize(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// quote writes a text as JavaScript does; Go's own quoting differs only in the mark.
func quote(s string) string {
	return "'" + strings.ReplaceAll(strings.Trim(strconv.Quote(s), `"`), "'", `\'`) + "'"
}
