package cure

import (
	"coldbatch/internal/dye"
	"coldbatch/internal/zone"
)

// Verdict is the state of a bag, in one word for a program.
type Verdict string

// The verdicts, all of them.
const (
	NeedsHeat     Verdict = "needs-heat"     // this class does not bond in a cold bag
	Dry           Verdict = "dry"            // found dry and not wetted, and the middle figure not reached
	NeedsSoda     Verdict = "needs-soda"     // the cloth was measured and is not alkaline enough
	Frozen        Verdict = "frozen"         // at Freezing or colder now, and before the middle estimate
	Unknown       Verdict = "unknown"        // the class is not known: no time
	Slow          Verdict = "slow"           // colder than SlowBelow now, and before the middle estimate
	KeepWet       Verdict = "keep-wet"       // before the middle estimate of when it is ready
	ProbablyReady Verdict = "probably-ready" // from the middle estimate on
	Ready         Verdict = "ready"          // from the late estimate on
	Past          Verdict = "past"           // from three times the usual time on
)

// Verdicts gives all verdicts, the one that holds a bag up most first.
func Verdicts() []Verdict {
	return []Verdict{NeedsHeat, Dry, NeedsSoda, Frozen, Unknown, Slow, KeepWet, ProbablyReady, Ready, Past}
}

// Words gives the verdict in words for a person.
func (v Verdict) Words() string {
	switch v {
	case NeedsHeat:
		return "needs heat"
	case Dry:
		return "dry: wet it with soda-ash water"
	case NeedsSoda:
		return "not alkaline enough: soak it in soda-ash water"
	case Frozen:
		return "frozen: nothing bonds"
	case Slow:
		return "slow: carry it to a warmer place"
	case KeepWet:
		return "keep wet and warm"
	case ProbablyReady:
		return "probably ready"
	case Ready:
		return "ready to rinse"
	case Past:
		return "no gain in waiting; don't let it dry"
	}
	return "can't say when"
}

// verdict gives the state of a bag of a timed class. It compares rounded instants,
// so that every build says the same. A vinyl sulfone is never more than probably
// ready: no rate of its class is known well enough.
func (o *Outlook) verdict(b Bag) Verdict {
	reached := func(i zone.Instant) bool { return i != 0 && b.Now >= i }
	switch {
	case b.PH != nil && float64(*b.PH) < ReadyPH.Value:
		return NeedsSoda
	case reached(o.Past):
		return Past
	case reached(o.Late) && !WaitsForLate(b.Class):
		return Ready
	case reached(o.Ready):
		return ProbablyReady
	case b.isDry():
		return Dry
	case float64(o.Present.Celsius) <= Freezing.Value:
		return Frozen
	case float64(o.Present.Celsius) < SlowBelow.Value:
		return Slow
	}
	return KeepWet
}

// SlowestOutlook gives the outlook that a bag of several colours goes by: a bag is
// ready when its slowest colour is. What holds it up most comes first, then the
// later of the late figures, then of the middle ones. Without any, the class is
// not known.
func SlowestOutlook(all []Outlook) Outlook {
	if len(all) == 0 {
		return Outlook{Class: dye.Unknown, Verdict: Unknown, Notes: []Note{}}
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
	if ra, rb := rank(a.Verdict), rank(b.Verdict); ra != rb {
		return ra < rb
	}
	if a.Late != b.Late {
		return isSooner(b.Late, a.Late)
	}
	if a.Ready != b.Ready {
		return isSooner(b.Ready, a.Ready)
	}
	return a.NeededHigh > b.NeededHigh
}

func rank(v Verdict) int {
	for i, w := range Verdicts() {
		if v == w {
			return i
		}
	}
	return 0
}
