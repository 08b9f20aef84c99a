package zone

import (
	"sort"

	"coldbatch/internal/fault"
)

// maxOffset is the largest offset a table may have, in seconds. ISO 8601 and RFC 3339
// allow any below 24 h, but no zone is or was more than 18 h from UTC.
const maxOffset = 18 * 3600

// maxChanges says how many changes a table may have: twice a year for two
// thousand years.
const maxChanges = 4000

// UTC returns the table of UTC, which has no changes.
func UTC() Table { return Table{Name: "UTC"} }

// Validate returns an Input fault for a table that breaks a rule, as a phone may send
// anything. The name has letters, digits and / _ + -, at most 64 of them; the changes are
// in order of time, and their offsets are within 18 h of UTC.
func (t Table) Validate() error {
	if len(t.Name) > 64 {
		return fault.New(fault.Input, "the name of a time zone is longer than 64 characters").WithHint("a name such as Europe/Lisbon")
	}
	for _, r := range t.Name {
		if !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '/' || r == '_' || r == '+' || r == '-') {
			return fault.New(fault.Input, "%q is not the name of a time zone", t.Name).WithHint("a name such as Europe/Lisbon")
		}
	}
	if len(t.Changes) > maxChanges {
		return fault.New(fault.Input, "time zone %q has %d changes of offset, more than %d", t.Name, len(t.Changes), maxChanges)
	}
	for i, c := range t.Changes {
		if c.Offset < -maxOffset || c.Offset > maxOffset {
			return fault.New(fault.Input, "time zone %q is %d s from UTC at change %d, more than 18 h", t.Name, c.Offset, i+1)
		}
		if i > 0 && c.From <= t.Changes[i-1].From {
			return fault.New(fault.Input, "the changes of time zone %q are not in order of time at change %d", t.Name, i+1)
		}
	}
	return nil
}

// Offset returns the offset from UTC at i, in seconds, positive to the east.
func (t Table) Offset(i Instant) int {
	if len(t.Changes) == 0 {
		return 0
	}
	n := sort.Search(len(t.Changes), func(n int) bool { return t.Changes[n].From > i })
	return t.Changes[max(n-1, 0)].Offset
}

// Local returns the clock time at i; parts of a second are dropped.
func (t Table) Local(i Instant) LocalTime {
	return localTimeOf(floorDiv(int64(i), 1000) + int64(t.Offset(i)))
}

// Instants returns the instants at which the clock shows l, in order of time: usually one;
// none where a change of the clock skips it or l is not a valid date; two where the hour
// occurs twice.
func (t Table) Instants(l LocalTime) []Instant {
	if !l.isValid() {
		return nil
	}
	var out []Instant
	for _, offset := range t.offsetsNear(l) {
		i := Instant((l.seconds() - int64(offset)) * 1000)
		if t.Offset(i) == offset {
			out = append(out, i)
		}
	}
	sort.Slice(out, func(a, b int) bool { return out[a] < out[b] })
	return out
}

// offsetsNear returns the different offsets that apply within a day of l.
func (t Table) offsetsNear(l LocalTime) []int {
	middle := Instant(l.seconds() * 1000)
	from, to := middle.Add(-Day), middle.Add(Day)
	out := []int{t.Offset(from)}
	n := sort.Search(len(t.Changes), func(n int) bool { return t.Changes[n].From > from })
	for ; n < len(t.Changes) && t.Changes[n].From <= to; n++ {
		offset, seen := t.Changes[n].Offset, false
		for _, o := range out {
			seen = seen || o == offset
		}
		if !seen {
			out = append(out, offset)
		}
	}
	return out
}
