package batchview

import (
	"math"

	"coldbatch/internal/zone"
)

// buildTimeline lays out the progress bar of a bag: time from its closing to a little past the
// late figure, or two days if no time can be given.
func (e ViewEnv) buildTimeline(closed, ready, late, now zone.Instant) Timeline {
	end := max(late, ready)
	if end == 0 {
		end = closed.Add(2 * zone.Day)
	}
	end = end.Add(end.Sub(closed) / 14)
	at := func(i zone.Instant) float64 {
		if i == 0 {
			return 0
		}
		x := float64(i.Sub(closed)) / float64(end.Sub(closed))
		return math.Round(min(1, max(0, x))*1e4) / 1e4
	}
	s := Timeline{NowShare: at(now), ReadyShare: at(ready), LateShare: at(late), Ticks: []ScaleMark{}}
	step := tickStep(end.Sub(closed))
	first := e.nextHour(closed, step)
	for i, n := first, 0; i < end && n < 60; i, n = i.Add(step), n+1 {
		t := ScaleMark{Position: at(i)}
		if e.sinceMidnight(i)%(2*step) == 0 || step >= zone.Day {
			t.Text = e.tickText(i)
		}
		s.Ticks = append(s.Ticks, t)
	}
	return s
}

// tickStep returns the time between ticks, so that a strip has four to eight.
func tickStep(long zone.Span) zone.Span {
	for _, h := range []zone.Span{1, 2, 3, 6, 12, 24, 48, 96, 168} {
		if long <= 8*h*zone.Hour {
			return h * zone.Hour
		}
	}
	return 14 * zone.Day
}

// nextHour returns the first clock time after i that is a whole number of steps
// from midnight there (of whole days: midnight).
func (e ViewEnv) nextHour(i zone.Instant, step zone.Span) zone.Instant {
	day := min(step, zone.Day)
	return i.Add(day - e.sinceMidnight(i)%day)
}

// sinceMidnight returns the time of day at i by the clock there.
func (e ViewEnv) sinceMidnight(i zone.Instant) zone.Span {
	return (zone.Span(i) + zone.Span(e.Zone.Offset(i))*zone.Second) % zone.Day
}

func (e ViewEnv) tickText(i zone.Instant) string {
	l := e.Zone.Local(i)
	switch {
	case l.Hour == 0 && l.Minute == 0:
		return [...]string{"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"}[l.Weekday()]
	case l.Hour == 12 && l.Minute == 0:
		return "noon"
	}
	return e.Zone.FormatClockTime(i, e.Style.Clock12)
}
