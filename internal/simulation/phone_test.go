package simulation

import (
	"maps"
	"slices"

	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// What the hub lacks waits; what it would not take was refused, or left to those who
// wrote it; what it has is settled.
type factState string

const (
	stateSynced     factState = "settled"
	stateWaiting    factState = "waits"
	stateRefused    factState = "refused"
	stateNotRelayed factState = "left"
)

type storedFact struct {
	fact journal.Fact
	factState
}

// phone is one phone, with an app on it.
type phone struct {
	w               *simulatedHouse
	name            string
	isHelper        bool // it is paired by a share code only
	isLocalBrowser  bool // it is the browser of the computer itself
	hasOlderApp     bool // its app is the version before this one
	hasNewerApp     bool // its app is a later one and writes kinds that no other knows
	hasForged       bool // its app is not ours and has made up facts
	maxFactsPerCall int  // facts that it sends in one call

	// Storage.
	device         journal.ID
	rows           map[journal.ID]*storedFact
	cursor         *exchange.Cursor
	latestStamp    journal.Stamp
	offset         zone.Span
	offsetMeasured zone.Instant // when offset was measured, by the phone's own clock
	letter         string
	aheadFacts     map[journal.ID]bool // facts whose stamps were ahead of the hub's clock when it answered
	token          string

	// What a restart forgets.
	isCaughtUp   bool
	isExchanging bool // whether it is in the middle of an exchange
	flight       *requestInFlight
	givenFacts   int // of what waits, to a hub that lets it in no more

	clockError       zone.Span // its clock is so far ahead
	hasSteadyClock   bool      // and always was
	wasRejected      bool      // the owner rejected something of it, maybe what corrects its clock
	hasUnsteadyClock bool      // somebody sets it
}

func (p *phone) clock() zone.Instant { return p.w.now.Add(p.clockError) }

// restart ends the app; what was on the way is answered to nobody.
func (p *phone) restart() {
	p.abandonRequest()
	p.isCaughtUp, p.isExchanging = false, false
}

// abandonRequest gives up waiting for an answer. A request that has not arrived may do so
// later.
func (p *phone) abandonRequest() {
	if f := p.flight; f != nil && !f.hasArrived {
		p.w.lateRequests = append(p.w.lateRequests, lateRequest{p, f.body})
	}
	p.flight, p.isExchanging = nil, false
}

// addFacts puts facts into the storage.
func (p *phone) addFacts(facts []journal.Fact, s factState) {
	for _, f := range facts {
		if p.rows[f.ID] == nil {
			p.rows[f.ID] = &storedFact{f, s}
		}
	}
}

// record writes what a person did.
func (p *phone) record(drafts ...journal.Draft) []journal.Fact {
	p.w.t.Helper()
	a := journal.Author{Device: p.device, LatestStamp: p.latestStamp, Now: p.clock(), TZ: "Europe/Lisbon",
		Offset: p.offset, OffsetMeasured: p.offsetMeasured, Random: p.w.random.fill}
	facts, err := a.MakeFacts(drafts)
	p.w.mustSucceed(err)
	p.recordOwn(facts)
	p.latestStamp = a.LatestStamp
	return facts
}

func (p *phone) recordOwn(facts []journal.Fact) {
	for _, f := range facts {
		for _, r := range p.rows {
			if !r.fact.Stamp.Less(f.Stamp) && !p.aheadFacts[r.fact.ID] { // the cause comes before the effect
				p.w.t.Fatalf("%s writes %s before %s, which it has read", p.name, f.Kind, r.fact.Kind)
			}
		}
	}
	p.addFacts(facts, stateWaiting)
	for _, f := range facts {
		p.w.writtenFacts[f.ID], p.w.trueTimes[f.ID] = f, p.w.now
	}
}

// idsInState returns the ids of the phone's facts that are in state s, in order.
func (p *phone) idsInState(s factState) (ids []journal.ID) {
	for id, r := range p.rows {
		if r.factState == s {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	return ids
}

// waitingFacts returns all facts that the hub lacks, in the order of the storage.
func (p *phone) waitingFacts() (facts []journal.Fact) {
	for _, id := range p.idsInState(stateWaiting) {
		facts = append(facts, p.rows[id].fact)
	}
	return facts
}

// markWaiting marks the facts in a state as waiting to be sent, or all where it is empty.
func (p *phone) markWaiting(s factState) {
	for _, r := range p.rows {
		if s == "" || r.factState == s {
			r.factState = stateWaiting
		}
	}
}

// factsOf returns the facts that the phone has of a scope, in arbitrary order.
func (p *phone) factsOf(scope journal.Scope) (facts []journal.Fact) {
	for _, id := range slices.Sorted(maps.Keys(p.rows)) {
		if r := p.rows[id]; r.fact.Scope == scope {
			facts = append(facts, r.fact)
		}
	}
	return facts
}

// scopes returns the scopes of a sort of which it has facts.
func (p *phone) scopes(sort string) (list []journal.Scope) {
	for _, r := range p.rows {
		if s, _ := r.fact.Scope.Split(); s == sort && !slices.Contains(list, r.fact.Scope) {
			list = append(list, r.fact.Scope)
		}
	}
	slices.Sort(list)
	return list
}

// batches are the batches that it knows.
func (p *phone) batches() (ids []journal.ID) {
	for _, s := range p.scopes("batch") {
		ids = append(ids, s.Batch())
	}
	return ids
}
