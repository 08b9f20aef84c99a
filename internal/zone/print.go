package zone

import (
	"fmt"
	"strconv"
	"strings"
)

var (
	weekdays = [...]string{"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"}
	months   = [...]string{"Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"}
)

// FormatStamp prints i with its offset as RFC 3339 does, to the second:
// 2026-05-02T16:00:00+01:00. An offset that is not whole minutes, as some zones
// had before 1972, is printed to the minute, and the clock time is adjusted so that the
// stamp still means the same instant.
func (t Table) FormatStamp(i Instant) string {
	offset := t.Offset(i) / 60
	l := localTimeOf(floorDiv(int64(i), 1000) + int64(offset)*60)
	sign := '+'
	if offset < 0 {
		sign, offset = '-', -offset
	}
	return fmt.Sprintf("%04d-%02d-%02dT%02d:%02d:%02d%c%02d:%02d", l.Year, l.Month, l.Day, l.Hour, l.Minute, l.Second, sign, offset/60, offset%60)
}

// FormatClockTime prints the time of day at i: 20:25 or 8:25 pm. Seconds are dropped, as
// on a clock.
func (t Table) FormatClockTime(i Instant, clock12 bool) string { return t.Local(i).clock(clock12) }

func (l LocalTime) clock(clock12 bool) string {
	if !clock12 {
		return fmt.Sprintf("%02d:%02d", l.Hour, l.Minute)
	}
	half := "am"
	if l.Hour >= 12 {
		half = "pm"
	}
	return fmt.Sprintf("%d:%02d %s", (l.Hour+11)%12+1, l.Minute, half)
}

// FormatClock prints i as seen at now: today 20:25, Sat 20:25 up to six days before or
// after today, Sat 2 May 20:25 otherwise, and Sat 2 May 2026 20:25 in another
// year. The offset is added to an hour that occurs twice.
func (t Table) FormatClock(i, now Instant, clock12 bool) string {
	l, today := t.Local(i), t.Local(now)
	apart := daysSinceEpoch(l.Year, l.Month, l.Day) - daysSinceEpoch(today.Year, today.Month, today.Day)
	switch {
	case apart == 0:
		return "today " + t.unambiguousClock(i, l, clock12)
	case apart >= -6 && apart <= 6:
		return weekdays[l.Weekday()] + " " + t.unambiguousClock(i, l, clock12)
	case l.Year == today.Year:
		return t.FormatClockWithDate(i, clock12)
	}
	return fmt.Sprintf("%s %d %s %d %s", weekdays[l.Weekday()], l.Day, months[l.Month-1], l.Year, t.unambiguousClock(i, l, clock12))
}

// FormatClockWithDate prints i with its day, as paper needs it: Sat 2 May 20:25. The offset is
// added to an hour that occurs twice.
func (t Table) FormatClockWithDate(i Instant, clock12 bool) string {
	l := t.Local(i)
	return fmt.Sprintf("%s %d %s %s", weekdays[l.Weekday()], l.Day, months[l.Month-1], t.unambiguousClock(i, l, clock12))
}

// unambiguousClock prints the time of day l of the instant i, with the offset where the
// clock shows l twice.
func (t Table) unambiguousClock(i Instant, l LocalTime, clock12 bool) string {
	out := l.clock(clock12)
	if len(t.Instants(l)) > 1 {
		out += " (" + formatOffset(t.Offset(i)) + ")"
	}
	return out
}

// formatOffset prints an offset: UTC+1, UTC−3:30, UTC.
func formatOffset(offset int) string {
	minutes, sign := offset/60, "+"
	if minutes < 0 {
		minutes, sign = -minutes, "−"
	}
	switch {
	case minutes == 0:
		return "UTC"
	case minutes%60 == 0:
		return fmt.Sprintf("UTC%s%d", sign, minutes/60)
	}
	return fmt.Sprintf("UTC%s%d:%02d", sign, minutes/60, minutes%60)
}

// SpanPart is a number and its unit, which a screen sets apart.
type SpanPart struct {
	Number string `json:"number"`
	Unit   string `json:"unit"`
}

// Words prints d rounded once to minutes: "40 min", "6 h 20 min", "2 days 3 h".
// From two days on it is rounded to hours. A negative span is printed with a
// minus; none is longer than 30 000 years.
func (d Span) Words() string {
	var words []string
	for _, p := range d.Parts() {
		words = append(words, p.Number+" "+p.Unit)
	}
	return strings.Join(words, " ")
}

// Parts returns what Words prints, number by number.
func (d Span) Parts() []SpanPart {
	if d < 0 {
		parts := max(-d, 0).Parts() // the most negative span has no opposite
		if parts[0].Number != "0" {
			parts[0].Number = "−" + parts[0].Number
		}
		return parts
	}
	d = min(d, maxSpan)
	minutes := int64((d + Minute/2) / Minute)
	if minutes >= 48*60 {
		hours := int64((d + Hour/2) / Hour)
		return twoParts(hours/24, "days", hours%24, "h")
	}
	if minutes < 60 {
		return twoParts(minutes, "min", 0, "")
	}
	return twoParts(minutes/60, "h", minutes%60, "min")
}

func twoParts(n int64, unit string, rest int64, minor string) []SpanPart {
	p := []SpanPart{{strconv.FormatInt(n, 10), unit}}
	if rest != 0 {
		p = append(p, SpanPart{strconv.FormatInt(rest, 10), minor})
	}
	return p
}
