package hub

import (
	"time"
	_ "time/tzdata" // a hub on a machine without zone files knows the zones too

	"coldbatch/internal/fault"
	"coldbatch/internal/zone"
)

// ZoneTable makes the table of a time zone for the core, which has no list of
// zones: all changes of offset after from and up to to. A name that is not an
// IANA zone is refused with a *fault.Fault of code Input; so are "" and "Local",
// which name whatever zone the machine is in.
func ZoneTable(name string, from, to zone.Instant) (zone.Table, error) {
	loc, err := time.LoadLocation(name)
	if err != nil || name == "" || name == "Local" {
		return zone.Table{}, fault.New(fault.Input, "there is no time zone %q", name).At("", name).
			WithHint("a name of the IANA time zone database, such as Europe/Lisbon")
	}
	if from > to {
		return zone.Table{}, fault.New(fault.Input, "a time zone's table cannot end before it begins")
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
			// Go 1.26 ends a zone's year a day early in leap years, and is stuck
			// there: on 31 December 2040 ZoneBounds gives an end that is not later
			end = t.Add(24 * time.Hour)
		}
		t = end.In(loc)
		// a change of name alone, as of EST to EDT all year, is no change of offset
		if _, next := t.Zone(); next != offset {
			offset = next
			table.Changes = append(table.Changes, zone.Change{From: zone.Instant(t.UnixMilli()), Offset: offset})
		}
	}
	return table, table.Validate()
}
