package hub

import (
	"encoding/json"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// stateKey is the cache key of a batch's state. The transaction that writes a fact of
// the batch drops it, so a cached state always matches the facts.
func stateKey(id journal.ID) string { return "batch/" + string(id) }

// readState returns the state of a batch: the cached one where this version of the
// program made it, or else one computed from the facts as they stand at now.
func readState(tx Tx, id journal.ID, now zone.Instant) (batch.State, error) {
	var s batch.State
	if b := tx.Cache(stateKey(id)); len(b) > 0 && json.Unmarshal(b, &s) == nil && s.Version == batch.CacheVersion && s.IsCurrentAt(now) {
		return s, nil
	}
	facts, err := tx.Scope(journal.BatchScope(id))
	if err != nil {
		return batch.State{}, err
	}
	return batch.BuildAsOf(facts, now), nil
}

// cacheStates caches the state of every batch.
func cacheStates(tx Tx, now zone.Instant) error {
	for _, scope := range tx.Scopes() {
		id := scope.Batch()
		if id == "" {
			continue
		}
		s, err := readState(tx, id, now)
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
