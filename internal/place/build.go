package place

import (
	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// What is assumed where there is no reading.
var (
	// ReadingValidity is how long a reading counts, before the first one and after the
	// last one; an older one is shown as old.
	ReadingValidity = fault.Value{Name: "how long a reading holds", Value: 6, Unit: "h", Low: 2, High: 12,
		Source: fault.Source{Kind: fault.Judgement, Text: "judgement, no source"}}
	// Drift is how far a place may drift from a reading that no longer holds,
	// where its usual night and day are not known.
	Drift = fault.Value{Name: "how far a place drifts from an old reading", Value: 4, Unit: "°C", Low: 2, High: 8,
		Source: fault.Source{Kind: fault.Judgement, Text: "judgement, no source"}}
)

// MaxLength is the longest course that Build makes; a later until is cut.
const MaxLength = 400 * zone.Day

func readingValidity() zone.Span { return zone.HoursSpan(ReadingValidity.Value) }

// Build returns the course of a place from from to until, as it is known at now.
//
// Between readings the course is a straight line. The first reading also counts for
// ReadingValidity before it, and the last one for ReadingValidity after it. Beyond that
// the course follows the usual night and day by the clock of t, with the error
// UsualError; without usual it stays at the same temperature, with the error Drift. A
// reading without an error of its own has readingError. Readings after now are
// forecasts and count like others. Without readings the whole course is the usual one;
// without usual as well it is empty, and the caller assumes a temperature (SteadyCourse).
//
// Readings and a usual that Check refuses are left out. The order of readings does not
// matter.
func Build(readings []Reading, usual *UsualTemperatures, t zone.Table, from, now, until zone.Instant, readingError unit.Difference) Course {
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
			return Course{}
		}
		return Course{Nodes: usual.nodes(t, from, until, unit.Difference(UsualError.Value))}
	}
	var c Course
	first, last := all[0], all[len(all)-1]
	if start := first.At.Add(-readingValidity()); from < start {
		c.addAssumed(first, usual, t, from, min(start, until), readingError)
		c.Nodes = append(c.Nodes, Node{start, first.Celsius, first.errorOr(readingError), true})
	}
	for _, r := range all {
		if r.At <= now {
			c.LastReading = r.At
		}
		c.Nodes = append(c.Nodes, Node{r.At, r.Celsius, r.errorOr(readingError), true})
	}
	if end := last.At.Add(readingValidity()); until > end {
		c.Nodes = append(c.Nodes, Node{end, last.Celsius, last.errorOr(readingError), true})
		c.addAssumed(last, usual, t, max(end, from), until, readingError)
	}
	c.dropBefore(from)
	return c
}

// addAssumed adds the assumed temperatures from from to until, next to the reading r.
func (c *Course) addAssumed(r Reading, usual *UsualTemperatures, t zone.Table, from, until zone.Instant, readingError unit.Difference) {
	if usual == nil {
		spread := max(r.errorOr(readingError), unit.Difference(Drift.Value))
		c.Nodes = append(c.Nodes, Node{from, r.Celsius, spread, false}, Node{until, r.Celsius, spread, false})
		return
	}
	spread := max(r.errorOr(readingError), unit.Difference(UsualError.Value))
	day := Course{Nodes: usual.nodes(t, from, until, spread)}
	c.Nodes = append(c.Nodes, day.At(from))
	for _, n := range day.Nodes {
		if n.At > from && n.At < until {
			c.Nodes = append(c.Nodes, n)
		}
	}
	c.Nodes = append(c.Nodes, day.At(until))
}

// dropBefore drops the nodes that do not affect the course from from onwards.
func (c *Course) dropBefore(from zone.Instant) {
	n := 0
	for n+1 < len(c.Nodes) && c.Nodes[n+1].At <= from {
		n++
	}
	c.Nodes = c.Nodes[n:]
}
