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

func (p *phone) olderAsk() olderRequest {
	q := olderRequest{Device: p.device, Now: p.clock(), Cursor: p.cursor, Facts: []json.RawMessage{}, Lease: []journal.ID{}}
	size := 0
	for _, f := range p.waiting() {
		if size += len(f.Text()); len(q.Facts) == min(p.most, 500) || size > 600e3 && len(q.Facts) > 0 {
			break
		}
		q.Facts = append(q.Facts, f.Text())
	}
	if p.whole {
		q.Lease = append(q.Lease, p.batches()...)
	}
	return q
}

// olderHear is cut short after so many transactions, where that is not 0.
func (p *phone) olderHear(a exchange.Answer, stops int) {
	for _, id := range a.Acks {
		p.rows[id].state = settled
	}
	for _, r := range a.Refused {
		p.rows[r.ID].state = refused
	}
	if stops == 1 {
		return
	}
	if a.Fresh {
		p.whole = false
		p.markWaiting("")
	}
	if stops == 2 {
		return
	}
	for _, f := range a.Facts {
		if r := p.rows[f.ID]; r != nil && r.state == waits {
			r.state = settled
		}
	}
	p.keep(a.Facts, settled)
	p.seen, p.cursor = journal.LatestStamp(p.seen, a.Facts, journal.MaxTime), a.Cursor
	more := a.More || a.Fresh || len(p.ids(waits)) > 0
	p.round = more || !p.whole
	p.whole = p.whole || !more
	if !p.round {
		p.join()
	}
}

func (p *phone) olderCorrect() {
	off := func(had zone.Span) bool { return had-p.offset > 2*zone.Minute || p.offset-had > 2*zone.Minute }
	untold := map[journal.Scope]bool{}
	for _, f := range journal.Ordered(p.waiting()) {
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
			p.record(journal.Draft{Scope: scope, Subject: subject, Kind: journal.KindClockMeasured, Body: text(journal.ClockMeasured{Offset: p.offset})})
		}
	}
}
