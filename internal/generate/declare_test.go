package main

import (
	"strings"
	"testing"
)

// A declaration must say what encoding/json writes: names of fields from their tags,
// those of embedded structs among the others, the outer of two with one name, lists,
// and what may be missing.
func TestDeclare(t *testing.T) {
	s, err := loadSource()
	if err != nil {
		t.Fatal(err)
	}
	text, err := s.declareTypes()
	if err != nil {
		t.Fatal(err)
	}
	for why, want := range map[string]string{
		"a call, its arguments and its result":        "  'about': { args: {}; result: CoreInfo };\n",
		"a result that is a list":                     "  'id.new': { args: { n: number; }; result: ID[] };\n",
		"a kind of fact and its body":                 "  'bag.closed': BagClosed;\n",
		"a kind that Go names by a constant":          "  'fact.withdrawn': FactTarget;\n",
		"a field that is left out when it is empty":   "\n  letter?: string;\n",
		"a pointer that is always written":            "\n  cursor: Cursor | null;\n",
		"a map":                                       "\n  places: Record<string, PlaceState>;\n",
		"a text with a method of its own":             "\nexport type Stamp = string;\n",
		"a text with constants":                       "\nexport type System = 'metric' | 'us';\n",
		"a field of an embedded struct":               "\n  typed?: Record<string, string>;\n",
		"an outer field in the place of an inner one": "\n  /** SVG */\n  pages: string[];\n",
		"the comment of a field":                      "\n  /** \"18 °C, 40 min ago\" */\n",
	} {
		if !strings.Contains(string(text), want) {
			t.Errorf("%s: the declarations have no %q", why, want)
		}
	}
	if strings.Contains(string(text), "raw:") {
		t.Error("a field that is not exported is declared")
	}
}

// A shared constant has the value it has in Go.
func TestWriteConstants(t *testing.T) {
	s, err := loadSource()
	if err != nil {
		t.Fatal(err)
	}
	text, err := s.writeConstants()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"\nexport const clockSlack = 120000;\n", "\n  bagClosed: 'bag.closed',\n"} {
		if !strings.Contains(string(text), want) {
			t.Errorf("the constants have no %q:\n%s", want, text)
		}
	}
}
