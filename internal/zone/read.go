package zone

import (
	"strings"

	"coldbatch/internal/fault"
)

// acceptedForms is the hint with the forms that Parse reads.
const acceptedForms = "a time such as 2026-05-02T16:00, 2026-05-02T16:00:00+01:00, 16:00 or 4:05 pm"

// Parse reads a time as people and programs write it:
//
//	2026-05-02T16:00  2026-05-02 16:00:30  2026-05-02 4:05 pm
//	2026-05-02T16:00Z  2026-05-02T16:00:00+01:00   the offset counts, not the table
//	16:00  4:05 pm  4 pm                       the last such time not after now
//
// Parts of a second are read to the millisecond. A time that the clock shows twice, as
// it is set back, is refused with both readings in the hint; one that it skips is
// refused. For a time of day alone only readings up to now count. Every error is a
// *fault.Fault of code Input.
func (t Table) Parse(s string, now Instant) (Instant, error) {
	typed := strings.Map(func(r rune) rune {
		switch r {
		case '\u00a0', '\u202f', '\u2009', '\t':
			return ' '
		case '−':
			return '-'
		}
		return r
	}, s)
	typed = strings.TrimSpace(typed)
	if r := []rune(typed); len(r) > 64 {
		return 0, parseFault(string(r[:64])+"…", "it is longer than 64 characters")
	}
	c := timeParser{rest: typed}
	l, dated := c.date()
	if dated && !c.accept("T") && !c.accept("t") && !c.accept(" ") {
		return 0, parseFault(typed, "a date needs a time of day after it")
	}
	c.skipSpaces()
	milli, ok := c.timeOfDay(&l)
	if !ok {
		return 0, parseFault(typed, "")
	}
	offset, offsetGiven, ok := c.offset()
	if !ok || c.rest != "" {
		return 0, parseFault(typed, "")
	}
	switch {
	case !dated && offsetGiven:
		return 0, parseFault(typed, "an offset needs a date before it")
	case !dated:
		return t.lastBefore(typed, l, milli, now)
	case !l.isValid():
		return 0, parseFault(typed, "there is no such date or time")
	case offsetGiven:
		return Instant((l.seconds()-int64(offset))*1000 + int64(milli)), nil
	}
	return t.singleInstant(typed, t.instantsWithMilli(l, milli))
}

// singleInstant returns the only instant in at. It returns a fault about typed where there
// are two, or none because the clock skips that time.
func (t Table) singleInstant(typed string, at []Instant) (Instant, error) {
	switch len(at) {
	case 0:
		return 0, parseFault(typed, "the clock is set forward then and skips that time")
	case 1:
		return at[0], nil
	}
	return 0, fault.New(fault.Input, "%q occurs twice because the clocks go back: %s and %s", typed, t.FormatStamp(at[0]), t.FormatStamp(at[1])).
		At("", typed).WithHint("write one of these")
}

// lastBefore returns the last instant up to now at which the clock shows l's time of day,
// today or yesterday.
func (t Table) lastBefore(typed string, l LocalTime, milli int, now Instant) (Instant, error) {
	today := t.Local(now)
	for back := int64(0); back < 2; back++ {
		l.Year, l.Month, l.Day = dateOf(daysSinceEpoch(today.Year, today.Month, today.Day) - back)
		if !l.isValid() {
			return 0, parseFault(typed, "there is no such time of day")
		}
		var past []Instant
		at := t.instantsWithMilli(l, milli)
		for _, i := range at {
			if i <= now {
				past = append(past, i)
			}
		}
		skipped := len(at) == 0 && l.seconds() <= today.seconds()
		if len(past) > 0 || skipped {
			return t.singleInstant(typed, past)
		}
	}
	return 0, parseFault(typed, "there was no such time since yesterday")
}

// instantsWithMilli is Instants with milliseconds added.
func (t Table) instantsWithMilli(l LocalTime, milli int) []Instant {
	at := t.Instants(l)
	for n := range at {
		at[n] += Instant(milli)
	}
	return at
}

func parseFault(typed, why string) error {
	f := fault.New(fault.Input, "%q is not a time", typed)
	if why != "" {
		f.Sentence += ": " + why
	}
	return f.At("", typed).WithHint(acceptedForms)
}

// timeParser reads from the front of rest.
type timeParser struct{ rest string }

func (c *timeParser) accept(s string) bool {
	if strings.HasPrefix(c.rest, s) {
		c.rest = c.rest[len(s):]
		return true
	}
	return false
}

func (c *timeParser) skipSpaces() { c.rest = strings.TrimLeft(c.rest, " ") }

// number reads least to most digits.
func (c *timeParser) number(least, most int) (int, bool) {
	n, v := 0, 0
	for n < len(c.rest) && n < most && c.rest[n] >= '0' && c.rest[n] <= '9' {
		v = v*10 + int(c.rest[n]-'0')
		n++
	}
	if n < least {
		return 0, false
	}
	c.rest = c.rest[n:]
	return v, true
}

// date reads 2026-05-02; otherwise nothing.
func (c *timeParser) date() (LocalTime, bool) {
	var l LocalTime
	var ok bool
	try := *c
	if l.Year, ok = try.number(4, 4); !ok || !try.accept("-") {
		return LocalTime{}, false
	}
	if l.Month, ok = try.number(2, 2); !ok || !try.accept("-") {
		return LocalTime{}, false
	}
	if l.Day, ok = try.number(2, 2); !ok {
		return LocalTime{}, false
	}
	*c = try
	return l, true
}

// timeOfDay reads 16:00, 16:00:30, 16:00:30.250, 4:05 pm or 4 pm; it returns the
// milliseconds.
func (c *timeParser) timeOfDay(l *LocalTime) (milli int, ok bool) {
	if l.Hour, ok = c.number(1, 2); !ok {
		return 0, false
	}
	if !c.accept(":") {
		halved, ok := c.amPM(l)
		return 0, halved && ok
	}
	if l.Minute, ok = c.number(2, 2); !ok {
		return 0, false
	}
	if c.accept(":") {
		if l.Second, ok = c.number(2, 2); !ok {
			return 0, false
		}
		if c.accept(".") {
			if milli, ok = c.thousandths(); !ok {
				return 0, false
			}
		}
	}
	_, ok = c.amPM(l)
	return milli, ok
}

// thousandths reads up to nine digits after the point and keeps three.
func (c *timeParser) thousandths() (int, bool) {
	before := len(c.rest)
	v, ok := c.number(1, 3)
	for n := before - len(c.rest); ok && n < 3; n++ {
		v *= 10
	}
	for n := 0; n < 6; n++ {
		c.number(1, 1)
	}
	return v, ok
}

// amPM reads am or pm, if one follows, and adjusts the hour. ok is false where the hour
// before it is not 1 to 12.
func (c *timeParser) amPM(l *LocalTime) (given, ok bool) {
	lower := timeParser{strings.ToLower(strings.TrimLeft(c.rest, " "))}
	pm := lower.accept("pm") || lower.accept("p.m.")
	if !pm && !lower.accept("am") && !lower.accept("a.m.") {
		return false, true
	}
	if l.Hour < 1 || l.Hour > 12 {
		return true, false
	}
	c.rest = lower.rest
	l.Hour %= 12
	if pm {
		l.Hour += 12
	}
	return true, true
}

// offset reads Z or ±hh:mm, if one follows, in seconds.
func (c *timeParser) offset() (seconds int, given, ok bool) {
	c.skipSpaces()
	if c.accept("Z") || c.accept("z") {
		return 0, true, true
	}
	sign := 1
	switch {
	case c.accept("-"):
		sign = -1
	case !c.accept("+"):
		return 0, false, true
	}
	h, ok := c.number(2, 2)
	if !ok || !c.accept(":") {
		return 0, true, false
	}
	m, ok := c.number(2, 2)
	if !ok || m > 59 || h*3600+m*60 > maxOffset {
		return 0, true, false
	}
	return sign * (h*3600 + m*60), true, true
}
