package place

import (
	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// UsualTemperatures describes the usual nights and days of a place: the low towards morning and the
// high in the afternoon.
type UsualTemperatures struct {
	Low  unit.Temperature `json:"low"`
	High unit.Temperature `json:"high"`
}

// The shape of a usual day: lowest about six in the morning, highest about
// three in the afternoon by the clock of the place, straight lines between.
// Outdoors the low comes about sunrise and the high a few hours after noon; a
// shed lags behind. Hours are local.
var (
	LowHour = provenance.Value{Name: "hour of the day's low", Value: 6, Unit: "h", Low: 4, High: 8,
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement: about sunrise, no source"}}
	HighHour = provenance.Value{Name: "hour of the day's high", Value: 15, Unit: "h", Low: 13, High: 17,
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement: a few hours after noon, no source"}}
	UsualError = provenance.Value{Name: "how far a day differs from the usual one", Value: 3, Unit: "°C", Low: 2, High: 5,
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source"}}
)

// Check returns an Input fault for an impossible temperature or a low above the high.
func (u UsualTemperatures) Check() error {
	for _, c := range []unit.Temperature{u.Low, u.High} {
		if err := (Reading{Celsius: c}).Check(); err != nil {
			return err
		}
	}
	if u.Low > u.High {
		return fault.New(fault.Input, "the low of the day (%.6g °C) is above its high (%.6g °C)", float64(u.Low), float64(u.High)).
			WithHint("low first, then high")
	}
	return nil
}

// coursePoints returns the lows and highs of the usual course, from the last one at or before
// from to the first one at or after until.
func (u UsualTemperatures) coursePoints(t zone.Table, from, until zone.Instant, spread unit.TemperatureDifference) []CoursePoint {
	var out []CoursePoint
	local := int64(from) + int64(t.Offset(from))*int64(zone.Second)
	day := floorDiv(local, int64(zone.Day)) - 1
	for {
		for _, turn := range []struct {
			hour float64
			c    unit.Temperature
		}{{LowHour.Value, u.Low}, {HighHour.Value, u.High}} {
			n := CoursePoint{At: localInstant(t, day, turn.hour), Celsius: turn.c, Spread: spread}
			if len(out) == 1 && n.At <= from {
				out = out[:0]
			}
			out = append(out, n)
			if n.At >= until && len(out) > 1 {
				return out
			}
		}
		day++
	}
}

// localInstant returns the instant at which the local clock shows hour, on the day counted from
// 1970-01-01. In an hour that a clock change skips or repeats it returns one of the
// possible instants, which is near enough for a usual day.
func localInstant(t zone.Table, day int64, hour float64) zone.Instant {
	local := zone.Instant(day * int64(zone.Day)).Add(zone.HoursSpan(hour))
	first := local.Add(-zone.Span(t.Offset(local)) * zone.Second)
	return local.Add(-zone.Span(t.Offset(first)) * zone.Second)
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
