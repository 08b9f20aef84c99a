package main

import (
	"fmt"
	"go/constant"
	"go/types"
	"slices"
	"strings"

	"coldbatch/internal/sheet"
)

// sharedConstants are the constants of the core that the page needs too: their name there,
// their package and their name in Go.
var sharedConstants = []struct{ name, path, goName string }{
	{"clockSlack", "journal", "ClockSlack"},
	{"maxAhead", "journal", "MaxAhead"},
	{"maxPieces", "journal", "MaxPieces"},
	{"maxBlanks", "batch", "MaxBlanks"},
	{"maxFacts", "exchange", "MaxFacts"},
	{"maxPhotoBytes", "journal", "MaxPhotoBytes"},
	{"maxQuarantined", "exchange", "MaxQuarantined"},
}

// writeForPage returns the files that the page's modules import from dist, by name:
// the shared constants, and the types for the type checker.
func writeForPage() (map[string][]byte, error) {
	s, err := loadSource()
	if err != nil {
		return nil, err
	}
	constants, err := s.writeConstants()
	if err != nil {
		return nil, err
	}
	declarations, err := s.declareTypes()
	return map[string][]byte{"constants.js": constants, "calls.d.ts": declarations}, err
}

// writeConstants writes the shared constants as a module.
func (s *loadedSource) writeConstants() ([]byte, error) {
	var b strings.Builder
	b.WriteString("// Constants that the page shares with the core, made from its Go code by go generate.\n")
	for _, c := range sharedConstants {
		p := s.packages["coldbatch/internal/"+c.path]
		if p == nil {
			return nil, fmt.Errorf("the phone's core has no package %s, which constant %s belongs to", c.path, c.name)
		}
		value, ok := p.Scope().Lookup(c.goName).(*types.Const)
		if !ok {
			return nil, fmt.Errorf("package %s has no constant %s: correct sharedConstants in internal/generate/page.go", c.path, c.goName)
		}
		b.WriteString("\n")
		writeComment(&b, "", strings.Replace(s.comments[value.Pos()], c.goName, c.name, 1))
		fmt.Fprintf(&b, "export const %s = %s;\n", c.name, value.Val().ExactString())
	}
	fmt.Fprintf(&b, "\n/** clothEdge is the outline of a swatch, %g wide and %g high, as an SVG path. */\nexport const clothEdge = %s;\n",
		swatchWidth, swatchHeight, quote(svgPath(sheet.PinkedEdge(0, 0, swatchWidth, swatchHeight, 9))))
	kinds, err := s.kindConstants()
	if err != nil {
		return nil, err
	}
	b.WriteString("\n/** Kind names the kinds of fact. */\nexport const Kind = /** @type {const} */ ({\n")
	for _, k := range kinds {
		name := strings.TrimPrefix(k.Name(), "Kind")
		fmt.Fprintf(&b, "  %s: %s,\n", strings.ToLower(name[:1])+name[1:], quote(constant.StringVal(k.Val())))
	}
	b.WriteString("});\n")
	return []byte(b.String()), nil
}

// The size of a swatch's drawing on the screen.
const swatchWidth, swatchHeight = 72.0, 60.0

// svgPath writes a closed outline as an SVG path.
func svgPath(outline []sheet.Point) string {
	var b strings.Builder
	for i, p := range outline {
		fmt.Fprintf(&b, "%c%.4g %.4g", "ML"[min(i, 1)], p.X, p.Y)
	}
	return b.String() + "z"
}

// kindConstants returns the constants of package journal that name a kind of fact, in the
// order of their names.
func (s *loadedSource) kindConstants() (found []*types.Const, err error) {
	bodies, err := s.factBodies()
	if err != nil {
		return nil, err
	}
	scope := s.packages["coldbatch/internal/journal"].Scope()
	for _, name := range scope.Names() {
		c, ok := scope.Lookup(name).(*types.Const)
		if !ok || !strings.HasPrefix(name, "Kind") || c.Val().Kind() != constant.String {
			continue
		}
		if slices.ContainsFunc(bodies, func(b factBody) bool { return b.kind == constant.StringVal(c.Val()) }) {
			found = append(found, c)
		}
	}
	if len(found) != len(bodies) {
		return nil, fmt.Errorf("package journal has %d kinds of fact and %d constants that name one: give each kind a constant Kind…", len(bodies), len(found))
	}
	return found, nil
}
