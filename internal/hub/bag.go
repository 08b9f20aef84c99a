package hub

import (
	"encoding/hex"

	"coldbatch/internal/batch"
	"coldbatch/internal/fault"
	"coldbatch/internal/label"
	"coldbatch/internal/rights"
)

// ViewBag tells how the bag stands now whose label carries code: the code itself, its
// whole address, or the id printed under it. Whoever holds the label may read that
// bag; the id alone, which is short, is for phones of the batch. The times are told
// by the clock of the zone where the bag was closed.
func (h *Hub) ViewBag(who rights.Asker, code string) (*batch.BagView, error) {
	if err := checkAct(who, rights.SeeBag); err != nil {
		return nil, err
	}
	find, whole, err := parseBagCode(code)
	if err != nil {
		return nil, err
	}
	if !whole && !rights.IsAllowed(who.Role, rights.SeeBatch) {
		return nil, fault.New(fault.Refused, "an id alone opens no bag on a phone that is not let in").
			WithHint("scan the code on the label, or pair this phone")
	}
	var view *batch.BagView
	cached := true
	err = h.journal.View(func(tx Tx) error {
		for _, scope := range tx.Scopes() {
			id := scope.Batch()
			if id == "" || !whole && !who.HasBatch(id) {
				continue
			}
			cached = cached && len(tx.Cache(stateKey(id))) > 0
			s, err := readState(tx, id)
			if err != nil {
				return err
			}
			if b, ok := find(s); ok {
				e, err := h.batchEnv(tx, s, b.TZ)
				if err != nil {
					return err
				}
				for _, v := range batch.ViewBatch(s, e).Bags {
					if v.ID == b.ID {
						view = &v
					}
				}
				return nil
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	if !cached {
		// Without the cache the next look only takes longer.
		_ = h.journal.Update(cacheStates)
	}
	if view == nil && !whole && who.Role == rights.Helper {
		return nil, fault.New(fault.Refused, "no batch that this phone helps with has that bag").WithHint("scan the code on the label")
	}
	if view == nil {
		return nil, fault.New(fault.NotFound, "no batch here has the bag of that label").
			WithHint("its batch is another house's, or the phone that closed it has not met this program since")
	}
	return view, nil
}

// parseBagCode reads code and gives what finds the bag that it names, and whether it holds
// the whole token of the label.
func parseBagCode(code string) (find func(batch.State) (batch.Bag, bool), whole bool, err error) {
	c, ok := label.FindCode(code)
	if !ok {
		id, err := label.ParseID(code)
		return matchTypedID(id), false, err
	}
	l, err := label.Decode(c)
	if err == nil || fault.Is(err, fault.Newer) { // the token's place is fixed for ever
		token := hex.EncodeToString(l.Token[:])
		return func(s batch.State) (batch.Bag, bool) { return s.BagByToken(token) }, true, nil
	}
	if id, notID := label.ParseID(code); notID == nil {
		return matchTypedID(id), false, nil
	}
	return nil, false, err
}

func matchTypedID(id string) func(batch.State) (batch.Bag, bool) {
	return func(s batch.State) (batch.Bag, bool) { return s.BagByTypedID(id) }
}
