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
type state string

const (
	settled state = "settled"
	waits   state = "waits"
	refused state = "refused"
	left    state = "left"
)

type row struct {
	fact journal.Fact
	state
}

// phone is one phone, with an app on it.
type phone struct {
	w      *world
	name   string
	helper bool // it is paired by a share code only
	local  bool // it is the browser of the computer itself
	older  bool // its app is the version before this one
	newer  bool // its app is a later one and writes kinds that no other knows
	most   int  // facts that it sends in one call

	// Storage.
	device  journal.ID
	rows    map[journal.ID]*row
	cursor  *exchange.Cursor
	seen    journal.Stamp
	offset  zone.Span
	checked zone.Instant // when offset was measured, by the phone's own clock
	letter  string
	ahead   map[journal.ID]bool // facts whose stamps were ahead of the hub's clock when it answered
	token   string

	// What a restart forgets.
	whole  bool
	round  bool // whether it is in the middle of an exchange
	flight *flight
	given  int // of what waits, to a hub that lets it in no more

	wrong    zone.Span // its clock is so far ahead
	steady   bool      // and always was
	unsteady bool      // somebody sets it
}

func (p *phone) clock() zone.Instant { return p.w.now.Add(p.wrong) }

// restart ends the app; what was on the way is answered to nobody.
func (p *phone) restart() {
	p.abandon()
	p.whole, p.round = false, false
}

// abandon gives up waiting for an answer. A request that has not arrived may do so
// later.
func (p *phone) abandon() {
	if f := p.flight; f != nil && !f.arrived {
		p.w.ghosts = append(p.w.ghosts, ghost{p, f.body})
	}
	p.flight, p.round = nil, false
}

// keep puts facts into the storage.
func (p *phone) keep(facts []journal.Fact, s state) {
	for _, f := range facts {
		if p.rows[f.ID] == nil {
			p.rows[f.ID] = &row{f, s}
		}
	}
}

// record writes what a person did.
func (p *phone) record(drafts ...journal.Draft) []journal.Fact {
	p.w.t.Helper()
	a := journal.Author{Device: p.device, Seen: p.seen, Now: p.clock(), TZ: "Europe/Lisbon",
		Offset: p.offset, Measured: p.checked, Random: p.w.dice.fill}
	facts, err := a.Write(drafts)
	p.w.mustSucceed(err)
	p.recordOwn(facts)
	p.seen = a.Seen
	return facts
}

func (p *phone) recordOwn(facts []journal.Fact) {
	for _, f := range facts {
		for _, r := range p.rows {
			if !r.fact.Stamp.Less(f.Stamp) && !p.ahead[r.fact.ID] { // the cause comes before the effect
				p.w.t.Fatalf("%s writes %s before %s, which it has read", p.name, f.Kind, r.fact.Kind)
			}
		}
	}
	p.keep(facts, waits)
	for _, f := range facts {
		p.w.wrote[f.ID], p.w.happen[f.ID] = f, p.w.now
	}
}

// ids gives those of its facts in that state, in their order.
func (p *phone) ids(s state) (ids []journal.ID) {
	for id, r := range p.rows {
		if r.state == s {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	return ids
}

// waiting gives all facts that the hub lacks, in the order of the storage.
func (p *phone) waiting() (facts []journal.Fact) {
	for _, id := range p.ids(waits) {
		facts = append(facts, p.rows[id].fact)
	}
	return facts
}

// markWaiting marks the facts in a state as waiting to be sent, or all where it is empty.
func (p *phone) markWaiting(s state) {
	for _, r := range p.rows {
		if s == "" || r.state == s {
			r.state = waits
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

// scopes gives the scopes of a sort of which it has facts.
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
