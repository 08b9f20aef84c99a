// Package simulation lets a house of phones live through weeks within
// milliseconds: they write, meet the hub over a bad network, crash, have wrong
// clocks, are let out and in; the program stops, is upgraded, and is restored from
// an old copy. In the end, when all have met, nothing may be lost and all must
// agree. The phones run package exchange, as the page does, the hub is the real
// one, and what goes between them goes as JSON.
//
// A history that fails prints what happened, step by step. It is tests alone.
package simulation

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"slices"

	"pgregory.net/rapid"

	"coldbatch/internal/api"
	"coldbatch/internal/hub"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// ctx never ends.
var ctx = context.Background()

// startTime is 12:00 on 2 May 2026 in Lisbon.
const startTime zone.Instant = 1777719600000

// simulatedHouse is a house.
type simulatedHouse struct {
	t               *rapid.T
	now             zone.Instant // the true time, which is the hub's
	random          seededRandom
	disk            *failingJournal
	hub             *hub.Hub
	hasOlderProgram bool // the program is the version before this one

	phones         []*phone
	lateRequests   []lateRequest               // requests that arrive when nobody waits for the answer
	codes          map[journal.ID]string       // by batch: the share code that was drawn last
	trueTimes      map[journal.ID]zone.Instant // when a fact was truly written
	writtenFacts   map[journal.ID]journal.Fact
	forbiddenFacts map[journal.ID]bool // what may not come into the journal
	forgedFacts    map[journal.ID]bool // what a hostile helper made up
	droppedFacts   map[journal.ID]bool // what an owner would not have
	backup         func()
	copies         bool // somebody makes copies of the hub's file

	wasRestored bool // from a copy, once at least
	counts      map[string]int
}

// countEvent notes that something happened, so that a test can say that it does.
func (w *simulatedHouse) countEvent(is bool, what string) {
	if is {
		w.counts[what]++
	}
}

// seededRandom is a random source that repeats itself from run to run.
type seededRandom uint64

func (d *seededRandom) fill(b []byte) {
	for i := range b {
		*d = *d*6364136223846793005 + 1442695040888963407
		b[i] = byte(*d >> 56)
	}
}

func newSimulatedHouse(t *rapid.T, d journalDisk, counts map[string]int) *simulatedHouse {
	w := &simulatedHouse{t: t, now: startTime, random: seededRandom(rapid.Uint64().Draw(t, "dice")), disk: &failingJournal{journalDisk: d},
		codes: map[journal.ID]string{}, trueTimes: map[journal.ID]zone.Instant{}, writtenFacts: map[journal.ID]journal.Fact{}, counts: counts,
		forbiddenFacts: map[journal.ID]bool{}, forgedFacts: map[journal.ID]bool{}, droppedFacts: map[journal.ID]bool{}}
	w.open()
	return w
}

// open starts the program.
func (w *simulatedHouse) open() {
	w.disk.failsBefore, w.disk.failsAfter = false, false
	h, err := hub.Open(w.disk, api.Identity{Zone: "Europe/Lisbon"}, hub.System{Now: func() zone.Instant { return w.now }, Random: w.random.fill})
	w.mustSucceed(err)
	w.hub = h
}

func (w *simulatedHouse) mustSucceed(err error) {
	w.t.Helper()
	if err != nil {
		w.t.Fatalf("%+v", err)
	}
}

// logf tells a step, for whoever reads a history that failed.
func (w *simulatedHouse) logf(format string, args ...any) {
	d := w.now.Sub(startTime)
	w.t.Logf("    day %2d %02d:%02d  %s", d/zone.Day, d%zone.Day/zone.Hour, d%zone.Hour/zone.Minute, fmt.Sprintf(format, args...))
}

func (w *simulatedHouse) newID() journal.ID {
	var b [16]byte
	w.random.fill(b[:])
	return journal.NewID(b)
}

// facts returns what the hub has of a scope, of all where scope is empty, in the
// order it came.
func (w *simulatedHouse) facts(scope journal.Scope) (facts []journal.Fact) {
	w.mustSucceed(w.disk.View(func(tx hub.Tx) (err error) {
		if scope != "" {
			facts, err = tx.Scope(scope)
			return err
		}
		return tx.Since(0, func(_ uint64, f journal.Fact) bool {
			facts = append(facts, f)
			return true
		})
	}))
	return facts
}

// askerOf returns who a phone is to the hub now.
func (w *simulatedHouse) askerOf(p *phone) rights.Asker {
	if p.isLocalBrowser {
		return w.hub.LocalAsker()
	}
	who, err := w.hub.AskerByToken(ctx, p.token)
	w.mustSucceed(err)
	return who
}

// canSeeBatch says whether the hub exchanges with p now.
func (w *simulatedHouse) canSeeBatch(p *phone) bool {
	return rights.IsAllowed(w.askerOf(p).Role, rights.SeeBatch)
}

func (w *simulatedHouse) quarantinedOf(p *phone) map[journal.ID]bool {
	lines, err := w.hub.Quarantined(ctx, w.hub.LocalAsker(), p.device)
	w.mustSucceed(err)
	m := map[journal.ID]bool{}
	for _, l := range lines {
		m[l.ID] = true
	}
	return m
}

// drawOne draws an item of list for which is holds; ok is false if there is none.
func drawOne[T any](t *rapid.T, what string, list []T, is func(T) bool) (one T, ok bool) {
	list = slices.DeleteFunc(slices.Clone(list), func(x T) bool { return !is(x) })
	if len(list) == 0 {
		return one, false
	}
	return list[rapid.IntRange(0, len(list)-1).Draw(t, what)], true
}

// drawChance is true once in n.
func drawChance(t *rapid.T, what string, n int) bool {
	return rapid.IntRange(0, n-1).Draw(t, what) == n-1
}

// mustMarshal writes JSON as it goes over the wire.
func mustMarshal(v any) json.RawMessage {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil {
		panic(err)
	}
	return bytes.TrimSpace(b.Bytes())
}
