package calc

import (
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"coldbatch/internal/alkali"
	"coldbatch/internal/colour"
	"coldbatch/internal/cure"
	"coldbatch/internal/fault"
	"coldbatch/internal/immersion"
	"coldbatch/internal/provenance"
	"coldbatch/internal/reftest"
	"coldbatch/internal/rinse"
	"coldbatch/internal/scour"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// citedNumber is a year, or the number of a standard or handbook.
var citedNumber = regexp.MustCompile(`\b\d{2,5}\b`)

// Every number that an entry shows says where it comes from: each source that
// reflection finds in it has a mark and a text, but for that of an input without
// default.
func TestEverythingHasASource(t *testing.T) {
	marks := map[provenance.Reliability]bool{provenance.Published: true, provenance.Practice: true, provenance.Memory: true, provenance.Judgement: true}
	found := 0
	var walk func(at string, v reflect.Value)
	walk = func(at string, v reflect.Value) {
		switch x := v.Interface().(type) {
		case provenance.Source:
			found++
			if !marks[x.Reliability] || x.Text == "" {
				t.Errorf("%s: no source: %+v", at, x)
			}
			// The text agrees with its mark, and a work can be found by year or number.
			switch {
			case x.Reliability == provenance.Practice && !strings.HasPrefix(x.Text, "common practice"),
				x.Reliability == provenance.Judgement && !strings.HasPrefix(x.Text, "judgement"),
				(x.Reliability == provenance.Published || x.Reliability == provenance.Memory) && (strings.Contains(x.Text, "no source") || strings.HasPrefix(x.Text, "judgement")),
				x.Reliability == provenance.Published && !citedNumber.MatchString(x.Text):
				t.Errorf("%s: marked %s, and says %q", at, x.Reliability, x.Text)
			}
			return
		case Input:
			if x.Default == "" && x.Source == (provenance.Source{}) {
				return
			}
			at += "." + x.Key
		case Output:
			at += "." + x.Key
		case provenance.Value:
			at += "." + x.Name
			if x.Name == "" || x.Unit == "" {
				t.Errorf("%s: a constant without name or unit: %+v", at, x)
			}
		case provenance.Caution:
			if x.Code == "" || x.Text == "" || x.Source == "" {
				t.Errorf("%s: %+v lacks something", at, x)
			}
			return
		}
		switch v.Kind() {
		case reflect.Struct:
			for i := range v.NumField() {
				walk(at+"."+v.Type().Field(i).Name, v.Field(i))
			}
		case reflect.Slice:
			for i := range v.Len() {
				walk(at, v.Index(i))
			}
		}
	}
	for _, e := range All() {
		walk(e.Name, reflect.ValueOf(e))
		if len(e.Values) == 0 && e.Name != "cost" { // a cost is made of what is typed alone
			t.Errorf("%s lists no values: set Values to the constants that it uses", e.Name)
		}
		if len(e.Cautions) == 0 {
			t.Errorf("%s lists no cautions: set Cautions to what can hurt in this step", e.Name)
		}
	}
	// The constants that a package of calculations lists have sources too, and each is on some page.
	shown := map[string]bool{}
	for _, e := range All() {
		for _, v := range e.Values {
			shown[v.Name] = true
		}
	}
	lists := map[string]func() []provenance.Value{
		"alkali.Values": alkali.Values, "alkali.PHValues": alkali.PHValues, "unit.HardnessValues": unit.HardnessValues,
		"scour.Values": scour.Values, "immersion.Values": immersion.Values, "rinse.HotWashValues": rinse.HotWashValues,
		"colour.Values": colour.Values, "colour.ClothValues": colour.ClothValues, "cure.ModelValues": cure.ModelValues, "cure.KeepingValues": cure.KeepingValues,
	}
	for name, list := range lists {
		if len(list()) == 0 {
			t.Errorf("%s is empty", name)
		}
		for _, v := range list() {
			walk(name, reflect.ValueOf(v))
			if !shown[v.Name] {
				t.Errorf("%s: no page shows %q", name, v.Name)
			}
		}
	}
	for _, name := range exportedLists(t) {
		if lists[name] == nil {
			t.Errorf("%s is not looked at here", name)
		}
	}
	if found < 20 {
		t.Errorf("only %d sources were found: reflection misses them", found)
	}
}

// exportedLists finds every exported function of a sibling package that takes
// nothing and returns constants.
func exportedLists(t *testing.T) (names []string) {
	t.Helper()
	signature := regexp.MustCompile(`(?m)^func ([A-Z]\w*)\(\) (?:\(\w+ )?\[\]fault\.Value\b`)
	files, err := filepath.Glob("../*/*.go")
	if err != nil || len(files) == 0 {
		t.Fatal("no sources are found", err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range signature.FindAllSubmatch(text, -1) {
			names = append(names, filepath.Base(filepath.Dir(file))+"."+string(m[1]))
		}
	}
	return names
}

// The defaults, examples and presets of each entry can be read and are in range, and its
// keys are unique.
func TestEntriesAreSound(t *testing.T) {
	env := Env{Now: zone.Date(2026, 5, 3), Zones: func(string) (zone.Table, error) { return zone.UTC(), nil }}
	names := map[string]bool{}
	for _, e := range All() {
		if names[e.Name] || e.Title == "" || e.Purpose == "" || e.Formula == "" || e.Calculate == nil || e.Order == 0 {
			t.Errorf("%q lacks something, or is there twice", e.Name)
		}
		names[e.Name] = true
		keys := map[string]bool{}
		for _, in := range e.Inputs {
			if keys[in.Key] || in.Key == "" || in.Label == "" {
				t.Errorf("%s: input %q is listed twice, or has no label", e.Name, in.Key)
			}
			keys[in.Key] = true
			if in.Required && (in.Example == "" || in.Default != "") {
				t.Errorf("%s: %s is needed, so it has an example and no default", e.Name, in.Key)
			}
			for _, typed := range append([]string{in.Default, in.Example}, in.Presets...) {
				if typed == "" || in.Type == TypeReadings {
					continue
				}
				g := &InputValues{Now: env.Now, entry: &e}
				if err := g.readInput(in, &inputValue{typed: typed}, env); err != nil {
					t.Errorf("%s: %s=%q: %v", e.Name, in.Key, typed, err)
				}
			}
		}
		keys = map[string]bool{}
		for _, out := range e.Outputs {
			if keys[out.Key] || out.Label == "" || out.Kind == "" && len(out.Words) == 0 {
				t.Errorf("%s: output %q is listed twice, or lacks something", e.Name, out.Key)
			}
			if out.Kind != "" && out.Kind != KindInstant && unit.BaseUnit(out.Kind) == "" {
				t.Errorf("%s: %s has no unit", e.Name, out.Key)
			}
			keys[out.Key] = true
		}
	}
}

// The stages stand in the order of the work, each once, and every entry has one.
func TestGroups(t *testing.T) {
	var titles []string
	for _, e := range All() {
		if e.Group == "" {
			t.Errorf("%s belongs to no stage", e.Name)
		}
		if len(titles) == 0 || titles[len(titles)-1] != e.Group {
			titles = append(titles, e.Group)
		}
	}
	if len(titles) != len(groups) {
		t.Errorf("stages %q, want each of %d once", titles, len(groups))
	}
}

func TestFind(t *testing.T) {
	if _, err := Find("abacus"); !fault.Is(err, fault.NotFound) || !strings.Contains(err.Error(), "bottle") {
		t.Errorf("abacus: %v", err)
	}
	for _, e := range All() {
		if got, err := Find(e.Name); err != nil || got.Name != e.Name {
			t.Errorf("%s: %v", e.Name, err)
		}
	}
}

// Every table of published values says where it comes from and in what units.
func TestTablesHaveHeaders(t *testing.T) {
	files, err := os.ReadDir("../../testdata/ref")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if strings.HasSuffix(f.Name(), ".tsv") {
			reftest.Load(t, f.Name())
		}
	}
}

// The reference names every key with a mark, and the list fits a screen.
func TestReferenceAndList(t *testing.T) {
	for _, e := range All() {
		page := Reference(e)
		for _, want := range []string{e.Title, "Inputs", "Outputs", "coldbatch calc " + e.Name} {
			if !strings.Contains(page, want) {
				t.Errorf("%s: the reference lacks %q", e.Name, want)
			}
		}
		for _, in := range e.Inputs {
			if !strings.Contains(page, "\n  "+in.Key+" ") {
				t.Errorf("%s: the reference lacks %s", e.Name, in.Key)
			}
		}
		for _, v := range e.Values {
			if !strings.Contains(strings.Join(strings.Fields(page), " "), strings.Join(strings.Fields(constantText(v)), " ")) {
				t.Errorf("%s: the reference lacks %q", e.Name, constantText(v))
			}
		}
		checkWidth(t, e.Name, page)
		if !strings.Contains(List(), "  "+padRight(e.Name, 12)+e.Title) {
			t.Errorf("the list lacks %s", e.Name)
		}
	}
	if n := strings.Count(List(), "\n"); n > 24 {
		t.Errorf("the list has %d lines: it is to fit a screen of 24", n)
	}
	checkWidth(t, "list", List())
}

// checkWidth checks that no line is wider than a terminal of 100 columns.
func checkWidth(t *testing.T, what, text string) {
	t.Helper()
	for _, line := range strings.Split(text, "\n") {
		if n := len([]rune(line)); n > 100 {
			t.Errorf("%s: a line of %d characters: %q", what, n, line)
		}
	}
}
