// Package zone turns instants into clock times and back by a table of a time
// zone's offset changes. The core never asks the machine for its zone: the edge
// makes the table and hands it in. Start with Table.Local to print and
// Table.Instants to read; the package keeps no list of zones.
package zone

// Instant is a point in time: milliseconds since 1970-01-01T00:00:00Z.
type Instant int64

// Span is a length of time in milliseconds.
type Span int64

// Second, Minute, Hour and Day as spans; a Day here is always 24 hours.
const (
	Second Span = 1000
	Minute      = 60 * Second
	Hour        = 60 * Minute
	Day         = 24 * Hour
)

// Add gives the instant d later.
func (i Instant) Add(d Span) Instant { return i + Instant(d) }

// Sub gives the span from j to i.
func (i Instant) Sub(j Instant) Span { return Span(i - j) }

// Hours gives d in hours.
func (d Span) Hours() float64 { return float64(d) / float64(Hour) }

// longest bounds spans that are made or printed, so that no sum of an instant and a few spans runs over:
// about 30 000 years.
const longest = 1 << 50

// HoursSpan makes a span of h hours, rounded to the millisecond. Beyond 30 000
// years either way it is that; what is not a number is zero.
func HoursSpan(h float64) Span {
	ms := h * float64(Hour)
	switch {
	case ms != ms:
		return 0
	case ms >= longest:
		return longest
	case ms <= -longest:
		return -longest
	case ms < 0:
		return -Span(-ms + 0.5)
	}
	return Span(ms + 0.5)
}

// Change is one change of offset: from From on, local time is UTC plus Offset
// seconds.
type Change struct {
	From   Instant `json:"from"`
	Offset int     `json:"offset"`
}

// Table is a zone's name (IANA) and its offset changes in order of time. The
// first also holds for all time before it. An empty table is UTC.
type Table struct {
	Name    string   `json:"name"`
	Changes []Change `json:"changes"`
}
