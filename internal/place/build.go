package place

import (
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// What is assumed where there is no reading.
var (
	// ReadingValidity says how long a reading counts, before the first one and after the
	// last one; an older one is shown as old.
	ReadingValidity = provenance.Value{Name: "how long a reading holds", Value: 6, Unit: "h", Low: 2, High: 12,
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source"}}
	// MaxDrift says how far a place may drift from a reading that no longer holds,
	// where its usual night and day are not known.
	MaxDrift = provenance.Value{Name: "how far a place drifts from an old reading", Value: 4, Unit: "°C", Low: 2, High: 8,
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source"}}
)

// MaxLength is the longest course that Build makes; a later until is cut.
const MaxLength = 400 * zone.Day

func readingValidity() zone.Span { return zone.HoursSpan(ReadingValidity.Value) }

// Build returns the course of a place from from to until, as it is known at now.
//
// Between readings the course is a straight line. The first reading also counts for
// ReadingValidity before it, and the last one for ReadingValidity after it. Beyond that
// the course follows the usual night and day by the clock of t, with the error
// UsualError; without usual it stays at the same temperature, with the error MaxDrift. A
// reading without an error of its own has readingError. Readings after now are
// forecasts and count like others. Without readings the whole course is the usual one;
// without usual as well it is empty, and the caller assumes a temperature (SteadyCourse).
//
// Readings and a usual that Check refuses are left out. The order of readings does not
// matter.
func Build(readings []Reading, usual *UsualTemperatures, t zone.Table, from, now, until zone.Instant, readingError unit.TemperatureDifference) TemperatureCourse {
	all := validSorted(readings)
	if usual != nil && usual.Check() != nil {
		usual = nil
	}
	until = max(from, until)
	if d := until.Sub(from); d < 0 || d > MaxLength {
		until = from.Add(MaxLength)
	}
	if len(all) == 0 {
		if usual == nil {
			return TemperatureCourse{}
		}
		return TemperatureCourse{Points: usual.coursePoints(t, from, until, unit.TemperatureDifference(UsualError.Value))}
	}
	var c TemperatureCourse
	first, last := all[0], all[len(all)-1]
	if start := first.At.Add(-readingValidity()); from < start {
		c.addAssumed(first, usual, t, from, min(start, until), readingError)
		c.Points = append(c.Points, CoursePoint{start, first.Celsius, first.errorOr(readingError), true})
	}
	for _, r := range all {
		if r.At <= now {
			c.LastReading = r.At
		}
		c.Points = append(c.Points, CoursePoint{r.At, r.Celsius, r.errorOr(readingError), true})
	}
	if end := last.At.Add(readingValidity()); until > end {
		c.Points = append(c.Points, CoursePoint{end, last.Celsius, last.errorOr(readingError), true})
		c.addAssumed(last, usual, t, max(end, from), until, readingError)
	}
	c.dropPointsBefore(from)
	return c
}

// addAssumed adds the assumed temperatures from from to until, next to the reading r.
func (c *TemperatureCourse) addAssumed(r Reading, usual *UsualTemperatures, t zone.Table, from, until zone.Instant, readingError unit.TemperatureDifference) {
	if usual == nil {
		spread := max(r.errorOr(readingError), unit.TemperatureDifference(MaxDrift.Value))
		c.Points = append(c.Points, CoursePoint{from, r.Celsius, spread, false}, CoursePoint{until, r.Celsius, spread, false})
		return
	}
	spread := max(r.errorOr(readingError), unit.TemperatureDifference(UsualError.Value))
	day := TemperatureCourse{Points: usual.coursePoints(t, from, until, spread)}
	c.Points = append(c.Points, day.At(from))
	for _, n := range day.Points {
		if n.At > from && n.At < until {
			c.Points = append(c.Points, n)
		}
	}
	c.Points = append(c.Points, day.At(until))
}

// dropPointsBefore drops the points that do not affect the course from from onwards.
func (c *TemperatureCourse) dropPointsBefore(from zone.Instant) {
	n := 0
	for n+1 < len(c.Points) && c.Points[n+1].At <= from {
		n++
	}
	c.Points = c.Points[n:]
}
