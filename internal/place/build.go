package place

import (
	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// What is assumed where nobody looked.
var (
	// Holds is how long a reading is taken to hold, before the first and after
	// the last; an older one is shown as old.
	Holds = fault.Value{Name: "how long a reading holds", Value: 6, Unit: "h", Low: 2, High: 12,
		Source: fault.Source{Kind: fault.Judgement, Text: "judgement, no source"}}
	// Drift is how far a place may drift from a reading that no longer holds,
	// where its usual night and day are not known.
	Drift = fault.Value{Name: "how far a place drifts from an old reading", Value: 4, Unit: "°C", Low: 2, High: 8,
		Source: fault.Source{Kind: fault.Judgement, Text: "judgement, no source"}}
)

// Longest is the longest course that Build makes; a later until is cut.
const Longest = 400 * zone.Day

func holds() zone.Span { return zone.HoursSpan(Holds.Value) }

// Build gives the course of a place from from to until as it is known at now.
//
// Between readings it is straight. The first reading also holds for Holds before
// it, and the last for Holds after it. Beyond that come the usual night and day
// by the clock of t, off by UsualError, if usual is given; otherwise the same
// temperature, off by Drift. A reading without an error of its own is off by
// readingError. Readings after now are taken as given: somebody foresees them.
// Without readings the whole course is the usual one; without a usual either
// the course is empty and the caller assumes a temperature (Steady).
//
// Readings and a usual that Check refuses are left out. The order of readings
// does not matter.
func Build(readings []Reading, usual *Usual, t zone.Table, from, now, until zone.Instant, readingError unit.Difference) Course {
	all := sorted(readings)
	if usual != nil && usual.Check() != nil {
		usual = nil
	}
	until = max(from, until)
	if d := until.Sub(from); d < 0 || d > Longest {
		until = from.Add(Longest)
	}
	if len(all) == 0 {
		if usual == nil {
			return Course{}
		}
		return Course{Nodes: usual.turns(t, from, until, unit.Difference(UsualError.Value))}
	}
	var c Course
	first, last := all[0], all[len(all)-1]
	if start := first.At.Add(-holds()); from < start {
		c.foresee(first, usual, t, from, min(start, until), readingError)
		c.Nodes = append(c.Nodes, Node{start, first.Celsius, first.spread(readingError), true})
	}
	for _, r := range all {
		if r.At <= now {
			c.LastReading = r.At
		}
		c.Nodes = append(c.Nodes, Node{r.At, r.Celsius, r.spread(readingError), true})
	}
	if end := last.At.Add(holds()); until > end {
		c.Nodes = append(c.Nodes, Node{end, last.Celsius, last.spread(readingError), true})
		c.foresee(last, usual, t, max(end, from), until, readingError)
	}
	c.trim(from)
	return c
}

// foresee adds what is assumed from from to until, next to the reading r.
func (c *Course) foresee(r Reading, usual *Usual, t zone.Table, from, until zone.Instant, readingError unit.Difference) {
	if usual == nil {
		spread := max(r.spread(readingError), unit.Difference(Drift.Value))
		c.Nodes = append(c.Nodes, Node{from, r.Celsius, spread, false}, Node{until, r.Celsius, spread, false})
		return
	}
	spread := max(r.spread(readingError), unit.Difference(UsualError.Value))
	day := Course{Nodes: usual.turns(t, from, until, spread)}
	c.Nodes = append(c.Nodes, day.At(from))
	for _, n := range day.Nodes {
		if n.At > from && n.At < until {
			c.Nodes = append(c.Nodes, n)
		}
	}
	c.Nodes = append(c.Nodes, day.At(until))
}

// trim drops the nodes that no longer matter from from on.
func (c *Course) trim(from zone.Instant) {
	n := 0
	for n+1 < len(c.Nodes) && c.Nodes[n+1].At <= from {
		n++
	}
	c.Nodes = c.Nodes[n:]
}
