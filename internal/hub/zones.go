package hub

import (
	"time"
	_ "time/tzdata" // for a machine without zone files

	"coldbatch/internal/fault"
	"coldbatch/internal/zone"
)

// ZoneTable makes the table of a time zone for the core, which has no list of zones:
// all changes of its offset after from and up to to. It returns a fault of code Input
// for a name that is no IANA zone, and for "" and "Local", which mean the machine's.
func ZoneTable(name string, from, to zone.Instant) (zone.Table, error) {
	loc, err := time.LoadLocation(name)
	if err != nil || name == "" || name == "Local" {
		return zone.Table{}, fault.New(fault.Input, "there is no time zone %q", name).At("", name).
			WithHint("a name of the IANA time zone database, such as Europe/Lisbon")
	}
	if from > to {
		return zone.Table{}, fault.New(fault.Input, "the table of a time zone cannot end before it begins")
	}
	t := time.UnixMilli(int64(from)).In(loc)
	_, offset := t.Zone()
	table := zone.Table{Name: name, Changes: []zone.Change{{From: from, Offset: offset}}}
	for {
		_, end := t.ZoneBounds()
		if end.IsZero() || end.UnixMilli() > int64(to) {
			break
		}
		if !end.After(t) {
			// Go 1.26 ends a zone's year a day early in leap years: on 31 December 2040
			// ZoneBounds returns an end that is not later, and the loop would not end.
			end = t.Add(24 * time.Hour)
		}
		t = end.In(loc)
		// The name alone may change, without the offset.
		if _, next := t.Zone(); next != offset {
			offset = next
			table.Changes = append(table.Changes, zone.Change{From: zone.Instant(t.UnixMilli()), Offset: offset})
		}
	}
	return table, table.Validate()
}
