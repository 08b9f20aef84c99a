package hub

import (
	"encoding/json"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
)

// stateKey is where a batch's state is cached. It is dropped in the transaction
// that writes a fact of the batch, so what is there always belongs to the facts.
func stateKey(id journal.ID) string { return "batch/" + string(id) }

// readState gives the state of a batch: the cached one where this program made it,
// else worked out afresh.
func readState(tx Tx, id journal.ID) (batch.State, error) {
	var s batch.State
	if b := tx.Cache(stateKey(id)); len(b) > 0 && json.Unmarshal(b, &s) == nil && s.Version == batch.CacheVersion {
		return s, nil
	}
	facts, err := tx.Scope(journal.BatchScope(id))
	if err != nil {
		return batch.State{}, err
	}
	return batch.Build(facts), nil
}

// cacheStates works out and caches the states that are missing.
func cacheStates(tx Tx) error {
	for _, scope := range tx.Scopes() {
		id := scope.Batch()
		if id == "" {
			continue
		}
		s, err := readState(tx, id)
		if err != nil {
			return err
		}
		b, err := json.Marshal(s)
		if err != nil {
			return err
		}
		if err := tx.SetCache(stateKey(id), b); err != nil {
			return err
		}
	}
	return nil
}
