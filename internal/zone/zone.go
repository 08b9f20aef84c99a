// Package zone converts between instants and clock times, by a table of a time zone's
// offset changes. The core never asks the machine for its zone; the edge makes the table
// and passes it in. Start with Table.Local, which prints a time, and Table.Instants,
// which reads one. The package has no list of zones.
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

// Add returns the instant d later.
func (i Instant) Add(d Span) Instant { return i + Instant(d) }

// Sub returns the span from j to i.
func (i Instant) Sub(j Instant) Span { return Span(i - j) }

// Hours returns d in hours.
func (d Span) Hours() float64 { return float64(d) / float64(Hour) }

// maxSpan is the longest span that is made or printed, about 30 000 years. It keeps sums
// of an instant and a few spans from overflowing.
const maxSpan = 1 << 50

// HoursSpan makes a span of h hours, rounded to the millisecond and limited to 30 000
// years either way; NaN becomes zero.
func HoursSpan(h float64) Span {
	ms := h * float64(Hour)
	switch {
	case ms != ms:
		return 0
	case ms >= maxSpan:
		return maxSpan
	case ms <= -maxSpan:
		return -maxSpan
	case ms < 0:
		return -Span(-ms + 0.5)
	}
	return Span(ms + 0.5)
}

// Change is one change of offset: from the instant From on, local time is UTC plus Offset
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
