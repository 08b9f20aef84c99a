package zone

import (
	"strings"
	"testing"
	"time"

	"coldbatch/internal/fault"
)

func TestParse(t *testing.T) {
	lisbon, _ := loadZone(t, "Europe/Lisbon")
	const summer = "2026-05-03T12:30:00+01:00"
	for _, row := range []struct{ now, typed, want, why string }{
		{summer, "2026-05-02T16:00", "2026-05-02T16:00:00+01:00", "as a form sends it"},
		{summer, "2026-05-02 16:00", "2026-05-02T16:00:00+01:00", "as people write it"},
		{summer, "2026-05-02 16:00:30", "2026-05-02T16:00:30+01:00", "seconds"},
		{summer, "2026-01-02 16:00", "2026-01-02T16:00:00Z", "winter"},
		{summer, "2026-05-02 4:05 pm", "2026-05-02T16:05:00+01:00", "12 h clock"},
		{summer, " 2026-05-02\u00a016:00 ", "2026-05-02T16:00:00+01:00", "no-break space"},
		{summer, "2026-05-02T16:00Z", "2026-05-02T16:00:00Z", "the offset counts"},
		{summer, "2026-05-02T16:00:00.250Z", "2026-05-02T16:00:00.25Z", "as JavaScript writes it"},
		{summer, "2026-05-02T16:00:00.123456789Z", "2026-05-02T16:00:00.123Z", "as Go writes it"},
		{summer, "2026-05-02T16:00:00-09:30", "2026-05-02T16:00:00-09:30", "the offset counts"},
		{summer, "2026-05-02T16:00:00−09:30", "2026-05-02T16:00:00-09:30", "a minus sign"},
		{summer, "12:30", "2026-05-03T12:30:00+01:00", "now itself"},
		{summer, "12:31", "2026-05-02T12:31:00+01:00", "a minute ahead was yesterday"},
		{summer, "4:05 pm", "2026-05-02T16:05:00+01:00", "yesterday"},
		{summer, "4:05 AM", "2026-05-03T04:05:00+01:00", "capitals"},
		{summer, "4 pm", "2026-05-02T16:00:00+01:00", "no minutes"},
		{summer, "12:00 am", "2026-05-03T00:00:00+01:00", "midnight"},
		{summer, "12:00 p.m.", "2026-05-03T12:00:00+01:00", "noon"},
		{summer, "9:15", "2026-05-03T09:15:00+01:00", "one digit"},
		{"2026-10-25T02:30:00Z", "2026-10-25T01:30:00+01:00", "2026-10-25T01:30:00+01:00", "the hour that occurs twice, with its offset"},
		{"2026-10-25T01:15:00Z", "1:30", "2026-10-25T01:30:00+01:00", "of the hour that occurs twice only the first was yet"},
		{"2026-03-29T00:30:00Z", "1:30", "2026-03-28T01:30:00Z", "skipped later today, so yesterday's"},
	} {
		now, err := time.Parse(time.RFC3339, row.now)
		if err != nil {
			t.Fatal(err)
		}
		want, err := time.Parse(time.RFC3339, row.want)
		if err != nil {
			t.Fatal(err)
		}
		got, err := lisbon.Parse(row.typed, Instant(now.UnixMilli()))
		if err != nil || int64(got) != want.UnixMilli() {
			t.Errorf("%q (%s): %s, %v; want %s", row.typed, row.why, lisbon.FormatStamp(got), err, row.want)
		}
	}
	for _, row := range []struct{ now, typed, says string }{
		{summer, "2026-10-25T01:30", "occurs twice because the clocks go back: 2026-10-25T01:30:00+01:00 and 2026-10-25T01:30:00+00:00"},
		{summer, "2026-03-29T01:30", "skips that time"},
		{"2026-10-25T10:00:00Z", "1:30", "occurs twice"},
		{"2026-03-29T10:00:00+01:00", "1:30", "skips that time"},
		{summer, "", "is not a time"},
		{summer, "soon", "is not a time"},
		{summer, "2026-05-02", "needs a time of day"},
		{summer, "2026-02-29 12:00", "no such date"},
		{summer, "2026-05-02 24:00", "no such date"},
		{summer, "0000-05-02 12:00", "no such date"},
		{summer, "25:00", "no such time of day"},
		{summer, "12:60", "no such time of day"},
		{summer, "16", "is not a time"},
		{summer, "16:0", "is not a time"},
		{summer, "13:05 pm", "is not a time"},
		{summer, "0:05 am", "is not a time"},
		{summer, "16:00Z", "an offset needs a date"},
		{summer, "2026-05-02T16:00+25:00", "is not a time"},
		{summer, "2026-05-02T16:00+01:60", "is not a time"},
		{summer, "2026-05-02T16:00+0100", "is not a time"},
		{summer, "2026-05-02T16:00 tomorrow", "is not a time"},
		{summer, strings.Repeat("é", 100), "longer than 64"},
	} {
		now, err := time.Parse(time.RFC3339, row.now)
		if err != nil {
			t.Fatal(err)
		}
		got, err := lisbon.Parse(row.typed, Instant(now.UnixMilli()))
		if !fault.Is(err, fault.Input) || !strings.Contains(err.Error(), row.says) || fault.AsFault(err).Hint == "" || got != 0 {
			t.Errorf("%.70q: %d, %v; should say %q", row.typed, got, err, row.says)
		}
	}
}

func TestClock(t *testing.T) {
	lisbon, _ := loadZone(t, "Europe/Lisbon")
	now, err := lisbon.Parse("2026-05-02T12:00", 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct{ at, want, want12, why string }{
		{"2026-05-02T20:25", "today 20:25", "today 8:25 pm", "later today"},
		{"2026-05-02T00:00", "today 00:00", "today 12:00 am", "midnight today"},
		{"2026-05-03T00:00", "Sun 00:00", "Sun 12:00 am", "midnight after"},
		{"2026-05-03T09:05:59", "Sun 09:05", "Sun 9:05 am", "a clock drops the seconds"},
		{"2026-05-08T12:00", "Fri 12:00", "Fri 12:00 pm", "six days ahead"},
		{"2026-05-09T12:00", "Sat 9 May 12:00", "Sat 9 May 12:00 pm", "seven days ahead: the same weekday"},
		{"2026-04-26T12:00", "Sun 12:00", "Sun 12:00 pm", "six days ago"},
		{"2026-04-25T12:00", "Sat 25 Apr 12:00", "Sat 25 Apr 12:00 pm", "seven days ago"},
		{"2025-05-02T12:00", "Fri 2 May 2025 12:00", "Fri 2 May 2025 12:00 pm", "another year"},
		{"2026-10-25T01:30:00+01:00", "Sun 25 Oct 01:30 (UTC+1)", "Sun 25 Oct 1:30 am (UTC+1)", "the first of the hour that occurs twice"},
		{"2026-10-25T01:30:00Z", "Sun 25 Oct 01:30 (UTC)", "Sun 25 Oct 1:30 am (UTC)", "the second"},
	} {
		i, err := lisbon.Parse(row.at, now)
		if err != nil {
			t.Fatal(err)
		}
		if got, got12 := lisbon.FormatClock(i, now, false), lisbon.FormatClock(i, now, true); got != row.want || got12 != row.want12 {
			t.Errorf("%s (%s): %q, %q; want %q, %q", row.at, row.why, got, got12, row.want, row.want12)
		}
		if got := lisbon.FormatClockTime(i, false); !strings.Contains(row.want, got) {
			t.Errorf("%s: the time alone is %q", row.at, got)
		}
	}
	for offset, want := range map[int]string{0: "UTC", 3600: "UTC+1", -12600: "UTC−3:30", 20700: "UTC+5:45"} {
		if got := formatOffset(offset); got != want {
			t.Errorf("%d: %q", offset, got)
		}
	}
}

func TestWords(t *testing.T) {
	for d, want := range map[Span]string{
		0: "0 min", 29 * Second: "0 min", 30 * Second: "1 min", 40 * Minute: "40 min", 59*Minute + 30*Second: "1 h",
		6*Hour + 20*Minute: "6 h 20 min", 24 * Hour: "24 h", 47*Hour + 59*Minute: "47 h 59 min", 48*Hour - 1: "2 days",
		51 * Hour: "2 days 3 h", 72*Hour - Minute: "3 days", -40 * Minute: "−40 min", -Second: "0 min",
	} {
		if got := d.Words(); got != want {
			t.Errorf("%d: %q, want %q", d, got, want)
		}
	}
}

func TestSpan(t *testing.T) {
	nan := 0.0
	nan /= nan
	for h, want := range map[float64]Span{1: Hour, -1: -Hour, 1.0 / 3600000: 1, 0.4 / 3600000: 0, -0.4 / 3600000: 0, 1e300: maxSpan, -1e300: -maxSpan, nan: 0} {
		if got := HoursSpan(h); got != want {
			t.Errorf("%v h: %d, want %d", h, got, want)
		}
	}
	if Instant(5).Add(Second).Sub(5) != Second || (90*Minute).Hours() != 1.5 {
		t.Error("adding")
	}
}

// FuzzParse: what is read is printed and read again as the same second.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"2026-05-02T16:00", "2026-05-02 4:05 pm", "16:00", "4 pm", "2026-10-25T01:30", "2026-03-29T01:30", "2026-05-02T16:00:00.25-09:30", "9999-12-31T23:59:59-18:00", "0001-01-01 00:00", "1:30a.m.", "\xff"} {
		f.Add(s, int64(1777716000000))
	}
	lisbon, _ := loadZone(f, "Europe/Lisbon")
	f.Fuzz(func(t *testing.T, s string, now int64) {
		i, err := lisbon.Parse(s, Instant(now))
		if err != nil {
			return
		}
		l := lisbon.Local(i)
		if l.Year < 1 || l.Year > 9999 { // an offset carried it over the edge of what is read
			return
		}
		again, err := lisbon.Parse(lisbon.FormatStamp(i), 0)
		if err != nil || again != Instant(floorDiv(int64(i), 1000)*1000) {
			t.Fatalf("%q is %d, printed %s, read again %d, %v", s, i, lisbon.FormatStamp(i), again, err)
		}
	})
}

// Paper is read on another day: the day and month are always there.
func TestDated(t *testing.T) {
	at := Date(2026, 5, 2).Add(19*Hour + 25*Minute)
	if got := UTC().FormatClockWithDate(at, false); got != "Sat 2 May 19:25" {
		t.Errorf("dated %q", got)
	}
	if got := UTC().FormatClockWithDate(at, true); got != "Sat 2 May 7:25 pm" {
		t.Errorf("dated %q", got)
	}
}
