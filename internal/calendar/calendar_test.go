package calendar

import (
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	ics "github.com/arran4/golang-ical"
	"pgregory.net/rapid"

	"coldbatch/internal/zone"
)

var evening = zone.Date(2026, 5, 2).Add(19*zone.Hour + 25*zone.Minute)

var market = Event{UID: "0f-1", Sequence: 7, Revised: evening.Add(-zone.Day), Start: evening, End: evening.Add(3 * zone.Hour),
	Summary: `3 bags probably ready: "spring; market", \ 2`, Description: "Bag 4: Sat 20:25\nBag 5: Sat 23:25", Location: "shed",
	Alarms: []Alarm{{Text: "Bag 4"}, {AtEnd: true, Text: "All"}}}

// The bytes, as RFC 5545 asks for them: 3.1 content lines, 3.3.5 times in UTC, 3.3.11
// escaped texts, 3.6.1 and 3.6.6 the properties that an event and an alarm must have, 3.8.6.3
// a trigger at the end.
func TestWrite(t *testing.T) {
	want := strings.Join([]string{
		"BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//coldbatch//bags//EN", "NAME:market", "X-WR-CALNAME:market",
		"REFRESH-INTERVAL;VALUE=DURATION:PT15M",
		"BEGIN:VEVENT", "UID:0f-1", "SEQUENCE:7", "DTSTAMP:20260501T192500Z", "LAST-MODIFIED:20260501T192500Z",
		"DTSTART:20260502T192500Z", "DTEND:20260502T222500Z", `SUMMARY:3 bags probably ready: "spring\; market"\, \\ 2`,
		`DESCRIPTION:Bag 4: Sat 20:25\nBag 5: Sat 23:25`, "LOCATION:shed", "TRANSP:TRANSPARENT",
		"BEGIN:VALARM", "ACTION:DISPLAY", "DESCRIPTION:Bag 4", "TRIGGER:PT0S", "END:VALARM",
		"BEGIN:VALARM", "ACTION:DISPLAY", "DESCRIPTION:All", "TRIGGER;RELATED=END:PT0S", "END:VALARM",
		"END:VEVENT", "END:VCALENDAR", ""}, "\r\n")
	if got := Write("market", []Event{market}); got != want {
		t.Errorf("%s\nwant\n%s", got, want)
	}
}

// A parser that is not ours reads every text, time and alarm back, and no line is longer
// than 75 octets or divides a character.
func TestParserReadsAll(t *testing.T) {
	anyText := rapid.StringOf(rapid.RuneFrom([]rune("aé𝄞,;\\:\"\n t年"))).Filter(func(s string) bool { return strings.TrimSpace(s) == s && s != "" })
	rapid.Check(t, func(t *rapid.T) {
		e := market
		e.Summary, e.Description, e.Location = anyText.Draw(t, "summary"), anyText.Draw(t, "description"), anyText.Draw(t, "location")
		e.Start = evening.Add(zone.Span(rapid.Int64Range(-1e9, 1e9).Draw(t, "seconds")) * zone.Second)
		e.End = e.Start.Add(zone.Hour)
		text := Write("market", []Event{e})
		for line := range strings.SplitSeq(strings.TrimSuffix(text, "\r\n"), "\r\n") {
			if len(line) > 75 || !utf8.ValidString(line) || strings.ContainsAny(line, "\r\n") {
				t.Fatalf("%d octets: %q", len(line), line)
			}
		}
		c, err := ics.ParseCalendar(strings.NewReader(text))
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		got := c.Events()
		if len(got) != 1 {
			t.Fatalf("%d events in\n%s", len(got), text)
		}
		for name, want := range map[ics.ComponentProperty]string{ics.ComponentPropertySummary: e.Summary, ics.ComponentPropertyDescription: e.Description,
			ics.ComponentPropertyLocation: e.Location, ics.ComponentPropertyUniqueId: e.UID, ics.ComponentPropertySequence: "7"} {
			if p := got[0].GetProperty(name); p == nil || p.Value != want {
				t.Fatalf("%s is %+v, want %q in\n%s", name, p, want, text)
			}
		}
		start, err := got[0].GetStartAt()
		end, errEnd := got[0].GetEndAt()
		if err != nil || errEnd != nil || !start.Equal(time.UnixMilli(int64(e.Start))) || !end.Equal(time.UnixMilli(int64(e.End))) {
			t.Fatalf("from %v to %v, %v %v", start, end, err, errEnd)
		}
		if n := len(got[0].Alarms()); n != 2 {
			t.Fatalf("%d alarms", n)
		}
	})
}

// What no calendar can hold: control characters, bytes that are no UTF-8, years beyond four
// digits.
func TestWriteOddities(t *testing.T) {
	e := Event{UID: "1", Start: -1 << 62, End: 1 << 62, Summary: "a\x00b\rc\xffd\r\ne"}
	text := Write("", []Event{e})
	for _, want := range []string{"SUMMARY:a b c\ufffdd\\ne\r\n", "DTSTART:00010101T000000Z", "DTEND:99991231T235959Z"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in %q", want, text)
		}
	}
	if strings.Contains(text, "LOCATION") || strings.Contains(text, "VALARM") {
		t.Errorf("an event without a place or an alarm has one: %s", text)
	}
}
