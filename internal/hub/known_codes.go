package hub

import (
	"slices"

	"coldbatch/internal/batch"
	"coldbatch/internal/journal"
	"coldbatch/internal/rights"
)

// endKnownCodes ends the share codes, calendars and sensors that were known to a phone which this transaction
// removes: otherwise it could come back as a new phone. A helper knew the codes
// of the batches it joined, an owner's phone all codes. Codes that were opened after the removal stay.
func (w *factWriter) endKnownCodes() error {
	var removals []journal.Fact
	for _, f := range w.appendedFacts {
		if f.Kind == kindRevoked && f.Scope == journal.HouseScope {
			removals = append(removals, *f)
		}
	}
	if len(removals) == 0 {
		return nil
	}
	if err := w.endOpenedAccess(removals); err != nil {
		return err
	}
	joined := map[journal.ID]map[journal.ID]bool{} // by batch: every phone that ever joined it
	isHelper := map[journal.ID]bool{}
	open := map[journal.ID]map[string]journal.Stamp{} // by batch: when each code was opened
	for _, scope := range w.tx.Scopes() {
		id := scope.Batch()
		if id == "" {
			continue
		}
		facts, err := w.tx.Scope(scope)
		if err != nil {
			return err
		}
		joined[id], open[id] = map[journal.ID]bool{}, map[string]journal.Stamp{}
		for _, f := range orderAheadFirst(facts, w.latestTime) {
			switch body, ok := journal.DecodeBody[journal.ShareOpened](f); {
			case f.Kind == kindHelperJoined:
				joined[id][f.Subject], isHelper[f.Subject] = true, true
			case f.Kind == journal.KindShareOpened && ok && open[id][body.Hash].Less(f.Stamp):
				open[id][body.Hash] = f.Stamp
			}
		}
	}
	for id := range open {
		b, err := w.batchSummary(id)
		if err != nil {
			return err
		}
		for _, share := range b.shares {
			for _, removal := range removals {
				if removed := removal.Subject; !joined[id][removed] && isHelper[removed] && w.hub.credentialByDevice(removed).Role != rights.Owner ||
					removal.Stamp.Less(open[id][share.Hash]) || !b.acceptsShareCode(share.Hash, w.latestTime) {
					continue
				}
				if err := w.endCode(id, share); err != nil {
					return err
				}
				break
			}
		}
	}
	return nil
}

// endOpenedAccess withdraws the calendars and sensors that a phone had added which this transaction removes: it
// knows their tokens, and would go on reading and writing with them.
func (w *factWriter) endOpenedAccess(removals []journal.Fact) error {
	for _, scope := range w.tx.Scopes() {
		if kind, _ := scope.Split(); kind != "house" && kind != "place" {
			continue
		}
		err := w.withdrawFacts(scope, func(f journal.Fact) bool {
			return (f.Kind == journal.KindCalendarOpened || f.Kind == journal.KindPlaceSensed) &&
				slices.ContainsFunc(removals, func(r journal.Fact) bool { return r.Subject == f.Device })
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// endCode ends a share code by giving it an end that has passed. Withdrawing the fact would also remove
// the helpers who joined with it.
func (w *factWriter) endCode(id journal.ID, share batch.ShareCode) error {
	return w.writeFact(journal.BatchScope(id), id, journal.KindShareOpened, journal.ShareOpened{Hash: share.Hash, Until: w.latestTime})
}
