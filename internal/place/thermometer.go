package place

import (
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// The errors of a reading by where the thermometer is.
var (
	DummyError = provenance.Value{Name: "error of a reading in a bag of wet cloth", Value: 1, Unit: "°C", Low: 0.5, High: 2,
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: it warms and cools as slowly as the bags do; the thermometer's own error is left"}}
	OnBagError = provenance.Value{Name: "error of a reading on the outside of a bag", Value: 1.2, Unit: "°C", Low: 0.5, High: 2.5,
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: between the air and the cloth"}}
)

// ErrorOf returns the error of a reading by where the thermometer is: dummy, a bag of wet
// cloth without dye; bag, the outside of a bag; else 0, which is unknown.
func ErrorOf(where string) unit.TemperatureDifference {
	switch where {
	case "dummy":
		return unit.TemperatureDifference(DummyError.Value)
	case "bag":
		return unit.TemperatureDifference(OnBagError.Value)
	}
	return 0
}

// LastExtremes returns when the last low and the last high of a usual day were, at or before
// now, by the clock of t.
func LastExtremes(t zone.Table, now zone.Instant) (lowAt, highAt zone.Instant) {
	local := int64(now) + int64(t.Offset(now))*int64(zone.Second)
	day := floorDiv(local, int64(zone.Day))
	last := func(hour float64) zone.Instant {
		if at := localInstant(t, day, hour); at <= now {
			return at
		}
		return localInstant(t, day-1, hour)
	}
	return last(LowHour.Value), last(HighHour.Value)
}
