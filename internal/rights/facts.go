package rights

import (
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// Rules for single kinds of fact, beside those of the scope they stand in.
var (
	// hubOnly are the kinds that the hub alone writes.
	hubOnly = kindSet(journal.KindNumbersLeased, journal.KindDeviceJoined, journal.KindShareJoined)
	// sharing are the kinds that say who helps. A helper neither writes nor relays them.
	sharing = kindSet(journal.KindShareOpened, journal.KindShareJoined, journal.KindShareClosed)
	// ownOnly are the kinds that a helper writes and does not relay: who withdrew a fact
	// must not rest on the word of another phone.
	ownOnly = kindSet(journal.KindFactWithdrawn, journal.KindFactRestored)
)

func kindSet(list ...string) map[string]bool {
	m := make(map[string]bool, len(list))
	for _, k := range list {
		m[k] = true
	}
	return m
}

// writeAction names the action that writing a fact is, by the kind of its scope.
var writeAction = map[string]Action{"batch": AddToBatch, "place": AddToPlace, "shelf": UseShelf, "house": ManageHouse}

// IsSharing says whether a kind of fact says who helps with a batch.
func IsSharing(kind string) bool { return sharing[kind] }

// CheckWrite returns a fault if the asker may not write f, which its own phone wrote.
// CheckWithdrawal is asked too, once the writer of the target is known.
func CheckWrite(a Asker, f journal.Fact) error {
	if hubOnly[f.Kind] {
		return fault.New(fault.Refused, "only the hub writes %s", f.Kind)
	}
	return checkScope(a, f)
}

// CheckRelay returns a fault if the asker may not relay f, which another device wrote:
// a hub restored from an old copy gets back from phones what it lost.
func CheckRelay(a Asker, f journal.Fact, hub journal.ID) error {
	if a.Role != Owner && ownOnly[f.Kind] {
		return fault.New(fault.Refused, "this phone cannot relay what another phone withdrew").
			WithHint("the phone that withdrew it sends that itself")
	}
	if a.Role != Owner && f.Kind == journal.KindNumbersLeased && f.Device != hub {
		return fault.New(fault.Refused, "only the hub leases bag numbers")
	}
	return checkScope(a, f)
}

func checkScope(a Asker, f journal.Fact) error {
	kind, _ := f.Scope.Split()
	if !IsAllowed(a.Role, writeAction[kind]) || a.Role != Owner && (!a.HasBatch(f.Scope.Batch()) || sharing[f.Kind]) {
		return fault.New(fault.Refused, "this phone may not write %s there", f.Kind).WithHint("ask the owner to let it in")
	}
	return nil
}

// CanWithdrawAll says whether the asker may withdraw and restore what others wrote.
func (a Asker) CanWithdrawAll() bool { return a.Role == Owner }

// CheckWithdrawal returns a fault if the asker may not withdraw or restore a fact that
// writer wrote: a helper undoes only what it wrote itself.
func CheckWithdrawal(a Asker, writer journal.ID) error {
	if a.CanWithdrawAll() || a.Device == writer {
		return nil
	}
	return fault.New(fault.Refused, "a helper undoes only what it wrote").WithHint("ask the owner")
}

// CanQuarantine says whether a fact from a phone that may not write it any more is kept
// for an owner to decide on. former is the phone with the rights it once had. It must
// have written f itself and have been allowed to. Who belongs to the house or helps with
// a batch is never its to say.
func CanQuarantine(former Asker, f journal.Fact) bool {
	return former.Device != "" && f.Device == former.Device && f.Scope != journal.HouseScope && !sharing[f.Kind] && CheckWrite(former, f) == nil
}
