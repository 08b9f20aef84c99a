package zone

// LocalTime is a clock time of the proleptic Gregorian calendar, without a zone.
type LocalTime struct {
	Year, Month, Day, Hour, Minute, Second int
}

// Weekday returns the day of the week of the date, 0 for Sunday.
func (l LocalTime) Weekday() int {
	return int(floorMod(daysSinceEpoch(l.Year, l.Month, l.Day)+4, 7)) // 1970-01-01 was a Thursday
}

// isValid reports whether l is a date and time of the calendar, in the years 1 to 9999.
func (l LocalTime) isValid() bool {
	return l.Year >= 1 && l.Year <= 9999 && l.Month >= 1 && l.Month <= 12 && l.Day >= 1 && l.Day <= monthDays(l.Year, l.Month) &&
		l.Hour >= 0 && l.Hour <= 23 && l.Minute >= 0 && l.Minute <= 59 && l.Second >= 0 && l.Second <= 59
}

// seconds returns the seconds from 1970-01-01 00:00:00 to l on the same clock.
func (l LocalTime) seconds() int64 {
	return daysSinceEpoch(l.Year, l.Month, l.Day)*86400 + int64(l.Hour)*3600 + int64(l.Minute)*60 + int64(l.Second)
}

// localTimeOf is the inverse of seconds.
func localTimeOf(s int64) LocalTime {
	day, rest := floorDiv(s, 86400), floorMod(s, 86400)
	l := LocalTime{Hour: int(rest / 3600), Minute: int(rest / 60 % 60), Second: int(rest % 60)}
	l.Year, l.Month, l.Day = dateOf(day)
	return l
}

// The calendar repeats every 400 years, an era of 146 097 days. With the year
// beginning in March the leap day comes last, and the months' lengths follow a
// line: 153 days in five months.
const eraDays = 146097

// daysSinceEpoch returns the number of days from 1970-01-01 to a date.
func daysSinceEpoch(year, month, day int) int64 {
	y, m := int64(year), int64(month)-3
	if m < 0 {
		m += 12
		y--
	}
	era, inEra := floorDiv(y, 400), floorMod(y, 400)
	inYear := (153*m+2)/5 + int64(day) - 1
	return era*eraDays + inEra*365 + inEra/4 - inEra/100 + inYear - 719468 // 0000-03-01 to 1970-01-01
}

// dateOf is the inverse of daysSinceEpoch.
func dateOf(n int64) (year, month, day int) {
	n += 719468
	era, d := floorDiv(n, eraDays), floorMod(n, eraDays)
	y := (d - d/1460 + d/36524 - d/146096) / 365
	d -= 365*y + y/4 - y/100
	m := (5*d + 2) / 153
	day = int(d - (153*m+2)/5 + 1)
	y += era * 400
	if m += 3; m > 12 {
		m -= 12
		y++
	}
	return int(y), int(m), day
}

// monthDays returns the length of a month.
func monthDays(year, month int) int {
	switch month {
	case 2:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	case 4, 6, 9, 11:
		return 30
	}
	return 31
}

// floorDiv and floorMod round towards the past, so that times before 1970 work.
func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

func floorMod(a, b int64) int64 { return a - floorDiv(a, b)*b }

// Date returns midnight UTC of a date.
func Date(year, month, day int) Instant {
	return Instant(daysSinceEpoch(year, month, day) * 86400 * 1000)
}
