package simulation

import (
	"flag"
	"maps"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

// historyCount is the number of histories, of 100 steps each, unless the command line sets another.
const historyCount = 200

func init() {
	_ = flag.Set("rapid.checks", strconv.Itoa(historyCount))
	_ = flag.Set("rapid.steps", "100")
}

// TestHouseOfPhones is the simulation: whatever happens, in the end nothing is lost and all
// agree.
func TestHouseOfPhones(t *testing.T) {
	counts := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		w := newSimulatedHouse(t, newMemoryDisk(), counts)
		w.hasOlderProgram = drawChance(t, "an old program", 4)
		w.copies = rapid.Bool().Draw(t, "copies are made")
		for range rapid.IntRange(3, 12).Draw(t, "phones") {
			w.add(t)
		}
		if !w.hasOlderProgram {
			for _, p := range w.phones[:2] {
				p.pair(t)
			}
		}
		w.phones[0].beginBatchOrPlace(t)
		t.Repeat(w.actions())
		w.syncAllPhones(t)
		w.checkAgreement(t)
	})
	for _, what := range slices.Sorted(maps.Keys(counts)) {
		t.Logf("%6d  %s", counts[what], what)
	}
	all := slices.Clone(mustHappen)
	for m := range failureCount {
		all = append(all, "mishap"+m.String())
	}
	requireHappened(t, counts, all)
}

// requireHappened fails where in so many histories as there usually are something never
// happened.
func requireHappened(t *testing.T, counts map[string]int, must []string) {
	t.Helper()
	if n, err := strconv.Atoi(flag.Lookup("rapid.checks").Value.String()); err != nil || n < historyCount {
		return
	}
	for _, what := range must {
		if counts[what] == 0 {
			t.Errorf("in all histories it never happened that %s", what)
		}
	}
}

// mustHappen names what a simulation that proves anything has seen.
var mustHappen = []string{
	"a bag closed by a wrong clock has the right time", "a bag closed by a clock that is a week off has the right time", "a bag has a number of a lease", "a bag has the letter of its phone",
	"a fact is refused", "a helper forges a fact", "a helper is answered", "a helper is in at the end", "a phone exchanges everything afresh",
	"a phone is out at the end", "a restored hub has lost facts", "an older app meets the new program", "no copy was put back",
	"what a phone sends is held", "what a clock that is ahead stamped is accepted",
}
