package simulation

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"

	"pgregory.net/rapid"

	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

func factsHash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return hex.EncodeToString(sum[:])
}

// drawClockError draws the error of a clock: none, a little, hours or a week, either way.
func drawClockError(t *rapid.T) zone.Span {
	far := rapid.SampledFrom([]zone.Span{0, 3 * zone.Minute, 3 * zone.Hour, 7 * zone.Day}).Draw(t, "clock off")
	if rapid.Bool().Draw(t, "behind") {
		return -far
	}
	return far
}

// add puts a phone into the house. The first two are an owner's; later ones may be a
// helper's, or the browser of the computer itself, which is never asked for a code.
func (w *simulatedHouse) add(t *rapid.T) {
	n := len(w.phones)
	p := &phone{w: w, name: fmt.Sprint("phone ", n), device: w.newID(), rows: map[journal.ID]*storedFact{}, aheadFacts: map[journal.ID]bool{}, hasSteadyClock: true,
		clockError: drawClockError(t), maxFactsPerCall: rapid.SampledFrom([]int{2, 20, 500}).Draw(t, "most")}
	kind := "owner"
	if n > 1 || w.hasOlderProgram {
		kind = rapid.SampledFrom([]string{"owner", "helper", "helper", "newer", "local", "older"}).Draw(t, "kind")
	}
	if w.hasOlderProgram { // which let in nobody but the computer itself
		kind = "older"
	}
	p.hasUnsteadyClock = rapid.Bool().Draw(t, "clock is set")
	p.isHelper, p.hasNewerApp, p.hasOlderApp = kind == "helper", kind == "newer", kind == "older"
	p.isLocalBrowser = p.hasOlderApp || kind == "local"
	w.phones = append(w.phones, p)
	w.logf("%s, %s, clock %v minutes ahead, sends %d a call", p.name, kind, int(p.clockError/zone.Minute), p.maxFactsPerCall)
}

func (w *simulatedHouse) nameOf(device journal.ID) string {
	for _, p := range w.phones {
		if p.device == device {
			return p.name
		}
	}
	return "the hub"
}

// sharedBatches are the batches of which a share code was drawn.
func (w *simulatedHouse) sharedBatches() []journal.ID { return slices.Sorted(maps.Keys(w.codes)) }

// restart stops the program and starts it again.
func (w *simulatedHouse) restart() {
	w.hub.Close()
	w.open()
}

func (w *simulatedHouse) restore() {
	w.hub.Close()
	w.backup()
	w.wasRestored = true
	w.open()
}

// actions are what may happen.
func (w *simulatedHouse) actions() map[string]func(*rapid.T) {
	pick := func(t *rapid.T, is func(*phone) bool) *phone {
		p, ok := drawOne(t, "phone", w.phones, is)
		if !ok {
			t.SkipNow()
		}
		return p
	}
	anyone := func(*phone) bool { return true }
	owner := func(p *phone) bool { return !p.isHelper }
	did := func(t *rapid.T, p *phone, what string) {
		if what == "" {
			t.SkipNow()
		}
		w.logf("%s %s", p.name, what)
	}
	write := func(t *rapid.T) { p := pick(t, anyone); did(t, p, p.writeAny(t)) }
	meet := func(t *rapid.T) { pick(t, anyone).step(t, drawFailure(t)) }
	return map[string]func(*rapid.T){
		"write": write, "write more": write, "write on": write,
		"meet": meet, "meet more": meet, "meet on": meet,
		"meet well": func(t *rapid.T) { p := pick(t, anyone); p.abandonRequest(); p.exchangeAll() },
		"begin":     func(t *rapid.T) { p := pick(t, owner); did(t, p, p.beginBatchOrPlace(t)) },
		"house":     func(t *rapid.T) { p := pick(t, owner); did(t, p, p.writeHouseFact(t)) },
		"share":     func(t *rapid.T) { p := pick(t, owner); did(t, p, p.share(t)) },
		"trespass": func(t *rapid.T) {
			p := pick(t, func(p *phone) bool { return p.isHelper && w.canSeeBatch(p) })
			did(t, p, p.writeForbiddenFact(t))
		},
		"forge": func(t *rapid.T) {
			p := pick(t, func(p *phone) bool { return p.isHelper && w.canSeeBatch(p) })
			did(t, p, p.forge(t))
		},
		"strange": func(t *rapid.T) {
			p := pick(t, func(p *phone) bool { return p.hasNewerApp })
			did(t, p, p.writeUnknownKind(t))
		},
		"time": func(t *rapid.T) {
			w.now = w.now.Add(zone.Span(rapid.IntRange(1, 2*24*60).Draw(t, "minutes")) * zone.Minute)
		},
		"clock": func(t *rapid.T) {
			p := pick(t, func(p *phone) bool { return p.hasUnsteadyClock })
			p.clockError, p.hasSteadyClock = drawClockError(t), false
			w.logf("%s has its clock set to %v minutes ahead", p.name, int(p.clockError/zone.Minute))
		},
		"stop": func(t *rapid.T) {
			p := pick(t, anyone)
			p.restart()
			w.logf("%s is closed and opened again", p.name)
		},
		"pair": func(t *rapid.T) {
			p := pick(t, func(p *phone) bool { return !p.isLocalBrowser && !w.hasOlderProgram && !w.canSeeBatch(p) })
			did(t, p, p.pair(t))
		},
		"ghost": func(t *rapid.T) {
			if len(w.lateRequests) == 0 {
				t.SkipNow()
			}
			w.deliverLate(rapid.IntRange(0, len(w.lateRequests)-1).Draw(t, "request"))
		},
		"held": func(t *rapid.T) {
			p := pick(t, func(p *phone) bool { return len(w.quarantinedOf(p)) > 0 })
			var err error
			if drawChance(t, "accept", 2) {
				for id := range w.quarantinedOf(p) {
					delete(w.forbiddenFacts, id)
					delete(w.forgedFacts, id)
				}
				_, err = w.hub.Accept(ctx, w.hub.LocalAsker(), p.device, 0)
				w.countEvent(true, "what was held is accepted")
			} else {
				maps.Copy(w.droppedFacts, w.quarantinedOf(p))
				_, err = w.hub.Reject(ctx, w.hub.LocalAsker(), p.device)
				p.wasRejected = true
			}
			w.mustSucceed(err)
			w.logf("the owner looks at what %s sent", p.name)
		},
		"restart": func(*rapid.T) { w.logf("the program is started again"); w.restart() },
		"copy": func(t *rapid.T) {
			if !w.copies {
				t.SkipNow()
			}
			w.copyFile()
		},
		"restore": func(t *rapid.T) { w.restoreCopy(t) },
		"upgrade": func(t *rapid.T) { w.upgrade(t) },
		"update app": func(t *rapid.T) {
			pick(t, func(p *phone) bool { return p.hasOlderApp && !w.hasOlderProgram }).updateApp()
		},
	}
}

// deliverLate lets a request arrive that nobody waits for.
func (w *simulatedHouse) deliverLate(n int) {
	g := w.lateRequests[n]
	w.lateRequests = slices.Delete(w.lateRequests, n, n+1)
	w.logf("a request of %s arrives late", g.from.name)
	w.deliverLateRequest(&requestInFlight{body: g.body}, g.from)
}

func (w *simulatedHouse) copyFile() {
	w.hub.Close()
	w.backup = w.disk.copyForRestore()
	w.open()
	w.logf("the hub's file is copied")
}

func (w *simulatedHouse) restoreCopy(t *rapid.T) {
	if w.backup == nil || w.hasOlderProgram {
		t.SkipNow()
	}
	before := len(w.facts(""))
	w.restore()
	w.countEvent(len(w.facts("")) < before, "a restored hub has lost facts")
	w.logf("the hub's file is put back from the copy: %d facts, had %d", len(w.facts("")), before)
}

// upgrade puts this version of the program in the place of the one before. A copy
// of before is no good any more: it could not tell what it lost.
func (w *simulatedHouse) upgrade(t *rapid.T) {
	if !w.hasOlderProgram {
		t.SkipNow()
	}
	w.logf("the program is upgraded")
	w.hasOlderProgram, w.backup = false, nil
	w.restart()
}

func (p *phone) updateApp() {
	p.w.logf("%s gets the new app", p.name)
	p.restart()
	p.hasOlderApp = false
}
