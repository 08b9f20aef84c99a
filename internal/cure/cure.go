// Package cure works out when the dye in a bag has bonded. Call Evaluate with a
// bag and the temperatures of its place over time; SlowestOutlook for a bag of several
// colours.
//
// It scales what practice says (24 h at 21 °C) by temperature, and returns the range
// of that. Beside it stands a kinetic estimate, marked as a model, which never
// replaces practice. It does not time hot dyeing, says nothing about how much dye
// bonds, and keeps no alarms.
package cure

import (
	"math"

	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/place"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// Horizon says how far after closing a ready time is looked for. Build the course
// of a bag's place that far; a time beyond it is given as none.
const Horizon = 60 * zone.Day

// BagConditions is a colour in a bag and what has happened to it. With a zero Practice the
// usual rule of its class counts. A zero Closed is a bag that is not closed yet:
// only the hours needed are given. ReadingError widens every spread of the course
// that is smaller. PH is that of the wet cloth; nil where nobody measured it. Dry
// lists the times in which the goods were dry, which do not count.
type BagConditions struct {
	Class        dye.Class                  `json:"class"`
	Closed       zone.Instant               `json:"closed"`
	Now          zone.Instant               `json:"now"`
	Course       place.TemperatureCourse    `json:"course"`
	ReadingError unit.TemperatureDifference `json:"readingError"`
	Practice     PracticeRule               `json:"practice"`
	PH           *unit.PH                   `json:"ph,omitempty"`
	Dry          []DrySpan                  `json:"dry,omitempty"`
}

// DrySpan is a time in which the goods in a bag were dry. A zero Till means that
// they still are.
type DrySpan struct {
	From zone.Instant `json:"from"`
	Till zone.Instant `json:"till,omitempty"`
}

// Outlook is the state of a colour and when it is ready. An instant or a duration
// of zero is none: not before Horizon, or not known for that class. Instants and
// durations are rounded to the minute, shares to a hundredth of a percent.
//
// Ready is the middle figure; Early and Late are the ends of the range, and
// NoGainAfter says when waiting gains nothing more. ReadyIfMovedToWarmth is when the bag would be ready
// in a place with the temperature of practice, carried there now; it is given for
// a bag that is slow or frozen. NeededTime is how long the whole cure takes at
// the present temperature. DoneShare is the share of the usual time, not of the dye.
type Outlook struct {
	Class                dye.Class         `json:"class"`
	Verdict              Verdict           `json:"verdict"`
	Present              place.CoursePoint `json:"present"`
	Ready                zone.Instant      `json:"ready,omitempty"`
	Early                zone.Instant      `json:"early,omitempty"`
	Late                 zone.Instant      `json:"late,omitempty"`
	NoGainAfter          zone.Instant      `json:"past,omitempty"`
	ReadyIfMovedToWarmth zone.Instant      `json:"inWarmth,omitempty"`
	NeededTimeLow        unit.Duration     `json:"neededLow,omitempty"`
	NeededTime           unit.Duration     `json:"needed,omitempty"`
	NeededTimeHigh       unit.Duration     `json:"neededHigh,omitempty"`
	DoneShare            unit.Share        `json:"done"`
	DoneShareLow         unit.Share        `json:"doneLow"`
	DoneShareHigh        unit.Share        `json:"doneHigh"`
	Chemistry            *KineticEstimate  `json:"chemistry,omitempty"`
	Notes                []Note            `json:"notes"`
}

// Evaluate returns the state of a colour in a bag. Errors are Input for an unknown
// class, a practice that Check refuses, a negative reading error, a pH outside 7 to
// 14, dry spans or a course that are not in order, and Missing for an empty course
// of a class that IsTimed. Of other classes it returns only what to do.
func Evaluate(b BagConditions) (Outlook, error) {
	if err := b.check(); err != nil {
		return Outlook{}, err
	}
	b.Course = widenSpread(b.Course, b.ReadingError)
	o := Outlook{Class: b.Class, Present: b.Course.At(max(b.Now, b.Closed)), Notes: []Note{}}
	if !IsTimed(b.Class) {
		o.Verdict = VerdictUnknown
		if b.Class == dye.Monochlorotriazine {
			o.Verdict = VerdictNeedsHeat
		}
	} else {
		r := practiceTimesFor(b.Class, b.Practice)
		o.setNeeded(r)
		if b.Closed != 0 {
			o.setTimes(b, r)
		}
		o.Verdict = o.chooseVerdict(b)
		if o.Verdict == VerdictSlow || o.Verdict == VerdictFrozen {
			o.setReadyIfMovedToWarmth(b, r)
		}
		o.Chemistry = EstimateKinetics(b.Class, o.Present.Celsius, b.PH)
	}
	o.addNotes(b)
	return o, nil
}

// IsTimed reports whether practice gives the class a time in a cold bag, for which
// the temperature has to be known.
func IsTimed(c dye.Class) bool { return c == dye.Dichlorotriazine || c == dye.VinylSulfone }

// WaitsForLate reports whether a bag of the class should wait for the late figure:
// where so little is known of its speed that no bag of it is called ready.
func WaitsForLate(c dye.Class) bool { return c == dye.VinylSulfone }

func (b BagConditions) check() error {
	if _, err := dye.ParseClass(string(b.Class)); err != nil {
		return err
	}
	if b.Practice != (PracticeRule{}) {
		if err := b.Practice.Check(); err != nil {
			return err
		}
	}
	if e := float64(b.ReadingError); !(e >= 0 && e <= 20) {
		return fault.New(fault.Input, "%.6g °C is not a reading error", e).
			WithHint("from 0 to 20 °C").At("reading_error", "")
	}
	if b.PH != nil && !(*b.PH >= 7 && *b.PH <= 14) {
		return fault.New(fault.Input, "pH %.6g is not that of cloth with soda ash", float64(*b.PH)).
			WithHint("from 7 to 14; fresh soda ash is about 11.5").At("ph", "")
	}
	if IsTimed(b.Class) && b.Course.IsEmpty() {
		return fault.New(fault.Missing, "no temperature is given for the place the bag stands in").
			WithHint("one temperature, readings, or the low and high of the day").At("temperature", "")
	}
	for i, d := range b.Dry {
		if d.Till != 0 && d.Till < d.From || i > 0 && (b.Dry[i-1].Till == 0 || d.From < b.Dry[i-1].Till) {
			return fault.New(fault.Input, "the dry times of the bag are not in order at number %d", i+1)
		}
	}
	return b.Course.Check()
}

// wetSpans returns the times from closing to Horizon in which the goods are wet.
func (b BagConditions) wetSpans() []wetSpan {
	from, end := b.Closed, b.Closed.Add(Horizon)
	var wet []wetSpan
	for _, d := range b.Dry {
		if d.From > from {
			wet = append(wet, wetSpan{from, min(d.From, end)})
		}
		if d.Till == 0 {
			return wet
		}
		from = max(from, d.Till)
	}
	if from < end {
		wet = append(wet, wetSpan{from, end})
	}
	return wet
}

// isDry reports whether the goods were found dry and not wetted since.
func (b BagConditions) isDry() bool {
	n := len(b.Dry)
	return n > 0 && b.Dry[n-1].Till == 0 && b.Dry[n-1].From <= b.Now
}

// widenSpread returns the course with no spread smaller than e.
func widenSpread(c place.TemperatureCourse, e unit.TemperatureDifference) place.TemperatureCourse {
	nodes := make([]place.CoursePoint, len(c.Points))
	for i, n := range c.Points {
		n.Spread = max(n.Spread, e)
		nodes[i] = n
	}
	c.Points = nodes
	return c
}

// setNeeded fills in how long the whole cure takes at the present temperature;
// nothing where it is frozen.
func (o *Outlook) setNeeded(r practiceTimes) {
	if float64(o.Present.Celsius) <= FreezingTemperature.Value {
		return
	}
	at := func(m rateModel) unit.Duration {
		return roundToMinutes(unit.Duration(m.practiceSeconds / m.rate(o.Present)))
	}
	o.NeededTime = at(r.middleModel())
	o.NeededTimeLow, o.NeededTimeHigh = o.NeededTime, o.NeededTime
	for _, m := range r.earlyModels() {
		o.NeededTimeLow = min(o.NeededTimeLow, at(m))
	}
	for _, m := range r.lateModels() {
		o.NeededTimeHigh = max(o.NeededTimeHigh, at(m))
	}
}

// setTimes fills in the ready times and the shares done.
func (o *Outlook) setTimes(b BagConditions, r practiceTimes) {
	wet := b.wetSpans()
	share := func(m rateModel) unit.Share {
		return unit.Share(math.Round(m.total(b.Course, wet, b.Now)/m.practiceSeconds*1e4) / 1e4)
	}
	mid := r.middleModel()
	o.DoneShare, o.Ready = share(mid), mid.findTime(b.Course, wet, 1)
	for i, m := range r.earlyModels() {
		o.DoneShareHigh = max(o.DoneShareHigh, share(m))
		if at := m.findTime(b.Course, wet, 1); i == 0 || isSooner(at, o.Early) {
			o.Early = at
		}
	}
	for i, m := range r.lateModels() {
		s, at := share(m), m.findTime(b.Course, wet, 1)
		if i == 0 {
			o.DoneShareLow, o.Late = s, at
			continue
		}
		o.DoneShareLow = min(o.DoneShareLow, s)
		if isSooner(o.Late, at) {
			o.Late = at
		}
	}
	if o.Late != 0 && !WaitsForLate(b.Class) {
		if at := mid.findTime(b.Course, wet, NoGainFactor.Value); at != 0 {
			o.NoGainAfter = max(o.Late, at)
		}
	}
}

// setReadyIfMovedToWarmth fills in when the bag would be ready at the temperature of practice.
func (o *Outlook) setReadyIfMovedToWarmth(b BagConditions, r practiceTimes) {
	rest := float64(r.usualTime)
	if b.Closed != 0 {
		mid := r.middleModel()
		rest -= mid.total(b.Course, b.wetSpans(), b.Now)
	}
	o.ReadyIfMovedToWarmth = roundToMinute(max(b.Now, b.Closed).Add(zone.Span(max(0, rest) * 1000)))
}

// isSooner reports whether a comes before b, where zero is never.
func isSooner(a, b zone.Instant) bool { return a != 0 && (b == 0 || a < b) }

// roundToMinutes rounds a duration to the minute, and a shorter one to one minute.
func roundToMinutes(d unit.Duration) unit.Duration {
	return unit.Duration(max(1, math.Round(float64(d)/60)) * 60)
}
