// Package calendar writes iCalendar text (RFC 5545): events, each with its alarms, as a
// file or as the answer to whoever subscribes. Call Write. It knows no bags: package
// batchview says which events there are. It reads no calendars, and the same events
// always give the same bytes.
package calendar

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"coldbatch/internal/zone"
)

// Event is an entry of a calendar. A program that has an event of the same UID replaces it
// if Sequence is not lower. Revised is when what it says was last changed. Start and End
// are written in UTC, which needs no table of a time zone in the file.
type Event struct {
	UID         string
	Sequence    int
	Revised     zone.Instant
	Start, End  zone.Instant
	Summary     string
	Description string
	Location    string
	Alarms      []Alarm
}

// Alarm rings at the start of its event, or at the end of it.
type Alarm struct {
	AtEnd bool
	Text  string
}

// MediaType is the media type of what Write returns (RFC 5545, 8.1).
const MediaType = "text/calendar; charset=utf-8"

// refreshEvery says how often a program that subscribed is asked to read the calendar again
// (RFC 7986, 5.7). Programs refresh when they like all the same.
const refreshEvery = "PT15M"

// Write returns a calendar of that name with its events, in their order.
func Write(name string, events []Event) string {
	var w writer
	w.line("BEGIN", "VCALENDAR")
	w.line("VERSION", "2.0")
	w.line("PRODID", "-//coldbatch//bags//EN")
	w.text("NAME", name)         // RFC 7986, 5.1
	w.text("X-WR-CALNAME", name) // what programs read before RFC 7986; from memory
	w.line("REFRESH-INTERVAL;VALUE=DURATION", refreshEvery)
	for _, e := range events {
		w.event(e)
	}
	w.line("END", "VCALENDAR")
	return w.String()
}

type writer struct{ strings.Builder }

func (w *writer) event(e Event) {
	w.line("BEGIN", "VEVENT")
	w.text("UID", e.UID)
	w.line("SEQUENCE", fmt.Sprint(e.Sequence))
	w.line("DTSTAMP", formatUTC(e.Revised))
	w.line("LAST-MODIFIED", formatUTC(e.Revised))
	w.line("DTSTART", formatUTC(e.Start))
	w.line("DTEND", formatUTC(e.End))
	w.text("SUMMARY", e.Summary)
	w.optionalText("DESCRIPTION", e.Description)
	w.optionalText("LOCATION", e.Location)
	w.line("TRANSP", "TRANSPARENT") // a bag keeps nobody busy
	for _, a := range e.Alarms {
		w.line("BEGIN", "VALARM")
		w.line("ACTION", "DISPLAY")
		w.text("DESCRIPTION", a.Text)
		if a.AtEnd {
			w.line("TRIGGER;RELATED=END", "PT0S")
		} else {
			w.line("TRIGGER", "PT0S")
		}
		w.line("END", "VALARM")
	}
	w.line("END", "VEVENT")
}

func (w *writer) optionalText(name, value string) {
	if value != "" {
		w.text(name, value)
	}
}

// text writes a property whose value is TEXT (RFC 5545, 3.3.11).
func (w *writer) text(name, value string) { w.line(name, escape(value)) }

// maxOctets is the longest line, without its end (RFC 5545, 3.1).
const maxOctets = 75

// line writes a property and folds it: a line that goes on begins with a space. A fold
// never divides a character, although RFC 5545, 3.1 would let it.
func (w *writer) line(name, value string) {
	rest := name + ":" + value
	for room := maxOctets; len(rest) > room; room = maxOctets - 1 {
		cut := room
		for !utf8.RuneStart(rest[cut]) {
			cut--
		}
		w.WriteString(rest[:cut] + "\r\n ")
		rest = rest[cut:]
	}
	w.WriteString(rest + "\r\n")
}

// escape writes a text as a value of type TEXT. Control characters, which such a value must
// not contain, become spaces; bytes that are no UTF-8 become the replacement character.
func escape(text string) string {
	var b strings.Builder
	for _, r := range strings.ReplaceAll(text, "\r\n", "\n") {
		switch {
		case r == '\\' || r == ';' || r == ',':
			b.WriteRune('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r < ' ' || r == 0x7f:
			b.WriteRune(' ')
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// The times that four digits of a year can write.
var firstTime, lastTime = zone.Date(1, 1, 1), zone.Date(10000, 1, 1) - 1

// formatUTC writes an instant in UTC, to the second (RFC 5545, 3.3.5, form 2). A time that
// no calendar can write becomes the first or the last that it can.
func formatUTC(i zone.Instant) string {
	l := zone.UTC().Local(min(max(i, firstTime), lastTime))
	return fmt.Sprintf("%04d%02d%02dT%02d%02d%02dZ", l.Year, l.Month, l.Day, l.Hour, l.Minute, l.Second)
}
