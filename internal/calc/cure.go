package calc

import (
	"math"
	"strings"

	"coldbatch/internal/alkali"
	"coldbatch/internal/cure"
	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/place"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// scaledPracticeSource is the source of the hours and of the times worked out from them.
var scaledPracticeSource = provenance.Source{Reliability: provenance.Practice, Text: "common practice (24 h at 21 °C), scaled by temperature with an activation energy that is judgement, no source"}

var _ = register(Entry{
	Name: "cure", Order: 60,
	Title:   "Cure of a bag",
	Purpose: "How many hours a closed bag of wet, dyed pieces needs at its temperature, when it is ready, and how sure that is.",
	Formula: "Common practice is to leave a bag for 24 h at 21 °C, though it varies from 12 to 48 h. Every hour counts more when it is warmer and less when it is colder, by the law of Arrhenius with 75 kJ/mol; hours are added up over the temperatures, straight between readings. The range is over 50–105 kJ/mol and the error of the reading. At 0 °C and colder no hours count. A vinyl sulfone takes 1 to 9.4 times as long. A reading holds for 6 h; after the last one come the day's usual low (6:00) and high (15:00), or the same temperature give or take 4 °C. Besides that there is a chemical model: first-order loss of reactive dye by temperature and pH, to 95 %; from pH 10 and to 60 °C.",
	Inputs: []Input{
		{Key: "class", Label: "Dye class", Help: "from the jar or its safety data sheet; of several in a bag the slowest counts", Type: TypeChoice,
			Words: classWords(), ShowInForm: true, Default: string(dye.Dichlorotriazine), Source: commonestClassSource},
		{Key: "temperature", ShowInForm: true, Label: "Temperature", Help: "one, or readings with their times; not needed if you give the low and high of the day", Type: TypeReadings,
			Kinds: []unit.Kind{unit.KindTemperature}, Example: "2026-05-02T16:00 21 °C; 2026-05-02T22:00 16 °C", Presets: []string{"15 °C", "18 °C", "21 °C", "25 °C", "30 °C"},
			Min: float64(place.MinTemperature), Max: float64(place.MaxTemperature)},
		{Key: "low", Label: "Low of the day", Help: "at night, where the bag stands", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindTemperature},
			Example: "12 °C", Min: float64(place.MinTemperature), Max: float64(place.MaxTemperature)},
		{Key: "high", Label: "High of the day", Help: "in the afternoon, where the bag stands", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindTemperature},
			Example: "22 °C", Min: float64(place.MinTemperature), Max: float64(place.MaxTemperature)},
		{Key: "reading_error", Label: "Error of the thermometer", Help: "either way", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindTemperatureDifference},
			Default: "1.5 °C", Min: 0, Max: 10, Presets: []string{"0.5 °C", "1.5 °C", "3 °C"}, Source: place.ReadingError.Source},
		{Key: "closed", ShowInForm: true, Label: "Closed at", Help: "when you closed the bag; without it you get only the hours", Type: TypeTime, Example: "2026-05-02T16:00"},
		{Key: "now", Label: "Now", Help: "the time you ask about; the present time if you leave it out", Type: TypeTime, Example: "2026-05-03T10:00"},
		{Key: "zone", Label: "Time zone", Help: "of the place the bag stands in; that of this device if you leave it out", Type: TypeZone, Example: "Europe/Lisbon"},
		{Key: "practice", Label: "Practice", Help: "a time at a temperature that works for you; 24 h at 21 °C if you leave it out, and for vinyl sulfone three times that", Type: TypeText, Example: "24 h at 21 °C"},
		{Key: "ph", Label: "pH of the wet cloth", Help: "10.4 to 10.7 is assumed if you leave it out; below 10.2 no bag is called ready", Type: TypeQuantity, Kinds: []unit.Kind{unit.KindPH},
			Example: "10.8", Min: 7, Max: 14},
	},
	Outputs: []Output{
		{Key: "verdict", Label: "State of the bag", Words: verdictWords(), Source: scaledPracticeSource},
		{Key: "needed", Label: "Hours needed", Help: "at the present temperature, or over the usual nights and days", Kind: unit.KindDuration, ValueUnit: "h", Source: scaledPracticeSource},
		{Key: "ready_at", Label: "Ready about", Help: "with its early and its late time", Kind: KindInstant, Source: scaledPracticeSource},
		{Key: "done", Label: "Share of the usual time", Help: "that has passed; not the share of dye", Kind: unit.KindShare, ValueUnit: "%", Source: scaledPracticeSource},
		{Key: "in_warmth", Label: "Ready at 21 °C about", Help: "if you carry it to such a place now", Kind: KindInstant, Source: scaledPracticeSource},
		{Key: "chemistry", Label: "Chemistry, a model", Help: "until 95 % of the dye has reacted, with cloth or water; it does not replace practice", Kind: unit.KindDuration, ValueUnit: "h", Source: cure.ModelSource},
	},
	Cautions:      []provenance.Caution{cure.KeepAwayCaution, cure.NoShortCutCaution, dye.NoVinegarCaution},
	Values:        cureValues(),
	Sources:       []provenance.Source{cure.ActivationEnergy.Source, cure.HotLimitSource},
	ExampleInputs: "temperature='21 °C'",
	Calculate:     calculateCure,
})

// commonestClassSource is the source of the default dye class.
var commonestClassSource = provenance.Source{Reliability: provenance.Practice, Text: "common practice, no source: dichlorotriazine is the commonest class for bags"}

// noteClass notes which class is assumed where none was typed.
func noteClass(g *InputValues, a *Answer) {
	if !g.IsTyped("class") {
		a.AddNote("dichlorotriazine is assumed, the commonest class: look on the jar")
	}
}

func classWords() (words []Word) {
	for _, c := range dye.Classes() {
		words = append(words, Word{string(c.Class), c.Words})
	}
	return words
}

func verdictWords() (words []Word) {
	for _, v := range cure.Verdicts() {
		words = append(words, Word{string(v), v.Words()})
	}
	return words
}

func cureValues() []provenance.Value {
	return append(cure.ModelValues(), alkali.IonProduct, place.ReadingValidity, place.MaxDrift, place.UsualError, place.LowHour, place.HighHour)
}

func calculateCure(g *InputValues) (*Answer, error) {
	if g.IsTyped("now") {
		g.Now = g.Time("now")
	}
	b := cure.BagConditions{Class: dye.Class(g.Word("class")), Now: g.Now}
	var err error
	if g.Has("closed") { // read again, as a time of day is the last one before now
		if b.Closed, err = g.Zone.Parse(g.Text("closed"), g.Now); err != nil {
			return nil, fault.AsFault(err).At("closed", g.Text("closed"))
		}
	}
	if g.Has("practice") {
		if b.Practice, err = readPractice(g); err != nil {
			return nil, err
		}
	}
	if g.Has("ph") {
		ph := Get[unit.PH](g, "ph")
		b.PH = &ph
	}
	asked := b.Closed // 0 where no closing time was typed
	swings := !g.Has("temperature")
	if swings && asked == 0 {
		b.Closed = g.Now
	}
	if cure.IsTimed(b.Class) || !swings || g.Has("low") || g.Has("high") {
		if b.Course, err = makeCourse(g, b.Closed); err != nil {
			return nil, err
		}
	}
	o, err := cure.Evaluate(b)
	if err != nil {
		return nil, fault.AsFault(err)
	}
	a := &Answer{}
	if swings {
		o.NeededTimeLow, o.NeededTime, o.NeededTimeHigh = timeUntil(b.Closed, o.Early), timeUntil(b.Closed, o.Ready), timeUntil(b.Closed, o.Late)
	}
	putOutlook(a, o, asked, g)
	noteClass(g, a)
	if b.Class == dye.VinylSulfone {
		a.AddSource(cure.VinylSulfoneTimeFactor.Source)
	}
	if cure.IsTimed(b.Class) && !g.Has("practice") {
		a.AddNote("common practice is 24 h at 21 °C, but it varies from 12 to 48 h")
	}
	return a, nil
}

// timeUntil returns the time from closed to at, or 0 where at is 0 (never).
func timeUntil(closed, at zone.Instant) unit.Duration {
	if at == 0 {
		return 0
	}
	return unit.Duration(at.Sub(closed)) / unit.Duration(zone.Second)
}

// putOutlook adds an outlook to the answer.
func putOutlook(a *Answer, o cure.Outlook, closed zone.Instant, g *InputValues) {
	a.PutWord("verdict", string(o.Verdict), "")
	switch {
	case o.NeededTime == 0:
	case o.NeededTimeHigh == 0:
		PutOpenRange(a, "needed", o.NeededTime, o.NeededTimeLow)
	default:
		PutRange(a, "needed", o.NeededTime, o.NeededTimeLow, o.NeededTimeHigh)
	}
	if closed != 0 && o.Ready != 0 {
		a.PutTimes("ready_at", o.Ready, o.Early, o.Late)
		if o.Late != 0 {
			a.SetText("ready_at", "%s, to be safe %s", g.clockText(o.Ready), g.clockText(o.Late))
		} else {
			a.SetText("ready_at", "%s; the late time is more than 60 days away", g.clockText(o.Ready))
		}
	}
	if closed != 0 && o.ReadyIfMovedToWarmth != 0 {
		a.PutTime("in_warmth", o.ReadyIfMovedToWarmth)
	}
	if closed != 0 && cure.IsTimed(o.Class) {
		PutRange(a, "done", o.DoneShare, o.DoneShareLow, o.DoneShareHigh)
	}
	if c := o.Chemistry; c != nil {
		PutRange(a, "chemistry", c.To95, c.Low, c.High)
		text := roughText(c.To95, c.Low, c.High, g.Style)
		if c.PaleTime != 0 {
			text += "; pale shades about " + unit.Show(unit.KindDuration, roundRough(c.PaleTime), g.Style)
		}
		a.SetText("chemistry", "%s", text)
		a.AddSource(cure.RatesSource)
		if c.Assumed {
			a.AddNote("the chemistry is a model; it assumes pH %g to %g for the wet cloth, and %g for pale shades", cure.ClothPH.Low, cure.ClothPH.High, cure.PalePH.Value)
		} else {
			a.AddNote("the chemistry is a model, at the pH given")
		}
	}
	if closed > g.Now {
		a.AddNote("this closing time is in the future")
	}
	for _, n := range o.Notes {
		a.AddNote("%s", n.Text)
	}
	if o.Verdict == cure.VerdictNeedsHeat {
		a.AddCaution(cure.HotDyeingCaution)
	}
}

// shortestShown is the shortest time that the model's text gives, in seconds.
const shortestShown unit.Duration = 600

// roughText prints a time and its range, rounded as coarsely as the model is uncertain.
func roughText(middle, low, high unit.Duration, style unit.Style) string {
	show := func(d unit.Duration) string { return unit.Show(unit.KindDuration, roundRough(d), style) }
	under := "under " + show(shortestShown)
	switch {
	case high < shortestShown:
		return under
	case middle < shortestShown:
		return under + " (to " + show(high) + ")"
	case low < shortestShown:
		return "about " + show(middle) + " (" + under + " to " + show(high) + ")"
	}
	return "about " + show(middle) + " (" + unit.ShowRange(unit.KindDuration, roundRough(low), roundRough(high), style) + ")"
}

// roundRough rounds a duration to 10 min, 30 min, an hour or a day, the coarser the
// longer it is.
func roundRough(d unit.Duration) float64 {
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

// readPractice parses a time at a temperature, such as 24 h at 21 °C.
func readPractice(g *InputValues) (cure.PracticeRule, error) {
	typed := g.Text("practice")
	long, warm, ok := strings.Cut(typed, " at ")
	if !ok {
		return cure.PracticeRule{}, g.Refuse("practice", "%q is not a time at a temperature", typed).WithHint("such as 24 h at 21 °C")
	}
	d, err := unit.ParseAs[unit.Duration](unit.KindDuration, long)
	if err != nil {
		return cure.PracticeRule{}, fault.AsFault(err).At("practice", typed)
	}
	t, err := unit.ParseAs[unit.Temperature](unit.KindTemperature, warm)
	if err != nil {
		return cure.PracticeRule{}, fault.AsFault(err).At("practice", typed)
	}
	p := cure.PracticeRule{Time: d, Temperature: t}
	if err := p.Check(); err != nil {
		return p, fault.AsFault(err).At("practice", typed)
	}
	return p, nil
}
