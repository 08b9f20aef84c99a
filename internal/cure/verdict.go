package cure

import (
	"coldbatch/internal/dye"
)

// Verdict is how a bag stands, in one word for a program.
type Verdict string

// The verdicts, all of them.
const (
	NeedsHeat     Verdict = "needs-heat"     // this class does not bond in a cold bag
	TooCold       Verdict = "too-cold"       // colder than Floor now, and the middle figure not reached
	Unknown       Verdict = "unknown"        // the class is not known: no time
	KeepWet       Verdict = "keep-wet"       // before the middle figure
	ProbablyReady Verdict = "probably-ready" // from the middle figure on
	Ready         Verdict = "ready"          // from the late figure on
	Past          Verdict = "past"           // from three times the usual time on
)

// Verdicts gives all verdicts, the one that holds a bag up most first.
func Verdicts() []Verdict {
	return []Verdict{NeedsHeat, Unknown, TooCold, KeepWet, ProbablyReady, Ready, Past}
}

// Words gives the verdict as it is told to a person.
func (v Verdict) Words() string {
	switch v {
	case NeedsHeat:
		return "needs heat"
	case TooCold:
		return "too cold to cure"
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

// verdict gives how a bag of a timed class stands. It compares rounded instants,
// so that every build says the same.
func (o *Outlook) verdict(b Bag) Verdict {
	since := func(i int64) bool { return i != 0 && int64(b.Now) >= i }
	switch {
	case since(int64(o.Past)):
		return Past
	case since(int64(o.Late)):
		return Ready
	case since(int64(o.Ready)):
		return ProbablyReady
	case float64(o.Present.Celsius) < Floor.Value:
		return TooCold
	}
	return KeepWet
}

// Slowest gives the outlook that a bag of several colours goes by: a bag is
// ready when its slowest colour is. What holds it up most comes first, then the
// later of the late figures, then of the middle ones. Without any, the class is
// not known.
func Slowest(all []Outlook) Outlook {
	if len(all) == 0 {
		return Outlook{Class: dye.Unknown, Verdict: Unknown, Notes: []Note{}}
	}
	slowest := all[0]
	for _, o := range all[1:] {
		if slower(o, slowest) {
			slowest = o
		}
	}
	return slowest
}

// slower reports whether a holds a bag up more than b.
func slower(a, b Outlook) bool {
	if ra, rb := rank(a.Verdict), rank(b.Verdict); ra != rb {
		return ra < rb
	}
	if a.Late != b.Late {
		return sooner(b.Late, a.Late)
	}
	if a.Ready != b.Ready {
		return sooner(b.Ready, a.Ready)
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
