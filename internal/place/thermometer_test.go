package place

import (
	"testing"

	"coldbatch/internal/zone"
)

// The last six in the morning and three in the afternoon by the clock on the wall, also
// across a change of the clock.
func TestLastExtremes(t *testing.T) {
	for _, row := range []struct {
		why                      string
		month, day, hour, minute int // UTC
		lowDay, lowHour          int // UTC
		highDay, highHour        int
	}{
		{"in the morning", 1, 20, 9, 0, 20, 6, 19, 15},
		{"in the evening", 1, 20, 20, 0, 20, 6, 20, 15},
		{"before dawn", 1, 20, 3, 0, 19, 6, 19, 15},
		{"just at the low", 1, 20, 6, 0, 20, 6, 19, 15},
		{"a minute before", 1, 20, 5, 59, 19, 6, 19, 15},
		{"the morning that clocks went forward", 3, 29, 9, 0, 29, 5, 28, 15},
	} {
		now := zone.Date(2026, row.month, row.day).Add(zone.Span(row.hour)*zone.Hour + zone.Span(row.minute)*zone.Minute)
		low, high := LastExtremes(lisbon, now)
		at := func(day, hour int) zone.Instant {
			return zone.Date(2026, row.month, day).Add(zone.Span(hour) * zone.Hour)
		}
		if low != at(row.lowDay, row.lowHour) || high != at(row.highDay, row.highHour) {
			t.Errorf("%s: low at %d, want %d; high at %d, want %d", row.why, low, at(row.lowDay, row.lowHour), high, at(row.highDay, row.highHour))
		}
	}
}
