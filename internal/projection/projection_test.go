package projection

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"coldbatch/internal/batch"
	"coldbatch/internal/batchview"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/unit"
)

// The phone has an entry for each projection, with the same list.
func TestPhoneHasEachProjection(t *testing.T) {
	text, err := os.ReadFile("../../static/journal/projections.js")
	if err != nil {
		t.Fatal(err)
	}
	var phone, core []string
	for _, m := range regexp.MustCompile(`(?m)^  (\w+): \{ list: '([\w-]+)' \},$`).FindAllStringSubmatch(string(text), -1) {
		phone = append(phone, m[1]+" "+m[2])
	}
	for _, p := range All {
		core = append(core, p.Scope+" "+p.List)
	}
	if !slices.Equal(phone, core) {
		t.Errorf("static/journal/projections.js has %q, All has %q: give both the same entries", phone, core)
	}
}

// The states of the example are found by the tokens of all their labels and stand in the
// list of the batches that are open, or with their line in that of those that are not.
func TestBuild(t *testing.T) {
	n := byte(0)
	facts, err := batchview.Example(1_780_000_000_000, "UTC", func(b []byte) {
		for i := range b {
			n++
			b[i] = n
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	byScope := map[journal.Scope][]journal.Fact{}
	for _, f := range facts {
		byScope[f.Scope] = append(byScope[f.Scope], f)
	}
	lists := map[string]int{}
	for scope, facts := range byScope {
		if kind, _ := scope.Split(); kind != "batch" && kind != "place" {
			continue
		}
		b, err := Build(scope, facts, unit.Style{}, 1_780_000_000_000)
		if err != nil {
			t.Fatal(err)
		}
		lists[b.List]++
		s, isBatch := b.State.(batch.State)
		if !isBatch {
			continue
		}
		for _, bag := range s.Bags {
			if !slices.Contains(b.Tokens, bag.Token) {
				t.Errorf("bag %d of %s is not found by its token", bag.Number, s.Name)
			}
		}
		if done := s.FinishedAt != 0; done != (b.List == finishedBatches) || done != (b.Line != nil && b.Line.Name == s.Name) {
			t.Errorf("%s, finished %v, is in list %s with line %+v", s.Name, done, b.List, b.Line)
		}
	}
	if lists[openBatches] == 0 || lists[places] == 0 {
		t.Errorf("the lists have %v", lists)
	}
	if _, err := Build(journal.HouseScope, nil, unit.Style{}, 1_780_000_000_000); !fault.Is(err, fault.Input) || !strings.Contains(err.Error(), "house") {
		t.Errorf("a scope without a state: %v", err)
	}
}
