package batchview

import (
	"cmp"
	"slices"

	"coldbatch/internal/batch"
	"coldbatch/internal/cure"
	"coldbatch/internal/dye"
	"coldbatch/internal/journal"
	"coldbatch/internal/place"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// AssumedTemperature is the temperature assumed for a place without a reading: that of the
// usual rule, with the spread of such a place.
var AssumedTemperature = provenance.Value{Name: "temperature of a place without a reading", Value: 21, Unit: "°C", Low: 15, High: 25,
	Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement: that of the usual rule, no source"}}

// bagTemperatures returns the temperature of b over all its stays, past and expected, as known
// at now. read says whether anyone read or entered any of it.
func bagTemperatures(b batch.Bag, e ViewEnv, now zone.Instant) (c place.TemperatureCourse, read bool) {
	end := b.ClosedAt.Add(cure.Horizon)
	for i, s := range b.Stays {
		until := end
		if i+1 < len(b.Stays) {
			until = b.Stays[i+1].At
		}
		if until <= s.At && i+1 < len(b.Stays) {
			continue
		}
		part, known := stayTemperatures(s, e, now, until)
		read = read || known
		c = joinCourses(c, part, s.At, until)
	}
	return c, read
}

// stayTemperatures returns the temperature of a stay from s.At to until. A reading at the bag
// itself counts if the place has none within an hour.
func stayTemperatures(s batch.Stay, e ViewEnv, now, until zone.Instant) (place.TemperatureCourse, bool) {
	p, known := e.Places[s.Place]
	readings := p.Readings
	if s.Celsius != nil && !hasReadingNear(readings, s.At) {
		readings = append(append([]place.Reading(nil), readings...), place.Reading{At: s.At, Celsius: unit.Temperature(*s.Celsius)})
	}
	if c := place.Build(readings, p.Usual, e.Zone, s.At, now, until, unit.TemperatureDifference(place.ReadingError.Value)); !c.IsEmpty() {
		return c, known || s.Celsius != nil
	}
	return place.SteadyCourse(unit.Temperature(AssumedTemperature.Value), unit.TemperatureDifference(place.MaxDrift.Value)), false
}

// hasReadingNear says whether there is a reading within an hour of at.
func hasReadingNear(readings []place.Reading, at zone.Instant) bool {
	for _, r := range readings {
		if d := r.At.Sub(at); d > -zone.Hour && d < zone.Hour {
			return true
		}
	}
	return false
}

// joinCourses appends part, cut to from and until, to c; the temperature may jump between them.
func joinCourses(c, part place.TemperatureCourse, from, until zone.Instant) place.TemperatureCourse {
	at := func(i zone.Instant) place.CoursePoint {
		n := part.At(i)
		n.At = i
		return n
	}
	c.Points = append(c.Points, at(from))
	for _, n := range part.Points {
		if n.At > from && n.At < until {
			c.Points = append(c.Points, n)
		}
	}
	c.Points = append(c.Points, at(until))
	c.LastReading = part.LastReading
	return c
}

// bagOutlook returns the outlook of the bag at now, which is the outlook of its slowest colour. Dye
// that is added later begins a cure of its own.
func bagOutlook(s batch.State, b batch.Bag, e ViewEnv, now zone.Instant) (cure.Outlook, place.TemperatureCourse, bool) {
	course, read := bagTemperatures(b, e, now)
	var all []cure.Outlook
	add := func(colours []journal.ColourInBag, closed zone.Instant) {
		for _, bc := range colours {
			class := dye.UnknownClass
			if c, ok := s.Colour(bc.Colour); ok && !c.NeedsNewerApp {
				class = dye.Class(c.Class)
			}
			o, err := cure.Evaluate(cure.BagConditions{Class: class, Closed: closed, Now: now, Course: temperaturesFrom(course, closed), Dry: drySpans(b, closed), Practice: e.practiceOf(class),
				ReadingError: unit.TemperatureDifference(place.ReadingError.Value)})
			if err == nil {
				all = append(all, o)
			}
		}
	}
	add(b.Colours, b.ClosedAt)
	for _, a := range b.AddedDyes {
		add(a.Colours, a.At)
	}
	return cure.SlowestOutlook(all), course, read
}

// practiceOf returns the rule for a class: the usual one, or as much of it as was enough in the
// dyer's own bags, all of which had dichlorotriazine dyes.
func (e ViewEnv) practiceOf(c dye.Class) (p cure.PracticeRule) {
	if e.Kit.Cure.Value > 0 && c == dye.Dichlorotriazine {
		p = cure.UsualPractice()
		p.Time *= unit.Duration(e.Kit.Cure.Value)
	}
	return p
}

// drySpans returns the times after from in which the bag was or may have been dry: from
// when it was last certainly wet until it was wetted. Those hours do not count.
func drySpans(b batch.Bag, from zone.Instant) (spans []cure.DrySpan) {
	found := slices.SortedStableFunc(slices.Values(b.DryFindings), func(x, y batch.DryFinding) int { return cmp.Compare(x.At, y.At) })
	for _, f := range found {
		if f.At < from {
			continue
		}
		n := len(spans)
		if n == 0 || spans[n-1].Till != 0 {
			spans = append(spans, cure.DrySpan{From: max(from, lastWet(b, f.At))})
			n++
		}
		if f.WasWetted {
			spans[n-1].Till = f.At
		}
	}
	return spans
}

// lastWet returns when the bag was last certainly wet before at, when it was found dry:
// when it was closed, looked into, given dye, or wetted.
func lastWet(b batch.Bag, at zone.Instant) zone.Instant {
	last := b.ClosedAt
	seen := func(i zone.Instant) {
		if i < at {
			last = max(last, i)
		}
	}
	for _, i := range b.LookTimes {
		seen(i)
	}
	for _, a := range b.AddedDyes {
		seen(a.At)
	}
	for _, f := range b.DryFindings {
		if f.WasWetted {
			seen(f.At)
		}
	}
	return last
}

// temperaturesFrom returns the part of c from at on.
func temperaturesFrom(c place.TemperatureCourse, at zone.Instant) place.TemperatureCourse {
	if c.IsEmpty() || at <= c.Points[0].At {
		return c
	}
	return joinCourses(place.TemperatureCourse{}, c, at, max(at, c.Points[len(c.Points)-1].At))
}
