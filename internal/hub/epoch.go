package hub

import (
	"encoding/hex"
	"encoding/json"

	"coldbatch/internal/exchange"
	"coldbatch/internal/fault"
)

// epoch identifies the facts that one run of the program wrote: those from a sequence
// number up to the next epoch. After a restore from a backup the journal continues in a
// new epoch. So a phone notices the restore even where the same fact comes to have the
// same sequence number again.
type epoch struct {
	FirstSequence uint64 `json:"from"`
	ID            string `json:"id"`
}

const (
	epochsKey = "eras"
	maxEpochs = 200 // a phone with a cursor from before these reads everything again
)

// newEpoch draws the id of this run's epoch.
func newEpoch(s System) string {
	var b [8]byte
	s.Random(b[:])
	return hex.EncodeToString(b[:])
}

func readEpochs(tx Tx) (list []epoch, err error) {
	if b := tx.Meta(epochsKey); len(b) > 0 && json.Unmarshal(b, &list) != nil {
		return nil, fault.New(fault.Damaged, "the list of epochs is damaged in the journal").
			WithHint("run `coldbatch check`, or restore a backup")
	}
	return list, nil
}

// recordEpoch records that the facts from seq on belong to this run's epoch.
func (w *factWriter) recordEpoch(seq uint64) error {
	list, err := readEpochs(w.tx)
	if err != nil {
		return err
	}
	if n := len(list); n > 0 && list[n-1].ID == w.hub.epoch {
		return nil
	}
	list = append(list, epoch{seq, w.hub.epoch})
	text, err := json.Marshal(list[max(0, len(list)-maxEpochs):])
	if err != nil {
		return err
	}
	return w.tx.SetMeta(epochsKey, text)
}

// findEpoch returns the epoch of the fact at seq, or "" where it is older than the list.
func findEpoch(list []epoch, seq uint64) string {
	id := ""
	for _, e := range list {
		if e.FirstSequence <= seq {
			id = e.ID
		}
	}
	return id
}

// isOwnCursor says whether this journal issued c and still holds what c covers. It is
// false for a cursor of another hub and for one from facts that a restore lost. A
// cursor without an epoch, from an app older than epochs, is judged by its fact alone.
func isOwnCursor(tx Tx, c exchange.Cursor) (bool, error) {
	if id, ok := tx.IDAt(c.Seq); !ok || id != c.FactID {
		return false, nil
	}
	if c.Epoch == "" {
		return true, nil
	}
	end := max(c.Seq, c.JournalEnd)
	list, err := readEpochs(tx)
	return err == nil && end <= tx.Last() && findEpoch(list, end) == c.Epoch, err
}

// completeCursor adds the journal's end and its epoch to c.
func completeCursor(tx Tx, c *exchange.Cursor) error {
	list, err := readEpochs(tx)
	if c == nil || err != nil {
		return err
	}
	last := tx.Last()
	if c.Epoch, c.JournalEnd = findEpoch(list, last), 0; last > c.Seq {
		c.JournalEnd = last
	}
	return nil
}
