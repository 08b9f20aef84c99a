package static

import (
	"os"
	"regexp"
	"testing"

	"coldbatch/internal/calc"
)

// The form of a calculator asks for the types of its inputs by name. A name that no input
// has would never be met: a choice would be a line of text.
func TestFormKnowsTheTypesOfInputs(t *testing.T) {
	types := map[string]bool{}
	for _, e := range calc.All() {
		for _, i := range e.Inputs {
			types[string(i.Type)] = true
		}
	}
	form, err := os.ReadFile("screens/sum.js")
	if err != nil {
		t.Fatal(err)
	}
	asked := regexp.MustCompile(`\.type [!=]== '(\w+)'`).FindAllSubmatch(form, -1)
	if len(asked) == 0 {
		t.Fatal("the form asks for no type")
	}
	for _, m := range asked {
		if !types[string(m[1])] {
			t.Errorf("the form asks for inputs of type %q, and there are %v", m[1], types)
		}
	}
}
