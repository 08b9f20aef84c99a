package simulation

import (
	"flag"
	"fmt"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/journal"
)

// A hub is put back from a copy of its file, and a thousand new facts come into it
// before the phone returns that had read, and sent, more than is there: where its
// cursor stood stands another fact. Also with the real journal.
func TestRestoredHub(t *testing.T) {
	counts := map[string]int{}
	t.Run("in memory", func(t *testing.T) { checkSome(t, 20, func(t *rapid.T) { restoredHub(t, newMemoryDisk(), counts) }) })
	t.Run("in a file", func(tb *testing.T) { checkSome(tb, 50, func(t *rapid.T) { restoredHub(t, newFileDisk(tb), counts) }) })
	requireHappened(t, counts, []string{"a restored hub has lost facts", "a phone exchanges everything afresh", "another fact stands where the cursor of a phone stood"})
}

// checkSome checks one in so many histories, since they are long, each with fewer
// steps at random.
func checkSome(t *testing.T, one int, f func(*rapid.T)) {
	checks, steps := flag.Lookup("rapid.checks").Value.String(), flag.Lookup("rapid.steps").Value.String()
	n, err := strconv.Atoi(checks)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _, _ = flag.Set("rapid.checks", checks), flag.Set("rapid.steps", steps) }()
	_, _ = flag.Set("rapid.checks", fmt.Sprint(max(1, n/one))), flag.Set("rapid.steps", "15")
	rapid.Check(t, f)
}

func restoredHub(t *rapid.T, d journalDisk, counts map[string]int) {
	w := newSimulatedHouse(t, d, counts)
	for range rapid.IntRange(3, 5).Draw(t, "phones") {
		w.add(t)
	}
	for _, p := range w.phones {
		p.maxFactsPerCall = 500
	}
	for _, p := range w.phones[:2] {
		p.pair(t)
	}
	away, busy := w.phones[0], w.phones[1]
	away.beginBatchOrPlace(t)
	for range 2 {
		away.exchangeAll()
		busy.exchangeAll()
	}
	const many = 1000
	before := rapid.SampledFrom([]int{0, many / 2, many}).Draw(t, "facts before the copy")
	busy.writeMany(before)
	busy.exchangeAll()
	t.Repeat(w.actions())
	w.copyFile()
	away.writeMany(3)
	for range rapid.IntRange(0, 4).Draw(t, "calls before the hub is restored") {
		away.step(nil, noFailure) // it may be in the midst of reading what is new
	}
	busy.writeMany(1 + rapid.IntRange(0, 5).Draw(t, "facts that are lost"))
	busy.exchangeAll()
	w.restoreCopy(t)
	if !w.canSeeBatch(busy) {
		busy.pair(t)
	}
	busy.writeMany(many)
	busy.exchangeAll()
	now := w.facts("")
	at := away.cursor.Seq
	w.countEvent(int(at) <= len(now) && now[at-1].ID != away.cursor.FactID, "another fact stands where the cursor of a phone stood")
	t.Repeat(w.actions())
	w.syncAllPhones(t)
	w.checkAgreement(t)
}

// writeMany writes so many readings of one place.
func (p *phone) writeMany(n int) {
	scope := journal.PlaceScope(p.w.newID())
	for range n {
		p.record(journal.Draft{Scope: scope, Subject: scope.Place(), Kind: journal.KindPlaceRead, Body: mustMarshal(journal.TemperatureReading{Celsius: 18})})
	}
	p.w.logf("%s reads %d temperatures", p.name, n)
}
