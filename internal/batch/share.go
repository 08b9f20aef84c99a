package batch

import (
	"slices"

	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// ShareCode is the hash of a code with which helpers may join, and the time until which the code is
// valid; 0 means until sharing is closed.
type ShareCode struct {
	Hash  string       `json:"hash"`
	Until zone.Instant `json:"until,omitempty"`
}

// Helper is a phone that joined this batch alone.
type Helper struct {
	Device journal.ID `json:"device"`
	Name   string     `json:"name"`
}

// EffectiveFacts returns the facts of a batch that nobody with the right to do so has withdrawn,
// in order.
func EffectiveFacts(ordered []journal.Fact) []journal.Fact {
	return journal.Effective(ordered, ownersOf(ordered))
}

// ownersOf says which devices may take back what others wrote: all but those that
// joined this batch as helpers. Here only the writer of a share.joined (the hub) can
// withdraw it: otherwise the right to withdraw would itself depend on withdrawals, and
// what a helper withdrew would take effect when the helper is removed.
func ownersOf(ordered []journal.Fact) func(journal.ID) bool {
	joined := map[journal.ID]bool{}
	for _, x := range journal.Effective(ordered, func(journal.ID) bool { return false }) {
		if x.Kind == journal.KindHelperJoined {
			joined[x.Subject] = true
		}
	}
	return func(device journal.ID) bool { return !joined[device] }
}

func withoutDevice(list []Helper, device journal.ID) []Helper {
	return slices.DeleteFunc(list, func(h Helper) bool { return h.Device == device })
}

// IsShared says whether a helper is in the batch, or could join it at now.
func (s State) IsShared(now zone.Instant) bool {
	_, good := find(s.ShareCodes, func(c ShareCode) bool { return c.Until == 0 || c.Until > now })
	return good || len(s.Helpers) > 0
}
