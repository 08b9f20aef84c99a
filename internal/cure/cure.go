// Package cure tells when the dye in a bag has bonded. Call Work with a bag and
// the course of the place it stands in; Slowest for a bag of several colours.
//
// It scales what practice says (24 h at 21 °C) by temperature, and says how
// sure that is. Beside it stands a kinetic estimate, marked as a model, which
// never replaces practice. It does not time hot dyeing, says nothing of how much
// dye bonds, and keeps no alarms.
package cure

import (
	"math"

	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/place"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// Horizon is how far after closing a ready time is looked for. Build the course
// of a bag's place that far; a time that lies beyond is none.
const Horizon = 60 * zone.Day

// Practice is the rule that is scaled: this long at this temperature.
type Practice struct {
	Time unit.Duration    `json:"time"`
	At   unit.Temperature `json:"at"`
}

// The usual rule, and the temperature it is for.
var (
	UsualTime = fault.Value{Name: "time a bag is left", Value: 24, Unit: "h", Low: 12, High: 48,
		Source: fault.CommonPractice}
	UsualAt = fault.Value{Name: "temperature that time is for", Value: 21, Unit: "°C", Low: 20, High: 24,
		Source: fault.CommonPractice}
)

// Usual is the rule of common practice: 24 h at 21 °C.
func Usual() Practice {
	return Practice{unit.Hours(UsualTime.Value), unit.Temperature(UsualAt.Value)}
}

// Check refuses a rule that no practice has: outside 10 minutes to 30 days, or
// outside 5 to 60 °C.
func (p Practice) Check() error {
	if h := p.Time.Hours(); !(h >= 1.0/6 && h <= 30*24) {
		return fault.New(fault.Input, "%.6g h is not a time that a bag is left", h).
			WithHint("from 10 min to 30 days, as in 24 h at 21 °C").At("practice", "")
	}
	if c := float64(p.At); !(c >= 5 && c <= 60) {
		return fault.New(fault.Input, "%.6g °C is not a temperature that practice speaks of", c).
			WithHint("from 5 to 60 °C, as in 24 h at 21 °C").At("practice", "")
	}
	return nil
}

// Bag is what a colour in a bag has gone through. A zero Practice is Usual. A
// zero Closed is a bag that is not closed yet: only the hours needed are told.
// ReadingError widens every spread of the course that is smaller. PH is that of
// the wet cloth; nil where nobody measured.
type Bag struct {
	Class        dye.Class       `json:"class"`
	Closed       zone.Instant    `json:"closed"`
	Now          zone.Instant    `json:"now"`
	Course       place.Course    `json:"course"`
	ReadingError unit.Difference `json:"readingError"`
	Practice     Practice        `json:"practice"`
	PH           *unit.PH        `json:"ph,omitempty"`
}

// Outlook is how a colour stands and when it is ready. An instant or a duration
// of zero is none: not before Horizon, or not told for that class. Instants and
// durations are rounded to the minute, shares to a hundredth of a percent.
//
// Ready is the middle figure; Early and Late are the ends of the range, and
// Past is when waiting gains nothing more. Needed is the time the whole cure
// takes at the present temperature. Done is the share of the usual time, not of
// the dye.
type Outlook struct {
	Class      dye.Class     `json:"class"`
	Verdict    Verdict       `json:"verdict"`
	Present    place.Node    `json:"present"`
	Ready      zone.Instant  `json:"ready,omitempty"`
	Early      zone.Instant  `json:"early,omitempty"`
	Late       zone.Instant  `json:"late,omitempty"`
	Past       zone.Instant  `json:"past,omitempty"`
	NeededLow  unit.Duration `json:"neededLow,omitempty"`
	Needed     unit.Duration `json:"needed,omitempty"`
	NeededHigh unit.Duration `json:"neededHigh,omitempty"`
	Done       unit.Share    `json:"done"`
	DoneLow    unit.Share    `json:"doneLow"`
	DoneHigh   unit.Share    `json:"doneHigh"`
	Chemistry  *Chemistry    `json:"chemistry,omitempty"`
	Notes      []Note        `json:"notes"`
}

// Work tells how a bag's colour stands. Errors are Input for an unknown class, a
// practice that Check refuses, a negative reading error, a pH outside 7 to 14
// or a course that is not in order, and Missing for an empty course of a class
// that is Timed. Of other classes nothing is worked out but what to do.
func Work(b Bag) (Outlook, error) {
	if b.Practice == (Practice{}) {
		b.Practice = Usual()
	}
	if err := b.check(); err != nil {
		return Outlook{}, err
	}
	b.Course = widen(b.Course, b.ReadingError)
	o := Outlook{Class: b.Class, Present: b.Course.At(max(b.Now, b.Closed)), Notes: []Note{}}
	if !Timed(b.Class) {
		o.Verdict = Unknown
		if b.Class == dye.Monochlorotriazine {
			o.Verdict = NeedsHeat
		}
	} else {
		o.needed(b)
		if b.Closed != 0 {
			o.times(b)
		}
		o.Verdict = o.verdict(b)
		o.Chemistry = Model(b.Class, o.Present.Celsius, b.PH)
	}
	o.notes(b)
	return o, nil
}

// Timed reports whether practice gives the class a time in a cold bag, for which
// the temperature has to be known.
func Timed(c dye.Class) bool { return c == dye.Dichlorotriazine || c == dye.VinylSulfone }

func (b Bag) check() error {
	if _, err := dye.ParseClass(string(b.Class)); err != nil {
		return err
	}
	if err := b.Practice.Check(); err != nil {
		return err
	}
	if e := float64(b.ReadingError); !(e >= 0 && e <= 20) {
		return fault.New(fault.Input, "%.6g °C is not a reading error", e).
			WithHint("from 0 to 20 °C").At("reading_error", "")
	}
	if b.PH != nil && !(*b.PH >= 7 && *b.PH <= 14) {
		return fault.New(fault.Input, "pH %.6g is not that of cloth with soda ash", float64(*b.PH)).
			WithHint("from 7 to 14; fresh soda ash is about 11.5").At("ph", "")
	}
	if Timed(b.Class) && b.Course.Empty() {
		return fault.New(fault.Missing, "no temperature is given for the place the bag stands in").
			WithHint("one temperature, readings, or the low and high of the day").At("temperature", "")
	}
	return b.Course.Check()
}

// widen gives the course with no spread smaller than e.
func widen(c place.Course, e unit.Difference) place.Course {
	nodes := make([]place.Node, len(c.Nodes))
	for i, n := range c.Nodes {
		n.Spread = max(n.Spread, e)
		nodes[i] = n
	}
	c.Nodes = nodes
	return c
}

// needed fills in how long the whole cure takes at the present temperature.
func (o *Outlook) needed(b Bag) {
	at := func(p pace) unit.Duration {
		r := p.rate(p.celsius(o.Present))
		if r <= 0 {
			return 0
		}
		return minutes(unit.Duration(float64(b.Practice.Time) / r))
	}
	o.Needed = at(middle(b.Practice))
	for i, p := range early(b.Practice) {
		if d := at(p); i == 0 || d < o.NeededLow {
			o.NeededLow = d
		}
	}
	for _, p := range late(b.Practice) {
		d := at(p)
		if d == 0 {
			o.NeededHigh = 0
			return
		}
		o.NeededHigh = max(o.NeededHigh, d)
	}
}

// times fills in the ready times and the shares done.
func (o *Outlook) times(b Bag) {
	need := float64(b.Practice.Time)
	until := b.Closed.Add(Horizon)
	share := func(p pace) unit.Share {
		return unit.Share(math.Round(p.total(b.Course, b.Closed, b.Now)/need*1e4) / 1e4)
	}
	m := middle(b.Practice)
	o.Done, o.Ready = share(m), m.reach(b.Course, b.Closed, until, need)
	for i, p := range early(b.Practice) {
		o.DoneHigh = max(o.DoneHigh, share(p))
		if at := p.reach(b.Course, b.Closed, until, need); i == 0 || sooner(at, o.Early) {
			o.Early = at
		}
	}
	for i, p := range late(b.Practice) {
		s, at := share(p), p.reach(b.Course, b.Closed, until, need)
		if i == 0 {
			o.DoneLow, o.Late = s, at
			continue
		}
		o.DoneLow = min(o.DoneLow, s)
		if sooner(o.Late, at) {
			o.Late = at
		}
	}
	if o.Late != 0 {
		if at := m.reach(b.Course, b.Closed, until, PastTimes.Value*need); at != 0 {
			o.Past = max(o.Late, at)
		}
	}
}

// sooner reports whether a comes before b, where zero is never.
func sooner(a, b zone.Instant) bool { return a != 0 && (b == 0 || a < b) }

// minutes rounds a duration to the minute, and what is not nothing to one.
func minutes(d unit.Duration) unit.Duration {
	return unit.Duration(max(1, math.Round(float64(d)/60)) * 60)
}
