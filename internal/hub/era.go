package hub

import (
	"encoding/hex"
	"encoding/json"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
)

// era identifies the facts that one run of the program wrote: those from a sequence
// number up to the next era. After a restore from a backup the journal continues in a
// new era. So a phone notices the restore even where the same fact comes to have the
// same sequence number again.
type era struct {
	From uint64 `json:"from"`
	ID   string `json:"id"`
}

const (
	erasKey = "eras"
	maxEras = 200 // a phone with a cursor from before these reads everything again
)

// newEra draws the id of this run's era.
func newEra(s System) string {
	var b [8]byte
	s.Random(b[:])
	return hex.EncodeToString(b[:])
}

func readEras(tx Tx) (list []era, err error) {
	if b := tx.Meta(erasKey); len(b) > 0 && json.Unmarshal(b, &list) != nil {
		return nil, fault.New(fault.Damaged, "the list of eras is damaged in the journal").
			WithHint("run `coldbatch check`, or restore a backup")
	}
	return list, nil
}

// recordEra records that the facts from seq on belong to this run's era.
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

// findEra returns the era of the fact at seq, or "" where it is older than the list.
func findEra(list []era, seq uint64) string {
	id := ""
	for _, e := range list {
		if e.From <= seq {
			id = e.ID
		}
	}
	return id
}

// isOwnCursor says whether this journal issued c and still holds what c covers. It is
// false for a cursor of another hub and for one from facts that a restore lost. A
// cursor without an era, from an app older than eras, is judged by its fact alone.
func isOwnCursor(tx Tx, c exchange.Cursor) (bool, error) {
	if id, ok := tx.IDAt(c.Seq); !ok || id != c.FactID {
		return false, nil
	}
	if c.Era == "" {
		return true, nil
	}
	end := max(c.Seq, c.JournalEnd)
	list, err := readEras(tx)
	return err == nil && end <= tx.Last() && findEra(list, end) == c.Era, err
}

// completeCursor adds the journal's end and its era to c.
func completeCursor(tx Tx, c *exchange.Cursor) error {
	list, err := readEras(tx)
	if c == nil || err != nil {
		return err
	}
	last := tx.Last()
	if c.Era, c.JournalEnd = findEra(list, last), 0; last > c.Seq {
		c.JournalEnd = last
	}
	return nil
}
