package cure

import (
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
)

// PracticeRule is the rule that is scaled: this long at this temperature.
type PracticeRule struct {
	Time        unit.Duration    `json:"time"`
	Temperature unit.Temperature `json:"at"`
}

// The rule of common practice, and the temperature it is for.
var (
	UsualTime = provenance.Value{Name: "time a bag is left", Value: 24, Unit: "h", Low: 12, High: 48,
		Source: provenance.CommonPracticeSource}
	UsualTemperature = provenance.Value{Name: "temperature that time is for", Value: 21, Unit: "°C", Low: 20, High: 24,
		Source: provenance.CommonPracticeSource}
	// VinylSulfoneTimeFactor says how many times the usual time a vinyl sulfone takes. The
	// only published rate that may belong to this class is 0.035 per minute; dichlorotriazine
	// has 0.33, 9.4 times as fast. In practice both get the same day: a factor of 1. The
	// value, 3, is their geometric mean.
	VinylSulfoneTimeFactor = provenance.Value{Name: "times the usual time for vinyl sulfone", Value: 3, Unit: "1", Low: 1, High: 9.4,
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement: from 1, as practice has it, to 9.4, by one rate in Lu Zonglu, table 1, that may be of a vinyl sulfone (0.035 per minute; dichlorotriazine has 0.33); in the middle their geometric mean"}}
	// MinVinylSulfoneTemperature is the temperature a vinyl sulfone should be kept at.
	MinVinylSulfoneTemperature = provenance.Value{Name: "temperature to keep vinyl sulfone at, at least", Value: 25, Unit: "°C",
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: the usual time is not enough for it in a cooler place"}}
)

// UsualPractice is the rule of common practice: 24 h at 21 °C.
func UsualPractice() PracticeRule {
	return PracticeRule{unit.Hours(UsualTime.Value), unit.Temperature(UsualTemperature.Value)}
}

// Check refuses a rule that no practice has: outside 10 minutes to 30 days, or
// outside 5 to 60 °C.
func (p PracticeRule) Check() error {
	if h := p.Time.Hours(); !(h >= 1.0/6 && h <= 30*24) {
		return fault.New(fault.Input, "%.6g h is not a time to leave a bag for", h).
			WithHint("from 10 min to 30 days, as in 24 h at 21 °C").At("practice", "")
	}
	if c := float64(p.Temperature); !(c >= 5 && c <= 60) {
		return fault.New(fault.Input, "a bag cannot cure at %.6g °C", c).
			WithHint("from 5 to 60 °C, as in 24 h at 21 °C").At("practice", "")
	}
	return nil
}

// practiceTimes says how long a whole cure takes at one temperature: as practice has it, at
// the soonest and at the latest.
type practiceTimes struct {
	shortestTime, usualTime, longestTime unit.Duration
	temperature                          unit.Temperature
}

// practiceTimesFor returns the rule for a class. A practice of the dyer's own counts as it
// is; without one a vinyl sulfone takes VinylSulfoneTimeFactor the usual time.
func practiceTimesFor(c dye.Class, own PracticeRule) practiceTimes {
	p, v := own, provenance.Value{Value: 1, Low: 1, High: 1}
	if own == (PracticeRule{}) {
		p = UsualPractice()
		if c == dye.VinylSulfone {
			v = VinylSulfoneTimeFactor
		}
	}
	times := func(x float64) unit.Duration { return unit.Duration(x * float64(p.Time)) }
	return practiceTimes{times(v.Low), times(v.Value), times(v.High), p.Temperature}
}
