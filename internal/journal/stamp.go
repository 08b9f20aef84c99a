package journal

import (
	"fmt"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/zone"
)

// Stamp orders facts: a hybrid logical clock (Kulkarni et al., "Logical Physical
// Clocks", 2014), milliseconds and a counter. It says what was known before
// what; it is not a time to show. As text it is 16 hex digits that sort as the
// stamps do.
type Stamp struct {
	Milliseconds zone.Instant
	Counter      uint16
}

// MaxTime is the latest time and stamp that is accepted, the start of the year 2200: a
// stamp near the end of its range would leave no room for anything after it.
const MaxTime zone.Instant = 7258118400000

// Less says whether s comes before t.
func (s Stamp) Less(t Stamp) bool {
	return s.Milliseconds < t.Milliseconds || s.Milliseconds == t.Milliseconds && s.Counter < t.Counter
}

// Next returns the smallest stamp after s. The last valid stamp is its own next: a fact with
// that stamp must not make others write a stamp that nobody can read.
func (s Stamp) Next() Stamp {
	switch {
	case s.Counter < 1<<16-1:
		return Stamp{s.Milliseconds, s.Counter + 1}
	case s.Milliseconds < MaxTime:
		return Stamp{s.Milliseconds + 1, 0}
	}
	return s
}

func (s Stamp) String() string { return fmt.Sprintf("%012x%04x", int64(s.Milliseconds), s.Counter) }

// MarshalText writes the 16 digits.
func (s Stamp) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads what MarshalText writes, and nothing else.
func (s *Stamp) UnmarshalText(b []byte) error { return s.read(string(b)) }

func (s *Stamp) read(t string) error {
	v, ok := uint64(0), len(t) == 16
	for i := 0; ok && i < len(t); i++ {
		digit := strings.IndexByte("0123456789abcdef", t[i])
		v, ok = v<<4|uint64(digit), digit >= 0
	}
	if !ok {
		return fault.New(fault.Input, "stamp %q is not 16 hex digits in lower case", shorten(t))
	}
	got := Stamp{zone.Instant(v >> 16), uint16(v)}
	if v>>16 > uint64(MaxTime) {
		return fault.New(fault.Input, "stamp %q is after the year 2200", t)
	}
	*s = got
	return nil
}

// NewStamp returns the stamp of a new fact written at wall (the writer's clock, put
// right by what it knows of the hub's) by one who has seen every stamp up to
// seen. A wrong clock anywhere can push stamps ahead of the wall; causes still
// come before effects and nobody is held up.
func NewStamp(seen Stamp, wall zone.Instant) Stamp {
	if w := (Stamp{Milliseconds: min(max(0, wall), MaxTime)}); seen.Less(w) {
		return w
	}
	return seen.Next()
}
