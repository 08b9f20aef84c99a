package hub

import (
	"encoding/hex"
	"encoding/json"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
)

// era is what one run of the program wrote: the facts from a sequence on, up to
// those of the next era. A journal that was put back from a copy goes on in
// another era than the one that the copy was made in, and so does not pass for
// what it was, though by chance the same fact may come to stand at the same
// sequence again.
type era struct {
	From uint64 `json:"from"`
	ID   string `json:"id"`
}

const (
	erasKey = "eras"
	maxEras = 200 // a phone that read no later one reads everything again
)

// newEra draws the id of this run's era.
func newEra(w World) string {
	var b [8]byte
	w.Random(b[:])
	return hex.EncodeToString(b[:])
}

func eras(tx Tx) (list []era, err error) {
	if b := tx.Meta(erasKey); len(b) > 0 && json.Unmarshal(b, &list) != nil {
		return nil, fault.New(fault.Damaged, "the file does not say when its facts were written").
			WithHint("run `coldbatch check`, or go back to a backup")
	}
	return list, nil
}

// begin notes that the facts from seq on are of this era.
func (p *pen) begin(seq uint64) error {
	list, err := eras(p.tx)
	if err != nil {
		return err
	}
	if n := len(list); n > 0 && list[n-1].ID == p.hub.era {
		return nil
	}
	list = append(list, era{seq, p.hub.era})
	text, err := json.Marshal(list[max(0, len(list)-maxEras):])
	if err != nil {
		return err
	}
	return p.tx.SetMeta(erasKey, text)
}

// eraOf gives the era of the fact at seq; none where it is older than those kept.
func eraOf(list []era, seq uint64) string {
	id := ""
	for _, e := range list {
		if e.From <= seq {
			id = e.ID
		}
	}
	return id
}

// knows says whether c was given by this journal as it is, and not by another or
// by what a restored one has lost. One that bears no era, as phones have from
// before there were any, is told by its fact alone.
func knows(tx Tx, c exchange.Cursor) (bool, error) {
	if id, ok := tx.IDAt(c.Seq); !ok || id != c.ID {
		return false, nil
	}
	if c.Era == "" {
		return true, nil
	}
	end := max(c.Seq, c.End)
	list, err := eras(tx)
	return err == nil && end <= tx.Last() && eraOf(list, end) == c.Era, err
}

// mark completes a cursor by how far the journal goes.
func mark(tx Tx, c *exchange.Cursor) error {
	list, err := eras(tx)
	if c == nil || err != nil {
		return err
	}
	last := tx.Last()
	if c.Era, c.End = eraOf(list, last), 0; last > c.Seq {
		c.End = last
	}
	return nil
}
