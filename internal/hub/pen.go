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
	tx      Tx
	author  journal.Author
	written int
}

const stampKey = "stamp"

func (h *Hub) pen(tx Tx, now zone.Instant) *pen {
	a := journal.Author{Device: h.ID, Now: now, TZ: h.Zone, Random: h.world.Random}
	if b := tx.Meta(stampKey); len(b) > 0 {
		_ = a.Seen.UnmarshalText(b) // one that does not read is none
	}
	return &pen{tx: tx, author: a}
}

// take appends a fact as it came.
func (p *pen) take(f journal.Fact) error {
	if p.tx.Has(f.ID) {
		return nil
	}
	if _, err := p.tx.Append(f); err != nil {
		return err
	}
	p.written++
	p.author.Seen = journal.Latest(p.author.Seen, []journal.Fact{f})
	if id := f.Scope.Batch(); id != "" {
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
	return p.take(facts[0])
}

// done keeps the clock of stamps and gives the newest sequence; where nothing was
// written it does nothing and gives 0.
func (p *pen) done() (wrote uint64, err error) {
	if p.written == 0 {
		return 0, nil
	}
	return p.tx.Last(), p.tx.SetMeta(stampKey, []byte(p.author.Seen.String()))
}
