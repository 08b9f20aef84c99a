package zone

import (
	"strings"

	"coldbatch/internal/fault"
)

// accepted is the hint of what Parse reads.
const accepted = "a time such as 2026-05-02T16:00, 2026-05-02T16:00:00+01:00, 16:00 or 4:05 pm"

// Parse reads a time as people and programs write it:
//
//	2026-05-02T16:00  2026-05-02 16:00:30  2026-05-02 4:05 pm
//	2026-05-02T16:00Z  2026-05-02T16:00:00+01:00   the offset counts, not the table
//	16:00  4:05 pm  4 pm                       the last such time not after now
//
// Parts of a second are read to the millisecond. A time that the clock shows
// twice, as it is set back, is refused with both readings, and one that it skips
// is refused; of a time of day alone only readings not after now count. Errors
// are *fault.Fault of code Input.
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
		return 0, refuse(string(r[:64])+"…", "it is longer than 64 characters")
	}
	c := cursor{rest: typed}
	l, dated := c.date()
	if dated && !c.take("T") && !c.take("t") && !c.take(" ") {
		return 0, refuse(typed, "a date needs a time of day after it")
	}
	c.spaces()
	milli, ok := c.timeOfDay(&l)
	if !ok {
		return 0, refuse(typed, "")
	}
	offset, offsetGiven, ok := c.offset()
	if !ok || c.rest != "" {
		return 0, refuse(typed, "")
	}
	switch {
	case !dated && offsetGiven:
		return 0, refuse(typed, "an offset needs a date before it")
	case !dated:
		return t.last(typed, l, milli, now)
	case !l.valid():
		return 0, refuse(typed, "there is no such date or time")
	case offsetGiven:
		return Instant((l.seconds()-int64(offset))*1000 + int64(milli)), nil
	}
	return t.only(typed, t.instants(l, milli))
}

// only gives the one instant of at; typed is refused where there are two, or none
// since the clock skips l.
func (t Table) only(typed string, at []Instant) (Instant, error) {
	switch len(at) {
	case 0:
		return 0, refuse(typed, "the clock is set forward then and skips that time")
	case 1:
		return at[0], nil
	}
	return 0, fault.New(fault.Input, "%q occurs twice as the clock is set back: %s and %s", typed, t.Stamp(at[0]), t.Stamp(at[1])).
		At("", typed).WithHint("write one of these")
}

// last gives the last instant, not after now, at which the clock shows l's time
// of day: today's or yesterday's.
func (t Table) last(typed string, l Local, milli int, now Instant) (Instant, error) {
	today := t.Local(now)
	for back := int64(0); back < 2; back++ {
		l.Year, l.Month, l.Day = civil(days(today.Year, today.Month, today.Day) - back)
		if !l.valid() {
			return 0, refuse(typed, "there is no such time of day")
		}
		var past []Instant
		at := t.instants(l, milli)
		for _, i := range at {
			if i <= now {
				past = append(past, i)
			}
		}
		skipped := len(at) == 0 && l.seconds() <= today.seconds()
		if len(past) > 0 || skipped {
			return t.only(typed, past)
		}
	}
	return 0, refuse(typed, "there was no such time since yesterday")
}

// instants is Instants with milliseconds.
func (t Table) instants(l Local, milli int) []Instant {
	at := t.Instants(l)
	for n := range at {
		at[n] += Instant(milli)
	}
	return at
}

func refuse(typed, why string) error {
	f := fault.New(fault.Input, "%q is not a time", typed)
	if why != "" {
		f.Sentence += ": " + why
	}
	return f.At("", typed).WithHint(accepted)
}

// cursor reads from the front of rest.
type cursor struct{ rest string }

func (c *cursor) take(s string) bool {
	if strings.HasPrefix(c.rest, s) {
		c.rest = c.rest[len(s):]
		return true
	}
	return false
}

func (c *cursor) spaces() { c.rest = strings.TrimLeft(c.rest, " ") }

// number reads least to most digits.
func (c *cursor) number(least, most int) (int, bool) {
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
func (c *cursor) date() (Local, bool) {
	var l Local
	var ok bool
	try := *c
	if l.Year, ok = try.number(4, 4); !ok || !try.take("-") {
		return Local{}, false
	}
	if l.Month, ok = try.number(2, 2); !ok || !try.take("-") {
		return Local{}, false
	}
	if l.Day, ok = try.number(2, 2); !ok {
		return Local{}, false
	}
	*c = try
	return l, true
}

// timeOfDay reads 16:00, 16:00:30, 16:00:30.250, 4:05 pm or 4 pm; it gives the
// milliseconds.
func (c *cursor) timeOfDay(l *Local) (milli int, ok bool) {
	if l.Hour, ok = c.number(1, 2); !ok {
		return 0, false
	}
	if !c.take(":") {
		halved, ok := c.half(l)
		return 0, halved && ok
	}
	if l.Minute, ok = c.number(2, 2); !ok {
		return 0, false
	}
	if c.take(":") {
		if l.Second, ok = c.number(2, 2); !ok {
			return 0, false
		}
		if c.take(".") {
			if milli, ok = c.thousandths(); !ok {
				return 0, false
			}
		}
	}
	_, ok = c.half(l)
	return milli, ok
}

// thousandths reads up to nine digits after the point and keeps three.
func (c *cursor) thousandths() (int, bool) {
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

// half reads am or pm, if one follows; it is not ok after an hour that is not 1 to
// 12.
func (c *cursor) half(l *Local) (given, ok bool) {
	lower := cursor{strings.ToLower(strings.TrimLeft(c.rest, " "))}
	pm := lower.take("pm") || lower.take("p.m.")
	if !pm && !lower.take("am") && !lower.take("a.m.") {
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
func (c *cursor) offset() (seconds int, given, ok bool) {
	c.spaces()
	if c.take("Z") || c.take("z") {
		return 0, true, true
	}
	sign := 1
	switch {
	case c.take("-"):
		sign = -1
	case !c.take("+"):
		return 0, false, true
	}
	h, ok := c.number(2, 2)
	if !ok || !c.take(":") {
		return 0, true, false
	}
	m, ok := c.number(2, 2)
	if !ok || m > 59 || h*3600+m*60 > farthest {
		return 0, true, false
	}
	return sign * (h*3600 + m*60), true, true
}
