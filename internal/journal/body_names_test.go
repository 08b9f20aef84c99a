package journal

import (
	"reflect"
	"strings"
	"testing"
)

// The hub refuses a fact in which a name of a field has capital letters, since readers of
// JSON differ in whether they tell them apart: no body may have one.
func TestFieldsOfBodiesAreLowerCase(t *testing.T) {
	for _, k := range Kinds {
		checkFieldNames(t, k.Name, reflect.TypeOf(k.NewBody()))
	}
}

func checkFieldNames(t *testing.T, path string, of reflect.Type) {
	t.Helper()
	for of.Kind() == reflect.Pointer || of.Kind() == reflect.Slice {
		of = of.Elem()
	}
	if of.Kind() != reflect.Struct {
		return
	}
	for f := range of.Fields() {
		name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if name != strings.ToLower(name) || name == "" && !f.Anonymous && f.IsExported() {
			t.Errorf("%s: the field %s is called %q in JSON: write it in lower case, such as on_cloth", path, f.Name, name)
		}
		checkFieldNames(t, path+"."+f.Name, f.Type)
	}
}
