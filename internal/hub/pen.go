package hub

import (
	"encoding/json"

	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// pen writes facts within one transaction: those that phones bring and the
// hub's own. It keeps the hub's clock of stamps, which is ahead of every fact it
// has seen, and drops what was worked out from the facts of a scope it writes in.
type pen struct {
	hub    *Hub
	tx     Tx
	author journal.Author
	took   []*journal.Fact
	first  uint64 // the sequence of the first of them
	came   int    // how many of them, the first ones, the phone itself brought
	doubts doubtful
	briefs map[journal.ID]brief // worked out since
	stale  map[journal.ID]bool  // batches whose cached state was dropped
	seq    uint64               // the newest, once all is written; 0 where nothing was
}

const stampKey = "stamp"

func (h *Hub) pen(tx Tx, now zone.Instant) *pen {
	a := journal.Author{Device: h.ID, Now: now, TZ: h.Zone, Random: h.world.Random}
	if b := tx.Meta(stampKey); len(b) > 0 {
		_ = a.Seen.UnmarshalText(b) // one that does not read is none
	}
	return &pen{hub: h, tx: tx, author: a, stale: map[journal.ID]bool{},
		doubts: doubtful{batches: map[journal.ID]bool{}}, briefs: map[journal.ID]brief{}}
}

// take appends a fact as it came.
func (p *pen) take(f *journal.Fact) error {
	if len(p.took) == 0 {
		p.first = p.tx.Last() + 1
	}
	seq, err := p.tx.Append(*f)
	if err != nil || seq < p.first+uint64(len(p.took)) { // it was known
		return err
	}
	if len(p.took) == 0 {
		p.first = seq
		if err := p.begin(seq); err != nil {
			return err
		}
	}
	p.took = append(p.took, f)
	if id := p.doubts.by(f); id != "" {
		delete(p.briefs, id)
	}
	if p.author.Seen.Less(f.Stamp) {
		p.author.Seen = f.Stamp
	}
	if id := f.Scope.Batch(); id != "" && !p.stale[id] {
		p.stale[id] = true
		return p.tx.SetCache(stateKey(id), nil)
	}
	return nil
}

// write appends the hub's own fact.
func (p *pen) write(scope journal.Scope, subject journal.ID, kind string, body any) error {
	text, err := json.Marshal(body)
	if err != nil {
		return err
	}
	facts, err := p.author.Write([]journal.Draft{{Scope: scope, Subject: subject, Kind: kind, Body: text}})
	if err != nil {
		return err
	}
	return p.take(&facts[0])
}

// done keeps the clock of stamps; where nothing was written it does nothing.
func (p *pen) done() error {
	if len(p.took) == 0 {
		return nil
	}
	p.seq = p.tx.Last()
	return p.tx.SetMeta(stampKey, []byte(p.author.Seen.String()))
}

// write lets do write in one transaction. When it returns, what was written is on
// the disk, and what it made doubtful is forgotten: before the next one writes.
func (h *Hub) write(now zone.Instant, do func(*pen) error) (p *pen, err error) {
	h.writing.Lock()
	defer h.writing.Unlock()
	err = h.journal.Update(func(tx Tx) error {
		p = h.pen(tx, now)
		if err := do(p); err != nil {
			return err
		}
		return p.done()
	})
	if err != nil {
		if p != nil { // where only the last sync failed, what was written may be seen all the same
			p.briefs = nil
			h.settled(p)
		}
		return nil, err
	}
	h.settled(p)
	return p, nil
}
