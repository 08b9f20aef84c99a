package batchview

import (
	"cmp"
	"slices"
	"strings"

	"coldbatch/internal/batch"
	"coldbatch/internal/calendar"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/zone"
)

// CalendarOrder says which bags a calendar is about: one bag, those of a batch, those that
// stand in a place, or, where all three are empty, every bag that cures.
type CalendarOrder struct {
	Batch journal.ID `json:"batch,omitempty"`
	Place journal.ID `json:"place,omitempty"`
	Bag   journal.ID `json:"bag,omitempty"`
}

// CalendarFile is a calendar with the times at which bags are ready, and alarms. Omitted
// says which bags are not in it, because they have no time.
type CalendarFile struct {
	FileName   string `json:"name"` // of the file
	Text       string `json:"text"`
	EventCount int    `json:"events"`
	Omitted    string `json:"omitted,omitempty"`
}

// MakeCalendar makes the calendar that o orders. It depends on the facts alone, not on
// the time, so that hub and phone make the same bytes. The bags of a batch that stand in one
// place are one event, from the first that is ready to the last, with an alarm at both ends.
// The calendar of everything may be empty; for any other, having no times is a fault.
func MakeCalendar(states []batch.State, o CalendarOrder, e ViewEnv) (CalendarFile, error) {
	m := calendarMaker{ViewEnv: e}
	states = slices.SortedStableFunc(slices.Values(states), func(a, b batch.State) int { return cmp.Compare(a.ID, b.ID) })
	for _, s := range states {
		if o.Batch == "" || s.ID == o.Batch {
			m.addBatch(s, o)
		}
	}
	name, title := m.title(states, o)
	f := CalendarFile{FileName: name, Text: calendar.Write(title, m.events), EventCount: len(m.events)}
	if len(m.untimed) > 0 {
		f.Omitted = "no time can be given for " + strings.Join(m.untimed, ", ") + ": look at " + yesOrNo(len(m.untimed) == 1, "it", "them")
	}
	if len(m.events) == 0 && o != (CalendarOrder{}) {
		f := fault.New(fault.Missing, "no bag there has a time when it is ready")
		if len(m.untimed) > 0 {
			return CalendarFile{}, f.WithHint("no time can be given for %s", strings.Join(m.untimed, ", "))
		}
		return CalendarFile{}, f.WithHint("close a bag, or choose another place or batch")
	}
	return f, nil
}

// calendarMaker collects the events of a calendar.
type calendarMaker struct {
	ViewEnv
	events  []calendar.Event
	untimed []string // bags without a time, in words
}

// addBatch adds an event for each place where bags of s are that the order asks for.
func (m *calendarMaker) addBatch(s batch.State, o CalendarOrder) {
	groups, untimed := readyGroups(s, m.ViewEnv, func(b batch.Bag) bool {
		return (o.Bag == "" || b.ID == o.Bag) && (o.Place == "" || b.Stays[len(b.Stays)-1].Place == o.Place)
	})
	for _, g := range groups {
		uid := g.key
		if o.Bag != "" {
			uid = string(o.Bag)
		}
		m.events = append(m.events, m.event(uid, s, g))
	}
	for _, b := range untimed {
		m.untimed = append(m.untimed, "bag "+formatBagNumber(b.Number, b.Letter))
	}
}

// shortestEvent is the shortest time an event may last, so that a calendar can show it.
const shortestEvent = 30 * zone.Minute

func (m *calendarMaker) event(uid string, s batch.State, g readyGroup) calendar.Event {
	list := g.bags
	first, last := list[0], list[len(list)-1]
	v := calendar.Event{UID: uid, Sequence: s.FactCount, Start: first.readyAt, End: max(last.readyAt, first.readyAt.Add(shortestEvent)),
		Location: m.Places[g.place].Name}
	bagName := "bag " + formatBagNumber(first.bag.Number, first.bag.Letter)
	v.Summary = capitalize(bagName) + " is probably ready: " + s.Name
	v.Alarms = []calendar.Alarm{{Text: v.Summary}}
	if len(list) > 1 {
		v.Summary = countWords(len(list), "bag", "bags") + " probably ready: " + s.Name
		v.Alarms[0].Text = capitalize(bagName) + " is probably ready, the first of " + countWords(len(list), "bag", "bags") + ": " + s.Name
		if last.readyAt == v.End {
			v.Alarms = append(v.Alarms, calendar.Alarm{AtEnd: true, Text: "All " + v.Summary})
		}
	}
	var lines []string
	for _, r := range list {
		line := "Bag " + formatBagNumber(r.bag.Number, r.bag.Letter) + ", " + contentWords(s, r.bag) + ": " + m.Zone.FormatClockWithDate(r.readyAt, m.Style.Clock12)
		if r.certainAt > r.readyAt {
			line += ", to be safe " + m.Zone.FormatClockWithDate(r.certainAt, m.Style.Clock12)
		}
		lines = append(lines, line)
		v.Revised = max(v.Revised, m.lastChange(r.bag))
	}
	v.Description = strings.Join(append(lines, "The times follow the temperatures that were known when this was made."), "\n")
	// Facts are only ever added, so the sum never falls, whichever bags stand where. The dyer's own cure
	// is on the shelf.
	v.Sequence += m.Kit.FactCount
	for _, p := range m.Places {
		v.Sequence += p.FactCount
	}
	return v
}

// lastChange returns when something last happened that the time of b depends on.
func (m *calendarMaker) lastChange(b batch.Bag) zone.Instant {
	last := b.ClosedAt
	for _, stay := range b.Stays {
		last = max(last, stay.At)
		for _, r := range m.Places[stay.Place].Readings {
			last = max(last, r.At)
		}
	}
	for _, a := range b.AddedDyes {
		last = max(last, a.At)
	}
	for _, d := range b.DryFindings {
		last = max(last, d.At)
	}
	return last
}

// title returns the name of the file, and the name of the calendar.
func (m *calendarMaker) title(states []batch.State, o CalendarOrder) (file, title string) {
	s, _ := find(states, func(s batch.State) bool { return s.ID == o.Batch })
	switch b, isBag := s.Bag(o.Bag); {
	case isBag:
		title = "bag " + formatBagNumber(b.Number, b.Letter) + " of " + s.Name
	case o.Place != "":
		title = "bags in " + m.Places[o.Place].Name
	case o.Batch != "":
		title = s.Name
	default:
		title = "coldbatch: when bags are ready"
	}
	return fileName(title) + ".ics", title
}

// fileName returns text as a name of a file that every system takes: letters, digits and
// hyphens.
func fileName(text string) string {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return (r < 'a' || r > 'z') && (r < '0' || r > '9') })
	name := strings.Join(words, "-")
	if name == "" {
		return "bags"
	}
	return name[:min(len(name), 60)]
}
