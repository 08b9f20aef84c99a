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
func newEra(w System) string {
	var b [8]byte
	w.Random(b[:])
	return hex.EncodeToString(b[:])
}

func readEras(tx Tx) (list []era, err error) {
	if b := tx.Meta(erasKey); len(b) > 0 && json.Unmarshal(b, &list) != nil {
		return nil, fault.New(fault.Damaged, "the file does not say when its facts were written").
			WithHint("run `coldbatch check`, or go back to a backup")
	}
	return list, nil
}

// recordEra notes that the facts from seq on are of this era.
func (w *factWriter) recordEra(seq uint64) error {
	list, err := readEras(w.tx)
	if err != nil {
		return err
	}
	if n := len(list); n > 0 && list[n-1].ID == w.hub.era {
		return nil
	}
	list = append(list, era{seq, w.hub.era})
	text, err := json.Marshal(list[max(0, len(list)-maxEras):])
	if err != nil {
		return err
	}
	return w.tx.SetMeta(erasKey, text)
}

// findEra gives the era of the fact at seq; none where it is older than those kept.
func findEra(list []era, seq uint64) string {
	id := ""
	for _, e := range list {
		if e.From <= seq {
			id = e.ID
		}
	}
	return id
}

// isOwnCursor says whether c was given by this journal as it is, and not by another or
// by what a restored one has lost. One that bears no era, as phones have from
// before there were any, is told by its fact alone.
func isOwnCursor(tx Tx, c exchange.Cursor) (bool, error) {
	if id, ok := tx.IDAt(c.Seq); !ok || id != c.ID {
		return false, nil
	}
	if c.Era == "" {
		return true, nil
	}
	end := max(c.Seq, c.End)
	list, err := readEras(tx)
	return err == nil && end <= tx.Last() && findEra(list, end) == c.Era, err
}

// completeCursor completes a cursor by how far the journal goes.
func completeCursor(tx Tx, c *exchange.Cursor) error {
	list, err := readEras(tx)
	if c == nil || err != nil {
		return err
	}
	last := tx.Last()
	if c.Era, c.End = findEra(list, last), 0; last > c.Seq {
		c.End = last
	}
	return nil
}
