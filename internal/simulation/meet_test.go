package simulation

import (
	"encoding/json"
	"fmt"
	"slices"

	"pgregory.net/rapid"

	"coldbatch/internal/api"
	"coldbatch/internal/batch"
	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
	"coldbatch/internal/zone"
)

// requestInFlight is a request on its way, or its answer.
type requestInFlight struct {
	body       []byte
	sentFacts  []exchange.SentFact
	hasArrived bool
	answer     []byte
	err        error
}

// lateRequest is a request that arrives though nobody waits for its answer.
type lateRequest struct {
	from *phone
	body []byte
}

// exchangeFailure is what becomes of a request.
type exchangeFailure int

const (
	noFailure exchangeFailure = iota
	requestLost
	answerLost
	requestTwice    // the network brings it twice; the second answer is heard
	phoneStops      // when the answer has come, before anything of it is written
	phoneStopsAfter // when all of it is written
	hubStops        // before the write has reached the disk
	hubStopsAfter   // when it has, before it answers
	requestSlow     // it arrives later
	slowAnswer      // the answer does
	failureCount
)

func (m exchangeFailure) String() string {
	return [...]string{"", ", lost on the way", ", the answer is lost", ", brought twice", ", the phone stops before it wrote the answer down",
		", the phone stops afterwards", ", the program stops before it wrote", ", the program stops after it wrote", ", still on the way", ", the answer still on its way"}[m]
}

// drawFailure mostly draws no failure.
func drawFailure(t *rapid.T) exchangeFailure {
	return exchangeFailure(max(0, rapid.IntRange(-int(failureCount)/2, int(failureCount)-1).Draw(t, "mishap")))
}

// maxClockAnswer is the longest that an answer may take if a clock is measured by it.
const maxClockAnswer = 5 * zone.Second

// askAbout asks for the hub's id and time over a network with delays, shorter ones where t
// is nil. It returns the phone as the hub identifies it.
func (p *phone) askAbout(t *rapid.T) (who rights.Asker, ok bool) {
	w := p.w
	there, back := zone.Span(100), zone.Span(100)
	if t != nil {
		there = zone.Span(rapid.IntRange(0, 3000).Draw(t, "ms there"))
		back = zone.Span(rapid.IntRange(0, 3000).Draw(t, "ms back"))
	}
	asked := p.clock()
	w.now = w.now.Add(there)
	about, err := w.hub.About(ctx, w.askerOf(p), "test")
	w.mustSucceed(err)
	w.now = w.now.Add(back)
	heard := p.clock()
	if heard.Sub(asked) < maxClockAnswer {
		p.offset, p.offsetMeasured = about.Now.Sub(asked.Add(heard.Sub(asked)/2)), heard
		p.correctClocks()
		return about.Asker, true
	}
	if p.hasOlderApp { // it went on all the same, and some times stayed wrong
		p.hasSteadyClock = false
		return about.Asker, true
	}
	return about.Asker, false
}

func (p *phone) correctClocks() {
	if p.hasOlderApp {
		p.olderCorrectClocks()
		return
	}
	if drafts := exchange.DraftClockCorrections(p.waitingFacts(), p.device, p.offset); len(drafts) > 0 {
		p.record(drafts...)
	}
}

// step does the next thing of an exchange: it begins one with a greeting, sends a
// request, or hears of the one that is on its way.
func (p *phone) step(t *rapid.T, m exchangeFailure) {
	w := p.w
	if p.flight == nil && !p.isExchanging {
		who, ok := p.askAbout(t)
		if !ok || !who.Revoked && !rights.IsAllowed(who.Role, rights.SeeBatch) {
			w.logf("%s greets the program: %s %s", p.name, who.Role, map[bool]string{true: "measured", false: "too slow"}[ok])
			return
		}
		p.isExchanging, p.givenFacts = true, 0
	}
	if p.flight == nil {
		p.prepareRequest()
		w.logf("%s sends %d of %d and asks from %s%s", p.name, len(p.flight.sentFacts), len(p.idsInState(stateWaiting)), formatCursor(p.cursor), m)
	} else {
		w.logf("%s has a request on its way%s", p.name, m)
	}
	w.countEvent(true, "mishap"+m.String())
	f := p.flight
	if !f.hasArrived {
		switch m {
		case requestSlow:
			return
		case requestLost:
			p.abandonRequest()
			return
		case hubStops, hubStopsAfter:
			w.disk.failsBefore, w.disk.failsAfter = m == hubStops, m == hubStopsAfter
			w.deliverLateRequest(f, p)
			w.hub.Close()
			w.open()
			p.flight, p.isExchanging = nil, false
			return
		case requestTwice:
			first := *f
			w.deliverLateRequest(&first, p)
		}
		w.deliverLateRequest(f, p)
	}
	switch m {
	case slowAnswer:
		return
	case answerLost, requestLost:
		p.flight, p.isExchanging = nil, false
		return
	case phoneStops:
		p.restart()
		return
	}
	// An older app may stop between its transactions. Where the hub was then put
	// back from a copy of before, it lost what it took for settled.
	stops := 0
	if m == phoneStopsAfter && p.hasOlderApp && w.backup == nil {
		stops = rapid.IntRange(0, 2).Draw(t, "transactions")
	}
	p.applyAnswer(stops)
	if m == phoneStopsAfter {
		p.restart()
	}
}

func formatCursor(c *exchange.Cursor) string {
	if c == nil {
		return "the beginning"
	}
	return fmt.Sprintf("fact %d", c.Seq)
}

// prepareRequest makes the next request of the phone.
func (p *phone) prepareRequest() {
	var q any
	var sent []json.RawMessage
	if p.hasOlderApp {
		r := p.olderNextRequest()
		q, sent = r, r.Facts
	} else {
		waiting := p.waitingFacts()
		texts := []json.RawMessage{}
		from := min(p.givenFacts, len(waiting))
		for _, f := range waiting[from:min(from+p.maxFactsPerCall, len(waiting))] {
			texts = append(texts, f.Text())
		}
		lease := p.batches()
		if len(texts) < len(waiting) {
			lease = nil // the page gives all that wait, or as many as go into one call
		}
		r := exchange.NextRequest(p.syncState(), texts, lease)
		q, sent = r, r.Facts
	}
	p.flight = &requestInFlight{body: mustMarshal(q)}
	for _, b := range sent {
		var f journal.Fact
		p.w.mustSucceed(json.Unmarshal(b, &f))
		p.flight.sentFacts = append(p.flight.sentFacts, exchange.SentFact{ID: f.ID, Device: f.Device})
	}
}

func (p *phone) syncState() exchange.PhoneState {
	return exchange.PhoneState{Device: p.device, Cursor: p.cursor, LatestStamp: p.latestStamp, CaughtUp: p.isCaughtUp}
}

// deliverLateRequest lets the hub answer.
func (w *simulatedHouse) deliverLateRequest(f *requestInFlight, p *phone) {
	f.hasArrived = true
	var q exchange.Request
	w.mustSucceed(json.Unmarshal(f.body, &q))
	who := w.askerOf(p)
	a, err := w.hub.Exchange(ctx, who, q)
	if f.err = err; err != nil {
		w.countEvent(who.Revoked && len(q.Facts) > 0, "what a phone sends is held")
		if !fault.Is(err, fault.Refused) && err != errCrash {
			w.t.Fatalf("%s is answered: %v", p.name, err)
		}
		return
	}
	w.checkVisible(who, a.Facts)
	w.countEvent(a.StartsOver, "a phone exchanges everything afresh")
	w.countEvent(a.HasMore, "an answer has more than one call's worth")
	w.countEvent(p.hasOlderApp && !w.hasOlderProgram, "an older app meets the new program")
	w.countEvent(who.Role == rights.Helper, "a helper is answered")
	if w.hasOlderProgram && a.Cursor != nil { // it gave no more than that
		a.Cursor = &exchange.Cursor{Seq: a.Cursor.Seq, FactID: a.Cursor.FactID}
	}
	f.answer = mustMarshal(a)
}

// checkVisible fails where a phone is given what it may not see, by the table of rights
// and by what stands where.
func (w *simulatedHouse) checkVisible(who rights.Asker, facts []journal.Fact) {
	if who.Role == rights.Owner {
		return
	}
	sees := w.canSee(who)
	for _, f := range facts {
		if !sees(f.Scope) {
			w.t.Fatalf("a helper is given %s in %s", f.Kind, f.Scope)
		}
	}
}

// canSee says whether a helper may see a scope: its batches, and the places where
// their bags stand or stood.
func (w *simulatedHouse) canSee(who rights.Asker) func(journal.Scope) bool {
	scopes := map[journal.Scope]bool{}
	for _, id := range who.Batches {
		scopes[journal.BatchScope(id)] = true
		for _, b := range batch.Build(w.facts(journal.BatchScope(id))).Bags {
			for _, stay := range b.Stays {
				scopes[journal.PlaceScope(stay.Place)] = true
			}
		}
	}
	return func(s journal.Scope) bool { return scopes[s] }
}

// applyAnswer records the result of the answer, and continues or ends the round. An older
// app stops after so many transactions, where that is not 0.
func (p *phone) applyAnswer(stops int) {
	f := p.flight
	p.flight = nil
	if f.err != nil { // what a removed phone sends is quarantined: it sends everything once
		p.givenFacts += len(f.sentFacts)
		p.isExchanging = len(f.sentFacts) > 0 && p.givenFacts < len(p.idsInState(stateWaiting))
		return
	}
	p.givenFacts = 0
	var a exchange.Answer
	p.w.mustSucceed(json.Unmarshal(f.answer, &a))
	for id, r := range p.rows {
		if r.fact.Stamp.IsAhead(a.Now) {
			p.aheadFacts[id] = true
		}
	}
	for _, x := range a.Facts {
		if x.Stamp.IsAhead(a.Now) {
			p.aheadFacts[x.ID] = true
		}
	}
	if p.hasOlderApp {
		p.olderApplyAnswer(a, stops)
		return
	}
	var known []journal.ID
	for _, x := range a.Facts {
		if p.rows[x.ID] != nil {
			known = append(known, x.ID)
		}
	}
	steps, err := exchange.PlanAnswer(p.syncState(), f.sentFacts, a, known)
	p.w.mustSucceed(err)
	if steps.Resend {
		p.markWaiting("")
	}
	for _, id := range steps.Acknowledged {
		p.rows[id].factState = stateSynced
	}
	for _, id := range steps.NotRelayed {
		p.w.countEvent(true, "what others wrote is left to them")
		p.rows[id].factState = stateNotRelayed
	}
	for _, r := range steps.Refused {
		p.w.countEvent(true, "a fact is refused")
		p.rows[r.ID].factState = stateRefused
	}
	p.addFacts(slices.DeleteFunc(slices.Clone(a.Facts), func(x journal.Fact) bool { return !slices.Contains(steps.NewFacts, x.ID) }), stateSynced)
	if p.latestStamp.IsAhead(a.Now) { // as static/journal/facts.js does: it stays behind no fact that is not ahead
		for _, r := range p.rows {
			if steps.Phone.LatestStamp.Less(r.fact.Stamp) && !r.fact.Stamp.IsAhead(a.Now) {
				steps.Phone.LatestStamp = r.fact.Stamp
			}
		}
	}
	p.cursor, p.latestStamp, p.isCaughtUp = steps.Phone.Cursor, steps.Phone.LatestStamp, steps.Phone.CaughtUp
	if p.isExchanging = steps.HasMore || len(p.idsInState(stateWaiting)) > 0; !p.isExchanging {
		p.join()
	}
}

// join gets a letter.
func (p *phone) join() {
	if p.letter != "" {
		return
	}
	joined, err := p.w.hub.RegisterPhone(ctx, p.w.askerOf(p), api.JoinRequest{Device: p.device, Name: p.name})
	if fault.Is(err, fault.Refused) {
		return
	}
	p.w.mustSucceed(err)
	p.letter = joined.Letter
}

// exchangeAll exchanges until there is no more to do, over a good network.
func (p *phone) exchangeAll() {
	p.w.t.Helper()
	most := 200 + len(p.rows) // a phone that sends two facts a call may have to send all it has
	for n := 0; ; n++ {
		if n > most {
			p.w.t.Fatalf("%s does not come to an end", p.name)
		}
		p.step(nil, noFailure)
		if !p.isExchanging && p.flight == nil {
			return
		}
	}
}
