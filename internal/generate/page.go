package main

import (
	"fmt"
	"go/types"
	"strings"
)

// shared are the constants of the core that the page needs too: their name there,
// their package and their name in Go.
var shared = []struct{ name, path, goName string }{
	{"clockSlack", "journal", "ClockSlack"},
	{"maxPieces", "journal", "MaxPieces"},
	{"maxBlanks", "batch", "MaxBlanks"},
	{"maxFacts", "exchange", "MaxFacts"},
	{"maxQuarantined", "exchange", "MaxQuarantined"},
}

// writeForPage gives the files that the page's modules import from dist, by name:
// constants to run with, and types to be checked against.
func writeForPage() (map[string][]byte, error) {
	s, err := loadSource()
	if err != nil {
		return nil, err
	}
	constants, err := s.writeConstants()
	if err != nil {
		return nil, err
	}
	declarations, err := s.declare()
	return map[string][]byte{"constants.js": constants, "calls.d.ts": declarations}, err
}

// writeConstants writes the shared constants as a module.
func (s *source) writeConstants() ([]byte, error) {
	var b strings.Builder
	b.WriteString("// Constants that the page shares with the core, made from its Go code by go generate.\n")
	for _, c := range shared {
		p := s.packages["coldbatch/internal/"+c.path]
		if p == nil {
			return nil, fmt.Errorf("the phone's core has no package %s, which constant %s is of", c.path, c.name)
		}
		value, ok := p.Scope().Lookup(c.goName).(*types.Const)
		if !ok {
			return nil, fmt.Errorf("package %s has no constant %s: mend the table in internal/generate/page.go", c.path, c.goName)
		}
		b.WriteString("\n")
		writeComment(&b, "", strings.Replace(s.comments[value.Pos()], c.goName, c.name, 1))
		fmt.Fprintf(&b, "export const %s = %s;\n", c.name, value.Val().ExactString())
	}
	return []byte(b.String()), nil
}
