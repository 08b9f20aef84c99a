package zone

import (
	"testing"
	"time"
	_ "time/tzdata" // the zones of the tests, on any machine

	"coldbatch/internal/fault"

	"pgregory.net/rapid"
)

// loadZone makes the table of a zone, 1950 to 2150, from the IANA database that Go's
// time package reads: the outside check of this package.
func loadZone(t testing.TB, name string) (Table, *time.Location) {
	t.Helper()
	loc, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(1950, 1, 1, 0, 0, 0, 0, time.UTC).In(loc)
	end := time.Date(2150, 1, 1, 0, 0, 0, 0, time.UTC)
	table := Table{Name: name}
	for {
		_, offset := at.Zone()
		table.Changes = append(table.Changes, Change{Instant(at.UnixMilli()), offset})
		_, next := at.ZoneBounds()
		if next.IsZero() || next.After(end) {
			break
		}
		if !next.After(at) { // stuck on the last day of a leap year after 2037
			next = at.Add(24 * time.Hour)
		}
		at = next.In(loc)
	}
	if err := table.Validate(); err != nil {
		t.Fatal(err)
	}
	return table, loc
}

// The testedZones, each for what is odd in it.
var testedZones = []string{
	"Europe/Lisbon",       // DST, northern
	"America/New_York",    // DST, northern, west of UTC
	"Australia/Sydney",    // DST, southern
	"Australia/Lord_Howe", // DST of 30 minutes
	"Asia/Kathmandu",      // +5:45
	"Pacific/Apia",        // skipped 2011-12-30 whole
	"Africa/Casablanca",   // DST off for Ramadan
	"Africa/Monrovia",     // −0:44:30 until 1972: not whole minutes
	"UTC",
}

func TestCalendarAgainstTime(t *testing.T) {
	end := time.Date(2151, 1, 1, 0, 0, 0, 0, time.UTC)
	for d := time.Date(1949, 12, 31, 0, 0, 0, 0, time.UTC); d.Before(end); d = d.AddDate(0, 0, 1) {
		i := Date(d.Year(), int(d.Month()), d.Day())
		if int64(i) != d.UnixMilli() {
			t.Fatalf("%v: %d", d, i)
		}
		l := UTC().Local(i)
		if l.Year != d.Year() || l.Month != int(d.Month()) || l.Day != d.Day() || l.Weekday() != int(d.Weekday()) || l.Hour != 0 {
			t.Fatalf("%v: %+v, weekday %d", d, l, l.Weekday())
		}
	}
	for _, year := range []int{1, 4, 100, 400, 1582, 1900, 2000, 2100, 9999} { // leap rules: 4, not 100, but 400
		for _, month := range []int{1, 2, 3, 12} {
			if got, want := int64(Date(year, month, 28)), time.Date(year, time.Month(month), 28, 0, 0, 0, 0, time.UTC).UnixMilli(); got != want {
				t.Errorf("%d-%d: %d, want %d", year, month, got, want)
			}
			if got, want := monthDays(year, month), time.Date(year, time.Month(month)+1, 0, 0, 0, 0, 0, time.UTC).Day(); got != want {
				t.Errorf("%d-%d has %d days, want %d", year, month, got, want)
			}
		}
	}
}

func localOfTime(d time.Time) LocalTime {
	return LocalTime{d.Year(), int(d.Month()), d.Day(), d.Hour(), d.Minute(), d.Second()}
}

// Clock times and stamps agree with Go's time package at any instant and around
// every change, and the clock time leads back to the instant.
func TestLocalAgainstTime(t *testing.T) {
	for _, name := range testedZones {
		table, loc := loadZone(t, name)
		check := func(i Instant) {
			t.Helper()
			d := time.UnixMilli(int64(i)).In(loc)
			l := table.Local(i)
			if l != localOfTime(d) {
				t.Fatalf("%s: %v is %+v", name, d, l)
			}
			found := false
			for _, back := range table.Instants(l) {
				found = found || back == i
				if table.Local(back) != l {
					t.Fatalf("%s: %+v leads to %d, which is %+v", name, l, back, table.Local(back))
				}
			}
			if !found {
				t.Fatalf("%s: %+v does not lead back to %v", name, l, d)
			}
			stamp := table.FormatStamp(i)
			if read, err := time.Parse(time.RFC3339, stamp); err != nil || read.UnixMilli() != int64(i) {
				t.Fatalf("%s: stamp %s of %v: %v", name, stamp, d, err)
			}
			if read, err := table.Parse(stamp, 0); err != nil || read != i {
				t.Fatalf("%s: own stamp %s of %v: %v", name, stamp, d, err)
			}
		}
		for _, c := range table.Changes[1:] {
			for _, off := range []Span{-2 * Hour, -Hour, -30 * Minute, -Second, 0, Second, 30 * Minute, Hour, 2 * Hour} {
				check(c.From.Add(off))
			}
		}
		rapid.Check(t, func(r *rapid.T) {
			check(Instant(rapid.Int64Range(int64(Date(1950, 1, 2))/1000, int64(Date(2149, 12, 30))/1000).Draw(r, "s") * 1000))
		})
	}
}

// At every change a skipped time has no instant, and one that occurs twice has
// two, in order.
func TestInstantsAtChanges(t *testing.T) {
	for _, name := range testedZones {
		table, _ := loadZone(t, name)
		for n, c := range table.Changes[1:] {
			before, after := table.Changes[n].Offset, c.Offset
			shift := after - before
			// the middle of what is skipped or repeated, by the clock before
			middle := localTimeOf(int64(c.From)/1000 + int64(min(before, after)) + int64(max(shift, -shift))/2)
			got := table.Instants(middle)
			switch {
			case shift > 0 && len(got) != 0:
				t.Errorf("%s: %+v is skipped, not %d", name, middle, got)
			case shift < 0 && (len(got) != 2 || got[1].Sub(got[0]) != Span(-shift)*Second):
				t.Errorf("%s: %+v occurs twice, %d s apart, not %d", name, middle, -shift, got)
			case shift == 0 && len(got) != 1:
				t.Errorf("%s: %+v occurs once, not %d", name, middle, got)
			}
		}
	}
}

// The nights of 2026 in words, from the rules in force: EU Directive 2000/84/EC
// (1:00 UTC on the last Sundays of March and October); Australia on the first
// Sundays of October and April (state daylight saving acts, from memory).
func TestChangeNights(t *testing.T) {
	for _, row := range []struct {
		zone string
		l    LocalTime
		want int
		why  string
	}{
		{"Europe/Lisbon", LocalTime{2026, 3, 29, 0, 59, 59}, 1, "before the spring change"},
		{"Europe/Lisbon", LocalTime{2026, 3, 29, 1, 0, 0}, 0, "the first second skipped"},
		{"Europe/Lisbon", LocalTime{2026, 3, 29, 1, 59, 59}, 0, "the last second skipped"},
		{"Europe/Lisbon", LocalTime{2026, 3, 29, 2, 0, 0}, 1, "after"},
		{"Europe/Lisbon", LocalTime{2026, 10, 25, 0, 59, 59}, 1, "before the autumn change"},
		{"Europe/Lisbon", LocalTime{2026, 10, 25, 1, 0, 0}, 2, "the first second that occurs twice"},
		{"Europe/Lisbon", LocalTime{2026, 10, 25, 1, 59, 59}, 2, "the last second that occurs twice"},
		{"Europe/Lisbon", LocalTime{2026, 10, 25, 2, 0, 0}, 1, "after"},
		{"Australia/Sydney", LocalTime{2026, 4, 5, 2, 30, 0}, 2, "southern autumn"},
		{"Australia/Sydney", LocalTime{2026, 10, 4, 2, 30, 0}, 0, "southern spring"},
		{"Australia/Lord_Howe", LocalTime{2026, 4, 5, 1, 45, 0}, 2, "half an hour occurs twice"},
		{"Australia/Lord_Howe", LocalTime{2026, 4, 5, 1, 29, 59}, 1, "only half an hour"},
		{"Australia/Lord_Howe", LocalTime{2026, 10, 4, 2, 15, 0}, 0, "half an hour is skipped"},
		{"Australia/Lord_Howe", LocalTime{2026, 10, 4, 2, 30, 0}, 1, "only half an hour"},
		{"Pacific/Apia", LocalTime{2011, 12, 30, 12, 0, 0}, 0, "a day is skipped"},
		{"UTC", LocalTime{2026, 2, 29, 12, 0, 0}, 0, "no leap day in 2026"},
		{"UTC", LocalTime{2026, 2, 28, 24, 0, 0}, 0, "no hour 24"},
		{"UTC", LocalTime{2026, 13, 1, 0, 0, 0}, 0, "no month 13"},
		{"UTC", LocalTime{-5, 1, 1, 0, 0, 0}, 0, "years from 1"},
	} {
		table, _ := loadZone(t, row.zone)
		if got := table.Instants(row.l); len(got) != row.want {
			t.Errorf("%s %+v (%s): %d, want %d of them", row.zone, row.l, row.why, got, row.want)
		}
	}
}

func TestValidate(t *testing.T) {
	c := func(from Instant, offset int) Change { return Change{from, offset} }
	for _, row := range []struct {
		table Table
		ok    bool
		why   string
	}{
		{Table{}, true, "the zero table is UTC"},
		{UTC(), true, "UTC"},
		{Table{"America/Port-au-Prince", []Change{c(0, -18000)}}, true, "a hyphen in the name"},
		{Table{"Etc/GMT+5", nil}, true, "a plus in the name"},
		{Table{"a b", nil}, false, "a space in the name"},
		{Table{"<b>", nil}, false, "not a name"},
		{Table{string(make([]byte, 65)), nil}, false, "a long name"},
		{Table{"X", []Change{c(0, 64800)}}, true, "18 h"},
		{Table{"X", []Change{c(0, 64801)}}, false, "more than 18 h"},
		{Table{"X", []Change{c(0, -64801)}}, false, "more than 18 h"},
		{Table{"X", []Change{c(5, 0), c(5, 3600)}}, false, "two changes at once"},
		{Table{"X", []Change{c(5, 0), c(4, 3600)}}, false, "back in time"},
		{Table{"X", make([]Change, maxChanges+1)}, false, "too many"},
	} {
		if err := row.table.Validate(); (err == nil) != row.ok || err != nil && !fault.Is(err, fault.Input) {
			t.Errorf("%s: %v", row.why, err)
		}
	}
}

// A table that was not validated, and any instant, still make no panic.
func TestWildTables(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var table Table
		for range rapid.IntRange(0, 5).Draw(t, "n") {
			table.Changes = append(table.Changes, Change{Instant(rapid.Int64().Draw(t, "from")), rapid.Int().Draw(t, "offset")})
		}
		i, now := Instant(rapid.Int64().Draw(t, "i")), Instant(rapid.Int64().Draw(t, "now"))
		table.FormatClock(i, now, true)
		table.FormatStamp(i)
		table.Instants(table.Local(i))
		_, _ = table.Parse("16:00", now)
		_ = Span(i).Words()
	})
}
