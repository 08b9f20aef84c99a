// Package internal_test proves the shape of the program: which package may
// import which.
package internal_test

import (
	"os"
	"os/exec"
	"strings"
	"testing"
)

// corePackages names what each core package may import of this module. A package that is
// not listed, and not an edge, fails the test: it must be given its place.
var corePackages = map[string]string{
	"evict":       "",
	"fault":       "",
	"provenance":  "",
	"unit":        "fault provenance",
	"zone":        "fault",
	"calendar":    "zone",
	"goods":       "fault provenance unit",
	"alkali":      "provenance unit",
	"soak":        "provenance unit alkali goods",
	"dye":         "fault provenance unit",
	"photo":       "fault",
	"place":       "fault provenance unit zone",
	"cure":        "fault provenance unit zone alkali dye place",
	"liquor":      "fault provenance unit goods dye",
	"dilution":    "provenance unit dye",
	"recipe":      "fault provenance unit",
	"effluent":    "provenance unit alkali",
	"scour":       "provenance unit",
	"immersion":   "provenance unit dye",
	"rinse":       "provenance unit",
	"calltable":   "fault",
	"colour":      "fault provenance",
	"calibration": "provenance",
	"fold":        "fault unit goods colour calibration",
	"price":       "fault provenance unit",
	"journal":     "fault zone",
	"rights":      "fault journal",
	"exchange":    "fault zone journal",
	"house":       "fault zone journal",
	"api":         "zone journal rights",
	"label":       "fault zone",
	"calc":        "fault provenance unit zone goods alkali soak dye place cure liquor dilution recipe effluent scour immersion rinse colour price",
	"batch":       "fault unit zone place journal label",
	"cause":       "fault provenance unit goods soak dye cure liquor rinse",
	"plan":        "fault provenance unit zone goods alkali soak dye liquor rinse price journal batch shelf",
	"batchview":   "fault provenance unit zone goods alkali soak dye place cure liquor rinse colour calibration cause price journal label sheet calendar batch shelf plan",
	"sheet":       "fault",
	"shelf":       "fault unit zone journal batch",
	"projection":  "fault unit zone journal batch batchview shelf",
}

// edgePackages may import any core package and no edge. sheet lays out labels for the
// phone too, so it is held to the core's rules; press puts them on paper.
var edgePackages = map[string]bool{"hub": true, "store": true, "web": true, "lan": true, "press": true}

// toolPackages are programs and helpers of tests.
var toolPackages = map[string]bool{"generate": true, "reftest": true, "labeldamage": true, "need": true, "simulation": true, "twohosts": true,
	"hubtest": true, "phonetest": true, "phonetest/bags": true, "phonetest/labels": true, "phonetest/pairing": true, "phonetest/screens": true, "phonetest/speed": true, "phonetest/upgrades": true}

// forbiddenImports names what the core must never import: what reads a clock, a file or
// the network, and what would weigh on the phone.
var forbiddenImports = strings.Fields("time os net net/http os/exec syscall regexp text/template html/template math/big math/rand math/rand/v2 crypto/rand log embed")

func TestImports(t *testing.T) {
	for name := range edgePackages {
		if _, err := os.Stat(name); err != nil {
			t.Errorf("edge %s is named here and is not there", name)
		}
	}
	for _, p := range imports(t, "coldbatch/internal/...") {
		name := strings.TrimPrefix(p.path, "coldbatch/internal/")
		allowed, isCore := corePackages[name]
		switch {
		case p.path == "coldbatch/internal" || toolPackages[name]:
		case isCore:
			for _, i := range p.imports {
				rest, ours := strings.CutPrefix(i, "coldbatch/")
				pkg := strings.TrimPrefix(rest, "internal/")
				if ours && !containsWord(allowed, pkg) {
					t.Errorf("%s imports %s", name, rest)
				}
				for _, bad := range forbiddenImports {
					if i == bad {
						t.Errorf("core package %s imports %s", name, i)
					}
				}
			}
		case edgePackages[name]:
			for _, i := range p.imports {
				if pkg, ours := strings.CutPrefix(i, "coldbatch/internal/"); ours && (edgePackages[pkg] || toolPackages[pkg]) {
					t.Errorf("edge %s imports %s", name, pkg)
				}
			}
		default:
			t.Errorf("package %s has no place in the shape: list it as core or edge", name)
		}
	}
	for name := range corePackages {
		if _, err := os.Stat(name); err != nil {
			t.Errorf("core package %s is named here and is not there", name)
		}
	}
}

// The phone's core reaches no edge, by any way.
func TestPhoneCoreReachesNoEdge(t *testing.T) {
	cmd := exec.Command("go", "list", "-deps", "coldbatch/cmd/phonecore", "coldbatch/cmd/phoneextra")
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	for _, dep := range strings.Fields(string(out)) {
		if edgePackages[strings.TrimPrefix(dep, "coldbatch/internal/")] || dep == "net/http" {
			t.Errorf("the phone's core reaches %s", dep)
		}
	}
}

// The bundler works at generation alone: it is compiled neither into the program nor into
// the phone's core.
func TestBundlerIsForGenerationAlone(t *testing.T) {
	const bundler = "github.com/evanw/esbuild/"
	reaches := func(name string) bool {
		out, err := exec.Command("go", "list", "-deps", name).CombinedOutput()
		if err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		return strings.Contains(string(out), bundler)
	}
	if !reaches("coldbatch/internal/generate") {
		t.Errorf("the generator does not import %s: is it named differently now?", bundler)
	}
	for _, name := range []string{"coldbatch/cmd/coldbatch", "coldbatch/cmd/phonecore", "coldbatch/cmd/phoneextra"} {
		if reaches(name) {
			t.Errorf("%s reaches %s", name, bundler)
		}
	}
}

type listedPackage struct {
	path    string
	imports []string
}

func imports(t *testing.T, pattern string) []listedPackage {
	t.Helper()
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, pattern).CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	var list []listedPackage
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		f := strings.Fields(line)
		list = append(list, listedPackage{f[0], f[1:]})
	}
	return list
}

func containsWord(words, word string) bool {
	for _, w := range strings.Fields(words) {
		if w == word {
			return true
		}
	}
	return false
}
