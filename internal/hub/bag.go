package hub

import (
	"context"
	"encoding/hex"

	"coldbatch/internal/batch"
	"coldbatch/internal/batchview"
	"coldbatch/internal/fault"
	"coldbatch/internal/label"
	"coldbatch/internal/rights"
)

// ViewBag shows the bag that a label leads to. code is the label's code, its whole
// address, or the id printed under it. Whoever holds the label may see that bag; the
// id alone, which is short, serves only phones of the batch. Times are shown in the
// zone where the bag was closed.
func (h *Hub) ViewBag(ctx context.Context, who rights.Asker, code string) (*batchview.BagView, error) {
	if err := checkAct(who, rights.SeeBag); err != nil {
		return nil, err
	}
	find, hasToken, err := parseBagCode(code)
	if err != nil {
		return nil, err
	}
	if !hasToken && !rights.IsAllowed(who.Role, rights.SeeBatch) {
		return nil, fault.New(fault.Refused, "this phone is not paired, so it cannot open a bag by its id").
			WithHint("scan the code on the label, or pair this phone")
	}
	var view *batchview.BagView
	cached := true
	err = h.viewJournal(ctx, func(tx Tx) error {
		for _, scope := range tx.Scopes() {
			id := scope.Batch()
			if id == "" || !hasToken && !who.HasBatch(id) {
				continue
			}
			cached = cached && len(tx.Cache(stateKey(id))) > 0
			s, err := readState(tx, id, h.latestTime())
			if err != nil {
				return err
			}
			if b, ok := find(s); ok {
				e, err := h.batchEnv(tx, who, s, b.TZ)
				if err != nil {
					return err
				}
				for _, v := range batchview.ViewBatch(s, e).Bags {
					if v.ID == b.ID {
						if !who.HasBatch(id) {
							v.Photos, v.Place = nil, "" // a hash is the key to a photo, and the id of a place to its record
						}
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
		// Where this fails, such as on a full disk, the next view only takes longer.
		_ = h.updateJournal(ctx, func(tx Tx) error { return cacheStates(tx, h.latestTime()) })
	}
	if view == nil && !hasToken && who.Role == rights.Helper {
		return nil, fault.New(fault.Refused, "that bag is not in a batch that this phone helps with").WithHint("scan the code on the label")
	}
	if view == nil {
		return nil, fault.New(fault.NotFound, "the bag on that label is not in any batch here").
			WithHint("the batch belongs to another house, or the phone that closed the bag has not synced since")
	}
	return view, nil
}

// parseBagCode reads code and returns a function that finds its bag in a batch.
// hasToken says whether code contains the label's whole token.
func parseBagCode(code string) (find func(batch.State) (batch.Bag, bool), hasToken bool, err error) {
	c, ok := label.FindCode(code)
	if !ok {
		id, err := label.ParseID(code)
		return matchTypedID(id), false, err
	}
	l, err := label.Decode(c)
	if err == nil || fault.Is(err, fault.Newer) { // every version has the token at the same place
		token := hex.EncodeToString(l.Token[:])
		return func(s batch.State) (batch.Bag, bool) { return s.BagByToken(token) }, true, nil
	}
	if id, notID := label.ParseID(code); notID == nil {
		return matchTypedID(id), false, nil
	}
	return nil, false, err
}

// matchTypedID returns a function that finds the bag with that typed id.
func matchTypedID(id string) func(batch.State) (batch.Bag, bool) {
	return func(s batch.State) (batch.Bag, bool) { return s.BagByTypedID(id) }
}
