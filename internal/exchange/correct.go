package exchange

import (
	"encoding/json"
	"fmt"
	"slices"

	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// DraftClockCorrections returns the drafts that record, for facts already written, how wrong their
// writer's clock was. device has just measured that the hub's clock is ahead of its own by offset;
// waiting are the facts that the hub has not got yet, in any order. One draft for
// each scope that has a fact of device whose clock was never measured, or measured
// otherwise, and that was not told since. Facts that the hub has are left alone:
// what was measured then was nearer to them.
func DraftClockCorrections(waiting []journal.Fact, device journal.ID, offset zone.Span) []journal.Draft {
	var untold []journal.Scope
	for _, f := range journal.SortedByStamp(waiting) {
		id := f.Scope.Batch() + f.Scope.Place() // one of them is empty
		switch {
		case f.Device != device || id == "": // the clock of another; or no times are shown there
		case f.Kind == journal.KindClockMeasured:
			untold = slices.DeleteFunc(untold, func(s journal.Scope) bool { return s == f.Scope })
		case (f.Clock == nil || isBeyondCorrection(f.Clock.Offset, offset)) && !slices.Contains(untold, f.Scope):
			untold = append(untold, f.Scope)
		}
	}
	drafts := make([]journal.Draft, 0, len(untold))
	for _, scope := range untold {
		drafts = append(drafts, journal.Draft{
			Scope: scope, Subject: scope.Batch() + scope.Place(), Kind: journal.KindClockMeasured,
			Body: json.RawMessage(fmt.Sprintf(`{"offset":%d}`, int64(offset))),
		})
	}
	return drafts
}

// isBeyondCorrection says whether a clock differs from what a fact says about it by more than
// package batch can correct.
func isBeyondCorrection(had, now zone.Span) bool {
	return had-now > journal.ClockSlack || now-had > journal.ClockSlack
}
