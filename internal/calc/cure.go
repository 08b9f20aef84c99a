package calc

import (
	"math"
	"strings"

	"coldbatch/internal/alkali"
	"coldbatch/internal/cure"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/place"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// scaled is the source of the hours and of what follows from them.
var scaled = fault.Source{Kind: fault.Practice, Text: "common practice (24 h at 21 °C), scaled by temperature with an activation energy that is judgement, no source"}

var _ = register(Entry{
	Name: "cure", Order: 60,
	Title:   "Cure of a bag",
	Purpose: "How many hours a closed bag of wet, dyed pieces needs at its temperature, when it is ready, and how sure that is.",
	Formula: "Practice leaves a bag 24 h at 21 °C. Every hour counts more when it is warmer and less when it is colder, by the law of Arrhenius with 75 kJ/mol; hours are added up over the temperatures, straight between readings. The range is over 60–90 kJ/mol and the error of the reading; its late end counts nothing below 10 °C. After the last reading it holds for 6 h, then come the day's usual low (6:00) and high (15:00), or the same temperature give or take 4 °C. Chemistry is a model beside that: first-order loss of reactive dye by temperature and pH, to 95 %; from pH 10 and to 60 °C.",
	Inputs: []Input{
		{Key: "class", Label: "Dye class", Help: "from the jar or its safety data sheet; of several in a bag the slowest counts", Type: Choice,
			Words: classes(), Required: true, Example: string(dye.Dichlorotriazine)},
		{Key: "temperature", Ask: true, Label: "Temperature", Help: "one for all the time, or readings with their times; may be left out where low and high are given", Type: Readings,
			Kinds: []unit.Kind{unit.KindTemperature}, Example: "2026-05-02T16:00 21 °C; 2026-05-02T22:00 16 °C", Presets: []string{"15 °C", "18 °C", "21 °C", "25 °C", "30 °C"},
			Min: float64(place.Coldest), Max: float64(place.Hottest)},
		{Key: "low", Label: "Low of the day", Help: "towards morning, where the bag stands", Type: Quantity, Kinds: []unit.Kind{unit.KindTemperature},
			Example: "12 °C", Min: float64(place.Coldest), Max: float64(place.Hottest)},
		{Key: "high", Label: "High of the day", Help: "in the afternoon, where the bag stands", Type: Quantity, Kinds: []unit.Kind{unit.KindTemperature},
			Example: "22 °C", Min: float64(place.Coldest), Max: float64(place.Hottest)},
		{Key: "reading_error", Label: "Error of the thermometer", Help: "either way", Type: Quantity, Kinds: []unit.Kind{unit.KindDifference},
			Default: "1.5 °C", Min: 0, Max: 10, Presets: []string{"0.5 °C", "1.5 °C", "3 °C"}, Source: place.ReadingError.Source},
		{Key: "closed", Ask: true, Label: "Closed at", Help: "when the bag was closed; without it only the hours are told", Type: Moment, Example: "2026-05-02T16:00"},
		{Key: "now", Label: "Now", Help: "the time that is asked about; the present time if left out", Type: Moment, Example: "2026-05-03T10:00"},
		{Key: "zone", Label: "Time zone", Help: "of the place the bag stands in; that of the device if left out", Type: Place, Example: "Europe/Lisbon"},
		{Key: "practice", Label: "Practice", Help: "a time at a temperature that is known to do", Type: Phrase, Default: "24 h at 21 °C", Source: cure.UsualTime.Source},
		{Key: "ph", Label: "pH of the wet cloth", Help: "for the chemistry alone; 10.5 if nobody measured", Type: Quantity, Kinds: []unit.Kind{unit.KindPH},
			Example: "10.8", Min: 7, Max: 14},
	},
	Outputs: []Output{
		{Key: "verdict", Label: "How it stands", Words: verdicts(), Source: scaled},
		{Key: "needed", Label: "Hours needed", Help: "at the present temperature; over the usual night and day where only these are given", Kind: unit.KindDuration, In: "h", Source: scaled},
		{Key: "ready_at", Label: "Ready about", Help: "with the hour from which it may be, and the one to be safe", Kind: KindTime, Source: scaled},
		{Key: "done", Label: "Share of the usual time", Help: "that has passed; not the share of dye", Kind: unit.KindShare, In: "%", Source: scaled},
		{Key: "chemistry", Label: "Chemistry, a model", Help: "until 95 % of the dye has reacted, with cloth or water; never instead of practice", Kind: unit.KindDuration, In: "h", Source: cure.Modelled},
	},
	Cautions: []fault.Caution{cure.KeepAway, cure.NoShortCut, dye.NoVinegar},
	Values:   cureValues(),
	Sources:  []fault.Source{cure.Energy.Source, cure.HotSource},
	Try:      "temperature='21 °C'",
	Sum:      sumCure,
})

func classes() (words []Word) {
	for _, c := range dye.Classes() {
		words = append(words, Word{string(c.Class), c.Words})
	}
	return words
}

func verdicts() (words []Word) {
	for _, v := range cure.Verdicts() {
		words = append(words, Word{string(v), v.Words()})
	}
	return words
}

func cureValues() []fault.Value {
	return append(cure.Constants(), alkali.IonProduct, place.Holds, place.Strays, place.UsualError, place.LowHour, place.HighHour)
}

func sumCure(g *Given) (*Answer, error) {
	if g.Typed("now") {
		g.Now = g.Time("now")
	}
	b := cure.Bag{Class: dye.Class(g.Word("class")), Now: g.Now}
	var err error
	if g.Has("closed") { // read again, as a time of day is the last one before now
		if b.Closed, err = g.Zone.Parse(g.Text("closed"), g.Now); err != nil {
			return nil, fault.Of(err).At("closed", g.Text("closed"))
		}
	}
	if b.Practice, err = practice(g); err != nil {
		return nil, err
	}
	if g.Has("ph") {
		ph := Get[unit.PH](g, "ph")
		b.PH = &ph
	}
	asked := b.Closed // the bag's own closing, or none
	swings := !g.Has("temperature")
	if swings && asked == 0 {
		b.Closed = g.Now
	}
	if cure.Timed(b.Class) || !swings || g.Has("low") || g.Has("high") {
		if b.Course, err = courseOf(g, b.Closed); err != nil {
			return nil, err
		}
	}
	o, err := cure.Work(b)
	if err != nil {
		return nil, fault.Of(err)
	}
	a := &Answer{}
	if swings {
		o.NeededLow, o.Needed, o.NeededHigh = hoursFrom(b.Closed, o.Early), hoursFrom(b.Closed, o.Ready), hoursFrom(b.Closed, o.Late)
	}
	tellCure(a, o, asked, g)
	return a, nil
}

// hoursFrom gives how long after closed at comes, or nothing where it never does.
func hoursFrom(closed, at zone.Instant) unit.Duration {
	if at == 0 {
		return 0
	}
	return unit.Duration(at.Sub(closed)) / unit.Duration(zone.Second)
}

// tellCure puts what an outlook says.
func tellCure(a *Answer, o cure.Outlook, closed zone.Instant, g *Given) {
	a.PutWord("verdict", string(o.Verdict), "")
	switch {
	case o.Needed == 0:
	case o.NeededHigh == 0:
		PutFrom(a, "needed", o.Needed, o.NeededLow)
	default:
		PutRange(a, "needed", o.Needed, o.NeededLow, o.NeededHigh)
	}
	if closed != 0 && o.Ready != 0 {
		a.PutTimes("ready_at", o.Ready, o.Early, o.Late)
		if o.Late != 0 {
			a.Say("ready_at", "%s, to be safe %s", g.clock(o.Ready), g.clock(o.Late))
		} else {
			a.Say("ready_at", "%s; no time to be safe can be told", g.clock(o.Ready))
		}
	}
	if closed != 0 && o.Needed != 0 {
		PutRange(a, "done", o.Done, o.DoneLow, o.DoneHigh)
	}
	if c := o.Chemistry; c != nil {
		PutRange(a, "chemistry", c.To95, c.Low, c.High)
		a.Say("chemistry", "%s", roughly(c.To95, c.Low, c.High, g.Style))
		a.Cite(cure.ModelSource)
		if c.Assumed {
			a.Note("the chemistry is a model, at a pH of %g assumed for the wet cloth", float64(c.PH))
		} else {
			a.Note("the chemistry is a model, at the pH given")
		}
	}
	if closed > g.Now {
		a.Note("the bag is closed at a time that is still to come")
	}
	for _, n := range o.Notes {
		a.Note("%s", n.Text)
	}
	if o.Verdict == cure.NeedsHeat {
		a.Caution(cure.HotDyeing)
	}
}

// soonest is the shortest time that a model tells apart.
const soonest unit.Duration = 600

// roughly tells a time and its range as coarsely as a model deserves.
func roughly(middle, low, high unit.Duration, style unit.Style) string {
	show := func(d unit.Duration) string { return unit.Show(unit.KindDuration, rough(d), style) }
	under := "under " + show(soonest)
	switch {
	case high < soonest:
		return under
	case middle < soonest:
		return under + " (to " + show(high) + ")"
	case low < soonest:
		return "about " + show(middle) + " (" + under + " to " + show(high) + ")"
	}
	return "about " + show(middle) + " (" + unit.Ranged(unit.KindDuration, rough(low), rough(high), style) + ")"
}

// rough rounds a duration as coarsely as a model deserves.
func rough(d unit.Duration) float64 {
	step := 3600.0
	switch h := d.Hours(); {
	case h < 2:
		step = 600
	case h < 10:
		step = 1800
	case h >= 168:
		step = 24 * 3600
	}
	return max(step, math.Round(float64(d)/step)*step)
}

// practice reads a time at a temperature: 24 h at 21 °C.
func practice(g *Given) (cure.Practice, error) {
	typed := g.Text("practice")
	long, warm, ok := strings.Cut(typed, " at ")
	if !ok {
		return cure.Practice{}, g.Refuse("practice", "%q is not a time at a temperature", typed).WithHint("such as 24 h at 21 °C")
	}
	d, err := unit.Read[unit.Duration](unit.KindDuration, long)
	if err != nil {
		return cure.Practice{}, fault.Of(err).At("practice", typed)
	}
	t, err := unit.Read[unit.Temperature](unit.KindTemperature, warm)
	if err != nil {
		return cure.Practice{}, fault.Of(err).At("practice", typed)
	}
	p := cure.Practice{Time: d, At: t}
	if err := p.Check(); err != nil {
		return p, fault.Of(err).At("practice", typed)
	}
	return p, nil
}
