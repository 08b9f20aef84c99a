package soak

import (
	"coldbatch/internal/alkali"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// Instrument is what a pH was measured with.
type Instrument string

// The instruments, each with its error.
const (
	Meter Instrument = "meter"
	Strip Instrument = "strip"
)

// ReadingError is the error of a reading, either way. Any instrument but a meter counts as a
// strip.
func (i Instrument) ReadingError() provenance.Value {
	if i == Meter {
		return provenance.Value{Name: "error of a pH meter", Value: 0.1, Unit: "1", Source: judgementSource("a cheap meter, set with buffers that day")}
	}
	return provenance.Value{Name: "error of a pH strip", Value: 0.5, Unit: "1", Source: judgementSource("half a step of the colour chart")}
}

// Verdict is the state of a bath by its measured pH, as one word for a program.
type Verdict string

// All verdicts.
const (
	VerdictFresh       Verdict = "fresh"
	VerdictWeakening   Verdict = "weakening"
	VerdictSpent       Verdict = "spent"
	VerdictWrongPowder Verdict = "wrong-powder"
	VerdictTooAlkaline Verdict = "too-alkaline"
	VerdictCannotTell  Verdict = "cannot-tell"
)

// The limits of the verdicts.
var (
	// MaxFreshSpentShare is the spent share up to which a bath is as good as new.
	MaxFreshSpentShare = provenance.Value{Name: "spent share of a bath that is fresh", Value: 0.03, Unit: "1", Source: judgementSource("less than a meter can distinguish")}
	// MinSpentShare is the spent share from which a bath is spent.
	MinSpentShare = provenance.Value{Name: "spent share from which a bath is spent", Value: 0.40, Unit: "1", Source: judgementSource("its pH is near 10, where dye bonds several times slower")}
	// BakingSodaPH is the pH of a solution of baking soda. A bath where all soda ash is
	// bicarbonate has the same pH, whatever the cause.
	BakingSodaPH = provenance.Value{Name: "pH of baking soda", Value: 8.3, Unit: "1", Low: 7.7, High: 8.6,
		Source: provenance.Source{Reliability: provenance.Memory, Text: "handbooks have sodium bicarbonate, 0.1 mol/L, at pH 8.3; the range is judgement"}}
	// CausticMargin says how far above the expected pH a reading must be to suggest caustic
	// soda.
	CausticMargin = provenance.Value{Name: "above the expected pH, perhaps caustic soda", Value: 0.6, Unit: "1", Source: judgementSource("more than any strip is off")}
	// MaxPH is a pH above that of any soda-ash bath of 5 °C or warmer.
	MaxPH = provenance.Value{Name: "highest pH of soda ash at 5 °C and warmer", Value: 12.3, Unit: "1", Source: judgementSource("above that of a cold saturated bath, with the error of a meter")}
)

// CheckResult is what a measured pH says about a bath.
type CheckResult struct {
	Expected         unit.PH    // pH of the fresh bath, as a good meter reads it
	Spent, Low, High unit.Share // spent share of the soda ash; 1 where only bicarbonate is left
	Verdict          Verdict
	Extrapolated     bool // Expected is outside the range that was checked against another program
	MaybeCaustic     bool // measured is above Expected by CausticMargin or more: perhaps caustic soda
}

// Check works out how much of a bath is spent and whether it is soda ash at all, from the
// pH measured at t. c is the strength as made up, in g/L of anhydrous soda ash. The range
// of the spent share covers the error of the instrument and of the expected pH together.
// The first check is for caustic soda. Where the expected pH is extrapolated, only a pH
// above MaxPH and above the range of the expected one counts as caustic; a lower one
// that is too high may only mean that the expectation is wrong, so Check cannot tell. A
// meter decides by the middle figure; a strip cannot decide between fresh and weakening.
func Check(c unit.Concentration, t unit.Temperature, measured unit.PH, with Instrument) CheckResult {
	c = min(c, alkali.SolubilityLimit(t)) // what has not dissolved does nothing
	expected, extrapolated := alkali.PH(c, t, 0)
	spent := func(ph unit.PH) unit.Share { return min(alkali.SpentShare(c, t, ph), 1) }
	off, spread := unit.PH(with.ReadingError().Value), alkali.PHSpread(c, t)
	k := CheckResult{Expected: expected, Extrapolated: extrapolated, Spent: spent(measured),
		Low: spent(measured + off + spread), High: spent(measured - off - spread)}
	// Compared as shown: 12.2 is 0.6 above 11.6, even where the expected pH is 11.604.
	shown := min(expected, unit.PH(unit.Round(unit.KindPH, float64(expected))))
	const tie = 1e-9
	k.MaybeCaustic = float64(measured-shown) >= CausticMargin.Value-tie
	switch {
	case float64(measured) > max(MaxPH.Value, float64(expected+spread))+tie || k.MaybeCaustic && !extrapolated:
		k.Verdict = VerdictTooAlkaline
	case k.MaybeCaustic:
		k.Verdict = VerdictCannotTell
	case float64(measured) <= max(BakingSodaPH.High, BakingSodaPH.Value+float64(off))+tie:
		k.Verdict = VerdictWrongPowder
	case float64(k.Spent) >= MinSpentShare.Value:
		k.Verdict = VerdictSpent
	case with != Meter && float64(k.Low) < MaxFreshSpentShare.Value:
		k.Verdict = VerdictCannotTell
	case float64(k.Spent) < MaxFreshSpentShare.Value:
		k.Verdict = VerdictFresh
	default:
		k.Verdict = VerdictWeakening
	}
	return k
}
