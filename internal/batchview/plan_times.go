package batchview

import (
	"cmp"
	"math"
	"slices"

	"coldbatch/internal/batch"
	"coldbatch/internal/cure"
	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
	"coldbatch/internal/plan"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// TimesView says how long the work takes and when it is ready where.
type TimesView struct {
	Steps      []StepTime     `json:"steps"`
	OnePerson  string         `json:"one"` // until the bags are closed, for one person
	TwoPeople  string         `json:"two"`
	Closing    string         `json:"closing,omitempty"` // "if you begin now, the last bag closes about 18:15"
	Places     []PlaceOutlook `json:"places"`
	RinseText  string         `json:"rinse,omitempty"`   // the chosen time in words
	RinseAt    zone.Instant   `json:"rinseAt,omitempty"` // the chosen time
	RinseTyped string         `json:"typed,omitempty"`   // the chosen time for an input field, by the zone of the house
	Note       string         `json:"note,omitempty"`
}

// StepTime is one step of the work for one person and for two.
type StepTime struct {
	Key       string `json:"key"`
	Title     string `json:"title"`
	OnePerson string `json:"one"`
	TwoPeople string `json:"two"`
}

// PlaceOutlook says when bags are ready in a place.
type PlaceOutlook struct {
	Name      string       `json:"name"`
	ReadyText string       `json:"ready"`          // "Sunday about 15:00"
	SafeText  string       `json:"safe,omitempty"` // "to be safe Monday 02:00"
	StartText string       `json:"start,omitempty"`
	InTime    bool         `json:"inTime"` // ready by the chosen time, if you begin now or later
	ReadyAt   zone.Instant `json:"at,omitempty"`
}

var stepTitles = map[string]string{"scour": "Wash out finish and softener", "tie": "Fold and tie", "soak": "Soak", "jugs": "Weigh and mix the dye",
	"dye": "Dye and bag", "rinse": "Rinse", "wash": "Machine-wash"}

// aboutDuration writes how long something takes, by five minutes, from two hours by a quarter.
func (e ViewEnv) aboutDuration(d unit.Duration) string {
	step := 300.0
	if d >= 2*3600 {
		step = 900
	}
	return unit.Show(unit.KindDuration, math.Max(step, math.Ceil(float64(d)/step-1e-9)*step), e.Style)
}

// setTimes sets how long the steps take and when the bags are ready.
func (v *PlanView) setTimes(s batch.State, e ViewEnv) {
	t := TimesView{Steps: []StepTime{}, Places: []PlaceOutlook{}}
	scoured := len(s.Pieces) > 0 && !slices.ContainsFunc(s.Pieces, func(p batch.Piece) bool { return !p.IsScoured })
	soaked := viewSoak(s, e).Stage == "done"
	steps := plan.Steps(s, scoured || soaked, soaked)
	for _, st := range steps {
		t.Steps = append(t.Steps, StepTime{st.Key, stepTitles[st.Key], e.aboutDuration(st.TimeFor(1)), e.aboutDuration(st.TimeFor(2))})
	}
	one, two := plan.TotalTime(steps, plan.StepsBeforeCure, 1), plan.TotalTime(steps, plan.StepsBeforeCure, 2)
	if one > 0 {
		t.OnePerson, t.TwoPeople = e.aboutDuration(one), e.aboutDuration(two)
	}
	t.RinseText, t.RinseAt = e.rinseWords(s.RinseAt), s.RinseAt
	if s.RinseAt != 0 {
		t.RinseTyped = e.Zone.FormatStamp(s.RinseAt)[:len("2006-01-02T15:04")]
	}
	if len(s.Colours) > 0 && one > 0 {
		e.setPlaces(&t, s, one, two)
	}
	v.Times = t
}

func (e ViewEnv) rinseWords(at zone.Instant) string {
	if at == 0 {
		return ""
	}
	return e.formatTime(at)
}

// setPlaces works out for each place when bags are ready that are closed once the work that is left is
// done, and when to begin so that they are by the chosen time.
func (e ViewEnv) setPlaces(t *TimesView, s batch.State, one, two unit.Duration) {
	span := func(d unit.Duration) zone.Span { return zone.Span(float64(d) * 1000) }
	closing := plan.RoundUp(e.Now.Add(span(one)))
	t.Closing = "if you begin now, alone, the last bag closes about " + e.formatTime(closing)
	routes := e.listRoutes(closing)
	if len(routes) == 0 {
		t.Note = "add a place to the shelf, with its usual night and day, to see when bags would be ready there"
		routes = []route{{name: "at 21 °C, assumed"}}
	}
	for _, r := range routes {
		o := e.routeOutlook(s, r, closing)
		p := PlaceOutlook{Name: r.name, ReadyAt: o.Ready}
		safe := func(closed zone.Instant) zone.Instant { return e.routeOutlook(s, r, closed).Late }
		switch {
		case !cure.IsTimed(o.Class):
			p.ReadyText = "no time can be given: a colour's class is not known, or needs heat"
		case o.Ready == 0:
			p.ReadyText = "too cold: bags would not get ready"
		default:
			p.ReadyText = "about " + e.formatTime(e.roundUp(o.Ready))
			p.SafeText = "too cold to give a safe time"
			if o.Late != 0 {
				p.SafeText = "to be safe " + e.formatTime(e.roundUp(o.Late))
			}
		}
		if s.RinseAt != 0 && o.Ready != 0 {
			e.setStart(&p, s.RinseAt, safe, span(one), span(two))
		}
		t.Places = append(t.Places, p)
	}
	slices.SortStableFunc(t.Places, func(a, b PlaceOutlook) int {
		if (a.ReadyAt == 0) != (b.ReadyAt == 0) {
			return cmp.Compare(b.ReadyAt, a.ReadyAt)
		}
		return cmp.Compare(a.ReadyAt, b.ReadyAt)
	})
}

// roundUp rounds a time up to the hour by the clock, within half a day to a quarter of an hour: no
// forecast is better than that.
func (e ViewEnv) roundUp(i zone.Instant) zone.Instant {
	if i.Sub(e.Now) < 12*zone.Hour {
		return plan.RoundUp(i)
	}
	if over := e.sinceMidnight(i) % zone.Hour; over != 0 {
		return i.Add(zone.Hour - over)
	}
	return i
}

// setStart says when to begin so that bags are safely ready by rinse.
func (e ViewEnv) setStart(p *PlaceOutlook, rinse zone.Instant, safe func(zone.Instant) zone.Instant, one, two zone.Span) {
	closing := plan.LatestClosing(rinse, safe)
	alone, together := plan.RoundDown(closing.Add(-one)), plan.RoundDown(closing.Add(-two))
	switch {
	case closing == 0:
		p.StartText = "not safely ready by then"
	case together < e.Now:
		p.StartText = "too late: the bags should have been closed by " + e.formatTime(closing)
	case alone < e.Now:
		p.InTime, p.StartText = true, "only with two people: begin by "+e.formatTime(together)
	default:
		p.InTime, p.StartText = true, "begin by "+e.formatTime(alone)+" alone, or by "+e.formatTime(together)+" with two people"
	}
}

// route is the places where a bag stands, one after the other.
type route struct {
	name  string
	stays []batch.Stay
}

// carryAt is the hour at which bags are carried in the next morning.
const carryAt = 9

// listRoutes returns every place, and from the coldest into the warmest the next morning.
func (e ViewEnv) listRoutes(closing zone.Instant) (list []route) {
	type warmth struct {
		id      journal.ID
		celsius float64
	}
	var known []warmth
	for id, p := range e.Places {
		if p.Name == "" {
			continue
		}
		list = append(list, route{name: p.Name, stays: []batch.Stay{{Place: id}}})
		c, _ := stayTemperatures(batch.Stay{Place: id, At: closing}, e, e.Now, closing.Add(2*zone.Day))
		known = append(known, warmth{id, (float64(c.At(closing.Add(6*zone.Hour)).Celsius) + float64(c.At(closing.Add(18*zone.Hour)).Celsius)) / 2})
	}
	slices.SortStableFunc(list, func(a, b route) int { return cmp.Compare(a.name, b.name) })
	slices.SortStableFunc(known, func(a, b warmth) int {
		return cmp.Or(cmp.Compare(a.celsius, b.celsius), cmp.Compare(a.id, b.id))
	})
	if n := len(known); n > 1 && known[n-1].celsius-known[0].celsius >= 2 {
		cold, warm := known[0].id, known[n-1].id
		list = append(list, route{e.Places[cold].Name + ", carried into " + e.Places[warm].Name + " the next morning", []batch.Stay{{Place: cold}, {Place: warm}}})
	}
	return list
}

// routeOutlook is the outlook of a bag with all colours of the batch that is closed at closed.
func (e ViewEnv) routeOutlook(s batch.State, r route, closed zone.Instant) cure.Outlook {
	b := batch.Bag{ClosedAt: closed}
	for i, stay := range r.stays {
		stay.At = closed
		if i > 0 {
			stay.At = e.nextMorning(closed)
		}
		b.Stays = append(b.Stays, stay)
	}
	if len(b.Stays) == 0 {
		b.Stays = []batch.Stay{{At: closed}}
	}
	for _, c := range s.Colours {
		b.Colours = append(b.Colours, journal.ColourInBag{Colour: c.ID, Share: 1})
	}
	o, _, _ := bagOutlook(s, b, e, e.Now)
	return o
}

// nextMorning is nine o'clock on the day after i.
func (e ViewEnv) nextMorning(i zone.Instant) zone.Instant {
	midnight := i.Add(-zone.Span(e.sinceMidnight(i)))
	return midnight.Add(zone.Day + carryAt*zone.Hour)
}

// ParseRinse reads a time at which to rinse; it lies ahead.
func ParseRinse(typed string, e ViewEnv) (zone.Instant, error) {
	at, err := e.Zone.Parse(typed, e.Now)
	if err != nil {
		return 0, err
	}
	if at <= e.Now {
		return 0, fault.New(fault.Input, "%q has passed", typed).At("rinse", typed).WithHint("choose a time in the future")
	}
	return at, nil
}
