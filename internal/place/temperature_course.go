package place

import (
	"iter"
	"sort"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// CoursePoint is a point of a course. Spread is the error of its temperature, either way; IsRead
// says that the temperature was read, not assumed.
type CoursePoint struct {
	At      zone.Instant               `json:"at"`
	Celsius unit.Temperature           `json:"celsius"`
	Spread  unit.TemperatureDifference `json:"spread"`
	IsRead  bool                       `json:"known"`
}

// TemperatureCourse is the temperature of a place over time: straight lines between points in order
// of time, constant before the first and after the last. Two points at one instant are a
// step. LastReading is the time of the last reading up to the time that the course was
// built for, or zero. A course without points has no temperature.
type TemperatureCourse struct {
	Points      []CoursePoint `json:"nodes"`
	LastReading zone.Instant  `json:"lastReading,omitempty"`
}

// SteadyCourse returns a course with one assumed temperature at all times, with the error
// spread.
func SteadyCourse(c unit.Temperature, spread unit.TemperatureDifference) TemperatureCourse {
	return TemperatureCourse{Points: []CoursePoint{{Celsius: c, Spread: spread}}}
}

// IsEmpty reports whether the course has no temperature.
func (c TemperatureCourse) IsEmpty() bool { return len(c.Points) == 0 }

// Check returns a fault for a course whose points are not in order of time or are not
// temperatures of a place.
func (c TemperatureCourse) Check() error {
	for i, n := range c.Points {
		if err := (Reading{n.At, n.Celsius, n.Spread}).Check(); err != nil {
			return err
		}
		if i > 0 && n.At < c.Points[i-1].At {
			return fault.New(fault.Input, "the course of temperatures is not in order of time at its point %d", i+1)
		}
	}
	return nil
}

// At returns the temperature at i, its error, and whether it was read. At a step the
// later side counts. For an empty course everything but At is zero.
func (c TemperatureCourse) At(i zone.Instant) CoursePoint {
	if c.IsEmpty() {
		return CoursePoint{At: i}
	}
	next := sort.Search(len(c.Points), func(n int) bool { return c.Points[n].At > i })
	if next == 0 {
		n := c.Points[0]
		n.At = i
		return n
	}
	n := c.Points[next-1]
	if next < len(c.Points) {
		n = interpolate(n, c.Points[next], i)
	}
	n.At = i
	return n
}

// interpolate returns the point at i on the line from a to b; a.At <= i < b.At.
func interpolate(a, b CoursePoint, i zone.Instant) CoursePoint {
	x := float64(i.Sub(a.At)) / float64(b.At.Sub(a.At))
	return CoursePoint{
		At:      i,
		Celsius: a.Celsius + unit.Temperature(x*float64(b.Celsius-a.Celsius)),
		Spread:  a.Spread + unit.TemperatureDifference(x*float64(b.Spread-a.Spread)),
		IsRead:  a.IsRead && (b.IsRead || i == a.At),
	}
}

// Segments yields the straight lines of the course from from to to, in order, each by its
// two ends. Lines of no length are left out.
func (c TemperatureCourse) Segments(from, to zone.Instant) iter.Seq2[CoursePoint, CoursePoint] {
	return func(yield func(CoursePoint, CoursePoint) bool) {
		if c.IsEmpty() || from >= to {
			return
		}
		a := c.At(from)
		for _, b := range c.Points {
			if b.At <= from {
				continue
			}
			if b.At >= to {
				break
			}
			if b.At > a.At && !yield(a, b) {
				return
			}
			a = b
		}
		b := a
		b.At = to
		if next, ok := c.pointAfter(a.At); ok {
			b = interpolate(a, next, to)
		}
		yield(a, b)
	}
}

// pointAfter returns the first point later than i.
func (c TemperatureCourse) pointAfter(i zone.Instant) (CoursePoint, bool) {
	for _, n := range c.Points {
		if n.At > i {
			return n, true
		}
	}
	return CoursePoint{}, false
}

// ReadingAge returns how long before now the last reading was, and false where there is none.
func (c TemperatureCourse) ReadingAge(now zone.Instant) (zone.Span, bool) {
	if c.LastReading == 0 {
		return 0, false
	}
	return max(0, now.Sub(c.LastReading)), true
}

// IsOld reports whether the last reading is older than ReadingValidity at now, or there is
// none.
func (c TemperatureCourse) IsOld(now zone.Instant) bool {
	age, any := c.ReadingAge(now)
	return !any || age > readingValidity()
}
