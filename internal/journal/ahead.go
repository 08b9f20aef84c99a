package journal

import "coldbatch/internal/zone"

// MaxAhead says how far a stamp may lie ahead of the time (judgement): the clocks of a
// house differ by less, and time soon catches up with a stamp that is a day ahead.
const MaxAhead = zone.Day

// IsAhead says whether s lies further ahead of now than MaxAhead. Such a stamp must not
// advance anybody's clock: all that is written afterwards would carry it on.
func (s Stamp) IsAhead(now zone.Instant) bool { return s.Milliseconds > now.Add(MaxAhead) }

// OrderAheadFirst returns the facts with those whose stamps are ahead of now put before all
// others, in their own order, so that whatever is written now wins over them. They are
// not lost: they may have been written by a clock that was wrong. until is the earliest
// time at which one of them is no longer ahead, 0 where none is.
func OrderAheadFirst(facts []Fact, now zone.Instant) (out []Fact, until zone.Instant) {
	var ahead []Fact
	for _, f := range facts {
		if f.Stamp.IsAhead(now) {
			ahead = append(ahead, f)
		}
	}
	if len(ahead) == 0 {
		return facts, 0
	}
	out = make([]Fact, 0, len(facts))
	for i, f := range SortedByStamp(ahead) {
		if i == 0 {
			until = f.Stamp.Milliseconds.Add(-MaxAhead)
		}
		f.raw = f.Text() // the fact itself keeps its stamp
		f.Stamp = Stamp{Milliseconds: zone.Instant(i >> 16), Counter: uint16(i)}
		out = append(out, f)
	}
	for _, f := range facts {
		if !f.Stamp.IsAhead(now) {
			out = append(out, f)
		}
	}
	return out, until
}
