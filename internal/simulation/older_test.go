package simulation

import (
	"encoding/json"

	"coldbatch/internal/exchange"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// The app of the version before: it worked out by itself, in JavaScript, what to
// send and what an answer means, wrote that down in three transactions, and sent
// its clock along. It gives a cursor back as it got it.

type olderRequest struct {
	Device journal.ID        `json:"device"`
	Now    zone.Instant      `json:"now"`
	Cursor *exchange.Cursor  `json:"cursor"`
	Facts  []json.RawMessage `json:"facts"`
	Lease  []journal.ID      `json:"lease"`
}

func (p *phone) olderNextRequest() olderRequest {
	q := olderRequest{Device: p.device, Now: p.clock(), Cursor: p.cursor, Facts: []json.RawMessage{}, Lease: []journal.ID{}}
	size := 0
	for _, f := range p.waitingFacts() {
		if size += len(f.Text()); len(q.Facts) == min(p.maxFactsPerCall, 500) || size > 600e3 && len(q.Facts) > 0 {
			break
		}
		q.Facts = append(q.Facts, f.Text())
	}
	if p.isCaughtUp {
		q.Lease = append(q.Lease, p.batches()...)
	}
	return q
}

// olderApplyAnswer is cut short after so many transactions, where that is not 0.
func (p *phone) olderApplyAnswer(a exchange.Answer, stops int) {
	for _, id := range a.Acks {
		p.rows[id].factState = stateSynced
	}
	for _, r := range a.Refused {
		p.rows[r.ID].factState = stateRefused
	}
	if stops == 1 {
		return
	}
	if a.StartsOver {
		p.isCaughtUp = false
		p.markWaiting("")
	}
	if stops == 2 {
		return
	}
	for _, f := range a.Facts {
		if r := p.rows[f.ID]; r != nil && r.factState == stateWaiting {
			r.factState = stateSynced
		}
	}
	p.addFacts(a.Facts, stateSynced)
	p.latestStamp, p.cursor = journal.LatestStamp(p.latestStamp, a.Facts, journal.MaxTime), a.Cursor
	more := a.HasMore || a.StartsOver || len(p.idsInState(stateWaiting)) > 0
	p.isExchanging = more || !p.isCaughtUp
	p.isCaughtUp = p.isCaughtUp || !more
	if !p.isExchanging {
		p.join()
	}
}

func (p *phone) olderCorrectClocks() {
	off := func(had zone.Span) bool { return had-p.offset > 2*zone.Minute || p.offset-had > 2*zone.Minute }
	untold := map[journal.Scope]bool{}
	for _, f := range journal.SortedByStamp(p.waitingFacts()) {
		if sort, _ := f.Scope.Split(); f.Device != p.device || sort != "batch" && sort != "place" {
			continue
		}
		if f.Kind == journal.KindClockMeasured {
			if m, ok := journal.DecodeBody[journal.ClockMeasured](f); ok && !off(m.Offset) {
				delete(untold, f.Scope)
			}
		} else if f.Clock == nil || off(f.Clock.Offset) {
			untold[f.Scope] = true
		}
	}
	for _, scope := range append(p.scopes("batch"), p.scopes("place")...) {
		if untold[scope] {
			_, subject := scope.Split()
			p.record(journal.Draft{Scope: scope, Subject: subject, Kind: journal.KindClockMeasured, Body: mustMarshal(journal.ClockMeasured{Offset: p.offset})})
		}
	}
}
