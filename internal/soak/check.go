package soak

import (
	"coldbatch/internal/alkali"
	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
)

// Instrument is what a pH was measured with.
type Instrument string

// The instruments, each with its error.
const (
	Meter Instrument = "meter"
	Strip Instrument = "strip"
)

// Error is how far a reading may be off, either way. What is not a meter counts as
// a strip.
func (i Instrument) Error() fault.Value {
	if i == Meter {
		return fault.Value{Name: "error of a pH meter", Value: 0.1, Unit: "1", Source: judgement("a cheap meter, set with buffers that day")}
	}
	return fault.Value{Name: "error of a pH strip", Value: 0.5, Unit: "1", Source: judgement("half a step of the colour chart")}
}

// Verdict is what a measured pH says of a bath, in one word for a program.
type Verdict string

// The verdicts, all of them.
const (
	Fresh       Verdict = "fresh"
	Weakening   Verdict = "weakening"
	Spent       Verdict = "spent"
	WrongPowder Verdict = "wrong-powder"
	TooAlkaline Verdict = "too-alkaline"
	CannotTell  Verdict = "cannot-tell"
)

// The limits of the verdicts.
var (
	// FreshTo is the share spent up to which a bath is as good as new.
	FreshTo = fault.Value{Name: "spent share of a bath that is fresh", Value: 0.03, Unit: "1", Source: judgement("less than a meter tells apart")}
	// SpentFrom is the share spent from which a bath is done with.
	SpentFrom = fault.Value{Name: "spent share from which a bath is spent", Value: 0.40, Unit: "1", Source: judgement("its pH is near 10, where dye bonds several times slower")}
	// BakingSoda is the pH of a solution of baking soda. A bath where all soda ash is
	// bicarbonate comes to the same, whatever made it so.
	BakingSoda = fault.Value{Name: "pH of baking soda", Value: 8.3, Unit: "1", Low: 7.7, High: 8.6,
		Source: fault.Source{Kind: fault.Memory, Text: "handbooks have sodium bicarbonate, 0.1 mol/L, at pH 8.3; the range is judgement"}}
	// Over is how far above the expected pH no soda ash reads.
	Over = fault.Value{Name: "above the expected pH, perhaps caustic soda", Value: 0.6, Unit: "1", Source: judgement("more than any strip is off")}
	// Most is the pH that no soda-ash bath of 5 °C or warmer reaches.
	Most = fault.Value{Name: "highest pH of soda ash at 5 °C and warmer", Value: 12.3, Unit: "1", Source: judgement("above that of a cold saturated bath, with the error of a meter")}
)

// Checked is what a measured pH says about a bath.
type Checked struct {
	Expected         unit.PH    // of the fresh bath, as a good meter reads it
	Spent, Low, High unit.Share // of the soda ash; 1 where only bicarbonate is left
	Verdict          Verdict
	Extrapolated     bool // Expected is not checked against an outside computation
	Above            bool // measured is above Expected by Over or more, which may be caustic soda
}

// Check works out from the pH measured in a bath of c (as it was made up, g/L of
// anhydrous soda ash) at t how much of it is spent, and whether it is soda ash at
// all. The range of what is spent is over the error of the instrument and that of the
// expected pH together. A powder that may be caustic comes before all else; where the
// expected pH is extrapolated, only a pH above Most and above the range of the
// expected one counts as caustic, and a lower one that is too high cannot be told from
// a wrong expectation. A meter decides by the middle figure; a strip may not choose
// between fresh and weakening.
func Check(c unit.Concentration, t unit.Temperature, measured unit.PH, with Instrument) Checked {
	c = min(c, alkali.Limit(t)) // what has not dissolved does nothing
	expected, extrapolated := alkali.PH(c, t, 0)
	spent := func(ph unit.PH) unit.Share { return min(alkali.Spent(c, t, ph), 1) }
	off, spread := unit.PH(with.Error().Value), alkali.PHSpread(c, t)
	k := Checked{Expected: expected, Extrapolated: extrapolated, Spent: spent(measured),
		Low: spent(measured + off + spread), High: spent(measured - off - spread)}
	// As shown, 12.2 is 0.6 above 11.6, also where that is 11.604.
	shown := min(expected, unit.PH(unit.Round(unit.KindPH, float64(expected))))
	const tie = 1e-9
	k.Above = float64(measured-shown) >= Over.Value-tie
	switch {
	case float64(measured) > max(Most.Value, float64(expected+spread))+tie || k.Above && !extrapolated:
		k.Verdict = TooAlkaline
	case k.Above:
		k.Verdict = CannotTell
	case float64(measured) <= max(BakingSoda.High, BakingSoda.Value+float64(off))+tie:
		k.Verdict = WrongPowder
	case float64(k.Spent) >= SpentFrom.Value:
		k.Verdict = Spent
	case with != Meter && float64(k.Low) < FreshTo.Value:
		k.Verdict = CannotTell
	case float64(k.Spent) < FreshTo.Value:
		k.Verdict = Fresh
	default:
		k.Verdict = Weakening
	}
	return k
}
