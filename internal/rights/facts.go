package rights

import (
	"slices"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// Rules for single kinds of fact, beside those of the scope they stand in.
var (
	// hubOnlyKinds are the kinds that the hub alone writes.
	hubOnlyKinds = []string{journal.KindNumbersLeased, journal.KindDeviceJoined, journal.KindHelperJoined}
	// sharingKinds are the kinds that say who helps. Only an owner writes them.
	sharingKinds = []string{journal.KindShareOpened, journal.KindHelperJoined, journal.KindShareClosed}
	// accessKinds are the other kinds that decide who has access to something.
	accessKinds = []string{journal.KindDeviceRevoked, journal.KindCalendarOpened, journal.KindPlaceSensed}
	// ownerOnlyKinds are the kinds of a batch that only an owner writes: its start holds the
	// secret that leads from printed labels to its bags.
	ownerOnlyKinds = []string{journal.KindBatchStarted}
)

// writeAction names the action that writing a fact is, by the kind of its scope.
var writeAction = map[string]Action{"batch": AddToBatch, "place": AddToPlace, "shelf": UseShelf, "designs": UseShelf, "house": ManageHouse}

// IsSharingKind says whether a kind of fact says who helps with a batch.
func IsSharingKind(kind string) bool { return slices.Contains(sharingKinds, kind) }

// DecidesAccess says whether a kind of fact decides who has access to something.
func DecidesAccess(kind string) bool {
	return slices.Contains(sharingKinds, kind) || slices.Contains(accessKinds, kind)
}

// ChangesAccess says whether f decides who has access to something, or takes back or restores a
// fact that does. find returns the fact of an id, and false where it is not known.
func ChangesAccess(f journal.Fact, find func(journal.ID) (journal.Fact, bool)) bool {
	target, isTargeted := f.Target()
	if !isTargeted {
		return DecidesAccess(f.Kind)
	}
	g, isKnown := find(target)
	return isKnown && DecidesAccess(g.Kind)
}

// CheckWrite returns a fault if the asker may not write f, which its own phone wrote.
// CheckWithdrawal is asked too, once the writer of the target is known.
func CheckWrite(a Asker, f journal.Fact) error {
	if slices.Contains(hubOnlyKinds, f.Kind) {
		return fault.New(fault.Refused, "only the hub writes %s", f.Kind)
	}
	if a.Role != Owner && f.NeededVersion > journal.MaxNeededVersion {
		return fault.New(fault.Refused, "a helper's %s asks for version %d of the program, and no kind needs more than %d", f.Kind, f.NeededVersion, journal.MaxNeededVersion).
			WithHint("update the program at home, or load the app on this phone again")
	}
	return checkScope(a, f)
}

// CheckImport returns a fault if a file may not add f to a house that has phones: what only the hub
// writes, it wrote itself, and gets back from its phones what it lost.
func CheckImport(f journal.Fact) error {
	if slices.Contains(hubOnlyKinds, f.Kind) {
		return fault.New(fault.Refused, "only the hub writes %s: a file may not add one while phones are paired", f.Kind)
	}
	return nil
}

// HasOtherSecret says whether f starts again a batch whose secret is known ("" if it is not), with another secret:
// the labels that were printed of it would lead nowhere.
func HasOtherSecret(f journal.Fact, secret journal.ID) bool {
	start, ok := journal.DecodeBody[journal.BatchStarted](f)
	return ok && f.Kind == journal.KindBatchStarted && secret != "" && start.Secret != secret
}

// CheckBeginning returns a fault if the asker may not write a fact that begins its subject,
// which writer has begun before: a helper could turn a bag into a piece, or change when it
// was closed.
func CheckBeginning(a Asker, writer journal.ID) error {
	if a.Role == Owner || a.Device == writer {
		return nil
	}
	return fault.New(fault.Refused, "a helper cannot begin what another phone has already begun").WithHint("change it instead, or begin another")
}

// CheckRelay returns a fault if the asker may not relay f, which another device wrote: a
// hub restored from an old copy gets back from the owner's phones what it lost. A helper
// relays nothing, since nobody could tell what it made up in the name of another.
func CheckRelay(a Asker, f journal.Fact) error {
	if a.Role != Owner {
		return fault.New(fault.Refused, "a helper's phone may send only what it wrote itself").
			WithHint("the phone that wrote it will send it")
	}
	return checkScope(a, f)
}

func checkScope(a Asker, f journal.Fact) error {
	kind, _ := f.Scope.Split()
	known, ok := journal.FindKind(f.Kind)
	if a.Role != Owner && ok && !known.IsIn(kind) {
		return fault.New(fault.Refused, "%s is not written in a %s", f.Kind, kind)
	}
	if !IsAllowed(a.Role, writeAction[kind]) || a.Role != Owner && (!a.HasBatch(f.Scope.Batch()) || slices.Contains(sharingKinds, f.Kind) || slices.Contains(ownerOnlyKinds, f.Kind)) {
		return fault.New(fault.Refused, "this phone may not write %s there", f.Kind).WithHint("ask the owner for access")
	}
	return nil
}

// CanWithdrawAll says whether the asker may withdraw and restore what others wrote.
func (a Asker) CanWithdrawAll() bool { return a.Role == Owner }

// CheckWithdrawal returns a fault if the asker may not withdraw or restore a fact that
// writer wrote: a helper can undo only its own entries itself.
func CheckWithdrawal(a Asker, writer journal.ID) error {
	if a.CanWithdrawAll() || a.Device == writer {
		return nil
	}
	return fault.New(fault.Refused, "a helper can undo only its own entries").WithHint("ask the owner")
}

// CanQuarantine says whether a fact from a phone that may not write it any more is kept
// for an owner to decide on. former is the phone with the rights it once had. It must
// have written f itself and have been allowed to. Who has access to something is never its to say.
func CanQuarantine(former Asker, f journal.Fact) bool {
	return former.Device != "" && f.Device == former.Device && f.Scope != journal.HouseScope && !DecidesAccess(f.Kind) && CheckWrite(former, f) == nil
}
