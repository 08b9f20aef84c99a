package simulation

import (
	"flag"
	"maps"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// 200 histories of a hundred steps, unless the command line says otherwise.
func init() {
	_ = flag.Set("rapid.checks", "200")
	_ = flag.Set("rapid.steps", "100")
}

func TestHouse(t *testing.T) {
	counts := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		w := newWorld(t, newMemory(), counts)
		w.older = chance(t, "an old program", 4)
		w.copies = rapid.Bool().Draw(t, "copies are made")
		for range rapid.IntRange(3, 12).Draw(t, "phones") {
			w.add(t)
		}
		if !w.older {
			for _, p := range w.phones[:2] {
				p.pair(t)
			}
		}
		w.phones[0].begin(t)
		t.Repeat(w.actions())
		w.settle(t)
		w.agree(t)
	})
	for _, what := range slices.Sorted(maps.Keys(counts)) {
		t.Logf("%6d  %s", counts[what], what)
	}
}
