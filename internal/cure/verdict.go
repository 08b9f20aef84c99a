package cure

import (
	"coldbatch/internal/dye"
	"coldbatch/internal/zone"
)

// Verdict is the state of a bag, in one word for a program.
type Verdict string

// The verdicts, all of them.
const (
	VerdictNeedsHeat     Verdict = "needs-heat"     // this class does not bond in a cold bag
	VerdictDry           Verdict = "dry"            // found dry and not wetted, and the middle figure not reached
	VerdictNeedsSoda     Verdict = "needs-soda"     // the cloth was measured and is not alkaline enough
	VerdictFrozen        Verdict = "frozen"         // at FreezingTemperature or colder now, and before the middle estimate
	VerdictUnknown       Verdict = "unknown"        // the class is not known: no time
	VerdictSlow          Verdict = "slow"           // colder than SlowBelowTemperature now, and before the middle estimate
	VerdictKeepWet       Verdict = "keep-wet"       // before the middle estimate of when it is ready
	VerdictProbablyReady Verdict = "probably-ready" // from the middle estimate on
	VerdictReady         Verdict = "ready"          // from the late estimate on
	VerdictNoGain        Verdict = "past"           // from three times the usual time on
)

// Verdicts returns all verdicts; the verdict that delays a bag most comes first.
func Verdicts() []Verdict {
	return []Verdict{VerdictNeedsHeat, VerdictDry, VerdictNeedsSoda, VerdictFrozen, VerdictUnknown, VerdictSlow, VerdictKeepWet, VerdictProbablyReady, VerdictReady, VerdictNoGain}
}

// Words returns the verdict in words for a person.
func (v Verdict) Words() string {
	switch v {
	case VerdictNeedsHeat:
		return "needs heat"
	case VerdictDry:
		return "dry: wet it with soda-ash water"
	case VerdictNeedsSoda:
		return "not alkaline enough: soak it in soda-ash water"
	case VerdictFrozen:
		return "frozen: nothing bonds"
	case VerdictSlow:
		return "slow: carry it to a warmer place"
	case VerdictKeepWet:
		return "keep wet and warm"
	case VerdictProbablyReady:
		return "probably ready"
	case VerdictReady:
		return "ready to rinse"
	case VerdictNoGain:
		return "no gain in waiting; don't let it dry"
	}
	return "can't say when"
}

// chooseVerdict returns the state of a bag of a timed class. It compares rounded instants,
// so that every build says the same. A vinyl sulfone is never more than probably
// ready: no rate of its class is known well enough.
func (o *Outlook) chooseVerdict(b BagConditions) Verdict {
	reached := func(i zone.Instant) bool { return i != 0 && b.Now >= i }
	switch {
	case b.PH != nil && float64(*b.PH) < ReadyPH.Value:
		return VerdictNeedsSoda
	case reached(o.NoGainAfter):
		return VerdictNoGain
	case reached(o.Late) && !WaitsForLate(b.Class):
		return VerdictReady
	case reached(o.Ready):
		return VerdictProbablyReady
	case b.isDry():
		return VerdictDry
	case float64(o.Present.Celsius) <= FreezingTemperature.Value:
		return VerdictFrozen
	case float64(o.Present.Celsius) < SlowBelowTemperature.Value:
		return VerdictSlow
	}
	return VerdictKeepWet
}

// SlowestOutlook returns the outlook that a bag of several colours goes by: a bag is
// ready when its slowest colour is. What holds it up most comes first, then the
// later of the late figures, then of the middle ones. Without any, the class is
// not known.
func SlowestOutlook(all []Outlook) Outlook {
	if len(all) == 0 {
		return Outlook{Class: dye.UnknownClass, Verdict: VerdictUnknown, Notes: []Note{}}
	}
	slowest := all[0]
	for _, o := range all[1:] {
		if isSlower(o, slowest) {
			slowest = o
		}
	}
	return slowest
}

// isSlower reports whether a delays a bag more than b.
func isSlower(a, b Outlook) bool {
	if ra, rb := verdictRank(a.Verdict), verdictRank(b.Verdict); ra != rb {
		return ra < rb
	}
	if a.Late != b.Late {
		return isSooner(b.Late, a.Late)
	}
	if a.Ready != b.Ready {
		return isSooner(b.Ready, a.Ready)
	}
	return a.NeededTimeHigh > b.NeededTimeHigh
}

func verdictRank(v Verdict) int {
	for i, w := range Verdicts() {
		if v == w {
			return i
		}
	}
	return 0
}
