package batchview

import (
	"strings"
	"testing"

	"coldbatch/internal/zone"
)

// Ticks stand on whole hours of the clock there and enough of them are named to
// tell the day, however long the cure.
func TestStripTicks(t *testing.T) {
	for _, c := range []struct {
		why   string
		hours float64
		texts string
	}{
		{"a warm afternoon", 5, "14:00 16:00"},
		{"a day", 24, "Sun noon"},
		{"a cold night and more: midnights, not noon after noon", 60, "Sun Mon Tue"},
		{"a week", 160, "Sun Mon Tue Wed Thu Fri Sat"},
	} {
		closed := noon.Add(10 * zone.Minute)
		late := closed.Add(zone.HoursSpan(c.hours))
		e := ViewEnv{Now: closed, Zone: lisbon}
		s := e.buildTimeline(closed, late.Add(-zone.Hour), late, closed)
		var texts []string
		for _, k := range s.Ticks {
			if k.Position < 0 || k.Position > 1 {
				t.Errorf("%s: a tick at %g", c.why, k.Position)
			}
			if k.Text != "" {
				texts = append(texts, k.Text)
			}
		}
		if got := strings.Join(texts, " "); got != c.texts {
			t.Errorf("%s: %q, want %q", c.why, got, c.texts)
		}
		if s.NowShare != 0 || !(s.ReadyShare < s.LateShare && s.LateShare < 1) {
			t.Errorf("%s: %+v", c.why, s)
		}
	}
}
