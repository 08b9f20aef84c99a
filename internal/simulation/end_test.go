package simulation

import (
	"slices"
	"strings"

	"pgregory.net/rapid"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// syncAllPhones lets all come home: the network is good, who was let out by mistake or
// forgotten by a restored hub is let in again, and everyone meets the hub until
// nothing new comes.
func (w *simulatedHouse) syncAllPhones(t *rapid.T) {
	w.logf("all come home")
	w.hasOlderProgram = false
	for len(w.lateRequests) > 0 {
		w.deliverLate(0)
	}
	for _, p := range w.phones {
		p.restart()
	}
	mercy := rapid.Bool().Draw(t, "who is out is let in again")
	order := rapid.Permutation(w.phones).Draw(t, "order")
	for n := 0; ; n++ {
		if n > 12 {
			t.Fatalf("they never agree")
		}
		before := len(w.facts(""))
		if first := w.phones[0]; mercy && w.canSeeBatch(first) {
			for _, x := range first.revoked() {
				first.restorePhone(x)
			}
		}
		for _, p := range order {
			if !w.canSeeBatch(p) && !w.isRemoved(p) {
				p.pair(t)
			}
			p.exchangeAll()
			w.acceptQuarantined(p)
		}
		if len(w.facts("")) == before {
			return
		}
	}
}

// acceptQuarantined lets the owner accept what p sent, one of the house's, by a clock that was ahead.
func (w *simulatedHouse) acceptQuarantined(p *phone) {
	if p.isHelper || !w.canSeeBatch(p) || len(w.quarantinedOf(p)) == 0 {
		return
	}
	_, err := w.hub.Accept(ctx, w.hub.LocalAsker(), p.device, 0)
	w.mustSucceed(err)
	w.countEvent(true, "what a clock that is ahead stamped is accepted")
}

// isRemoved says whether the owner removed p, by name.
func (w *simulatedHouse) isRemoved(p *phone) bool {
	return slices.ContainsFunc(journal.Effective(w.facts(journal.HouseScope), nil), func(f journal.Fact) bool {
		return f.Kind == journal.KindDeviceRevoked && f.Subject == p.device
	})
}

// checkAgreement fails the test where a fact is lost or two devices differ.
func (w *simulatedHouse) checkAgreement(t *rapid.T) {
	all := w.facts("")
	hub := map[journal.ID]journal.Fact{}
	for _, f := range all {
		hub[f.ID] = f
	}
	for _, p := range w.phones {
		w.checkNothingLost(t, p, hub)
		if w.canSeeBatch(p) {
			w.checkComplete(t, p, all, hub)
			w.countEvent(p.isHelper, "a helper is in at the end")
		} else {
			w.countEvent(w.isRemoved(p), "a phone is out at the end")
		}
	}
	w.checkNothingForged(t, all)
	w.checkStates(t, all)
	w.checkNumbers(t, all)
	w.checkTimes(t, all)
}

// checkNothingLost: what a phone wrote is in the hub, or waits for the owner there, or is
// on the phone and known not to be in the hub. And every fact is everywhere as it
// was written.
func (w *simulatedHouse) checkNothingLost(t *rapid.T, p *phone, hub map[journal.ID]journal.Fact) {
	held := w.quarantinedOf(p)
	for id, f := range w.writtenFacts {
		r := p.rows[id]
		if f.Device == p.device {
			_, has := hub[id]
			// A phone that is let in no more cannot tell what a restored hub lost.
			known := r != nil && (r.factState != stateSynced || w.wasRestored && !w.canSeeBatch(p))
			if !has && !held[id] && !known {
				t.Errorf("%s of %s is lost", f.Kind, p.name)
			}
		}
		if r != nil && string(r.fact.Text()) != string(f.Text()) {
			t.Errorf("%s of %s on %s is\n%s\nwas\n%s", f.Kind, w.nameOf(f.Device), p.name, r.fact.Text(), f.Text())
		}
	}
	if !p.isHelper && !w.canSeeBatch(p) && p.token != "" && w.askerOf(p).Revoked {
		for _, f := range p.waitingFacts() {
			if _, has := hub[f.ID]; !has && !held[f.ID] && f.Device == p.device && !w.droppedFacts[f.ID] && !isAboutPhone(f) && !w.forbiddenFacts[f.ID] {
				t.Errorf("%s of %s does not wait for the owner", f.Kind, p.name)
			}
		}
	}
	for id, f := range hub {
		if w.forbiddenFacts[id] {
			t.Errorf("%s of %s was taken", f.Kind, w.nameOf(f.Device))
		}
		if was, ours := w.writtenFacts[id]; ours && string(f.Text()) != string(was.Text()) {
			t.Errorf("%s of %s in the hub is\n%s\nwas\n%s", f.Kind, w.nameOf(f.Device), f.Text(), was.Text())
		}
	}
}

// isAboutPhone says whether f may be about which phones have access: a phone without access has
// no say in that.
func isAboutPhone(f journal.Fact) bool {
	return f.Scope == journal.HouseScope || strings.HasPrefix(f.Kind, "share.") || f.Kind == journal.KindFactWithdrawn || f.Kind == journal.KindFactRestored
}

// checkComplete: a phone with access has sent all it has, is right in what it counts as
// settled, and has all that it may see.
func (w *simulatedHouse) checkComplete(t *rapid.T, p *phone, all []journal.Fact, hub map[journal.ID]journal.Fact) {
	who := w.askerOf(p)
	for id, r := range p.rows {
		_, has := hub[id]
		switch {
		case r.factState == stateWaiting:
			t.Errorf("%s of %s still waits on %s", r.fact.Kind, w.nameOf(r.fact.Device), p.name)
		case r.factState == stateSynced && !has:
			t.Errorf("%s of %s was acknowledged to %s and is not in the hub", r.fact.Kind, w.nameOf(r.fact.Device), p.name)
		case has && r.factState == stateRefused: // the owner accepted it since
		case w.droppedFacts[id] || w.wasRestored && p.aheadFacts[id]:
		case r.factState == stateRefused && r.fact.Device != p.device:
			t.Errorf("%s of %s is refused to %s, which did not write it", r.fact.Kind, w.nameOf(r.fact.Device), p.name)
		case (r.factState == stateRefused || r.factState == stateNotRelayed) && !p.isHelper:
			t.Errorf("%s of %s was refused to %s", r.fact.Kind, w.nameOf(r.fact.Device), p.name)
		}
	}
	sees := func(journal.Scope) bool { return true }
	if p.isHelper {
		sees = w.canSee(who)
	}
	for _, f := range all {
		if sees(f.Scope) && p.rows[f.ID] == nil {
			t.Errorf("%s lacks %s of %s in %s", p.name, f.Kind, w.nameOf(f.Device), f.Scope)
		}
	}
	for id := range w.quarantinedOf(p) {
		if r := p.rows[id]; r == nil || r.factState != stateRefused { // of a batch that it helps with no more
			t.Errorf("an entry of %s is said to wait for the owner, and is taken", p.name)
		}
	}
}

// checkStates: whoever sees a batch sees the same, in whatever order facts came to it.
func (w *simulatedHouse) checkStates(t *rapid.T, all []journal.Fact) {
	var scopes []journal.Scope
	for _, f := range all {
		if f.Scope.Batch() != "" && !slices.Contains(scopes, f.Scope) {
			scopes = append(scopes, f.Scope)
		}
	}
	for _, scope := range scopes {
		facts := w.facts(scope)
		want := mustMarshal(batch.Build(facts))
		slices.Reverse(facts)
		if got := mustMarshal(batch.Build(facts)); string(got) != string(want) {
			t.Errorf("backwards the batch is\n%s\nforwards\n%s", got, want)
		}
		for _, p := range w.phones {
			if who := w.askerOf(p); !w.canSeeBatch(p) || p.isHelper && !slices.Contains(who.Batches, scope.Batch()) {
				continue
			}
			mine := slices.DeleteFunc(p.factsOf(scope), func(f journal.Fact) bool {
				return !slices.ContainsFunc(facts, func(x journal.Fact) bool { return x.ID == f.ID })
			})
			if got := mustMarshal(batch.Build(mine)); string(got) != string(want) {
				t.Errorf("to %s the batch is\n%s\nto the hub\n%s", p.name, got, want)
			}
		}
	}
}

// checkNumbers checks that no two bags of a batch have the same number, unless the hub forgot
// what it had given, or a helper's phone made up a lease.
func (w *simulatedHouse) checkNumbers(t *rapid.T, all []journal.Fact) {
	if w.wasRestored {
		return
	}
	w.countEvent(true, "no copy was put back")
	hostile := map[journal.ID]bool{}
	for _, p := range w.phones {
		hostile[p.device] = p.hasForged
		for _, r := range p.rows {
			all = append(all, r.fact)
		}
	}
	all = slices.DeleteFunc(all, func(f journal.Fact) bool { return hostile[f.Device] })
	type number struct {
		scope journal.Scope
		journal.UsedNumber
	}
	given := map[number]journal.ID{}
	for _, f := range journal.SortedByStamp(all) {
		if b, ok := journal.DecodeBody[journal.BagClosed](f); ok && f.Kind == journal.KindBagClosed {
			n := number{f.Scope, journal.UsedNumber{Number: b.Number, Letter: b.Letter}}
			if other, twice := given[n]; twice {
				t.Errorf("bag %d%s was closed by %s and by %s", b.Number, b.Letter, w.nameOf(f.Device), w.nameOf(other))
			}
			given[n] = f.Device
		}
	}
}

// checkTimes checks that a clock with a constant error makes no corrected time wrong.
func (w *simulatedHouse) checkTimes(t *rapid.T, all []journal.Fact) {
	var measured []journal.Fact
	for _, f := range all {
		if f.Kind == journal.KindClockMeasured {
			measured = append(measured, f)
		}
	}
	for _, p := range w.phones {
		if !p.hasSteadyClock || p.wasRejected || !w.canSeeBatch(p) {
			continue
		}
		for _, f := range all {
			if f.Device != p.device {
				continue
			}
			one := append([]journal.Fact{f}, slices.DeleteFunc(slices.Clone(measured), func(m journal.Fact) bool { return m.Scope != f.Scope })...)
			at := w.trueTimes[f.ID]
			switch f.Kind {
			case journal.KindBagClosed:
				at = batch.Build(one).Bags[0].ClosedAt
			case journal.KindPlaceRead:
				at = batch.BuildPlace(one).Readings[0].At
			}
			w.countEvent(p.clockError != 0 && f.Kind == journal.KindBagClosed, "a bag closed by a wrong clock has the right time")
			w.countEvent(max(p.clockError, -p.clockError) == 7*zone.Day && f.Kind == journal.KindBagClosed, "a bag closed by a clock that is a week off has the right time")
			if off := at.Sub(w.trueTimes[f.ID]); off > journal.ClockSlack || off < -journal.ClockSlack {
				t.Errorf("%s of %s is told %v s late", f.Kind, p.name, int64(off)/1000)
			}
		}
	}
}
