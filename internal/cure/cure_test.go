package cure

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/place"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// noon is an arbitrary day: 2 May 2026, 12:00 UTC.
var noon = zone.Date(2026, 5, 2).Add(12 * zone.Hour)

func atHour(h float64) zone.Instant { return noon.Add(zone.Span(math.Round(h * float64(zone.Hour)))) }

func evaluate(t *testing.T, b BagConditions) Outlook {
	t.Helper()
	o, err := Evaluate(b)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// dichlorotriazineBag is a dichlorotriazine bag closed at noon.
func dichlorotriazineBag(c place.TemperatureCourse, now zone.Instant) BagConditions {
	return BagConditions{Class: dye.Dichlorotriazine, Closed: noon, Now: now, Course: c}
}

func noteCodes(o Outlook) string {
	var all []string
	for _, n := range o.Notes {
		all = append(all, n.Code)
	}
	return strings.Join(all, " ")
}

// TestVerdict walks a bag at 21 °C through its states, a minute before, at and
// after each: 24 h in the middle, 29 h 54 min late, 72 h past. The late figure is
// 24 h × exp(105/R (1/292.65 − 1/294.15)), worked out apart from this program.
func TestVerdict(t *testing.T) {
	at21 := place.SteadyCourse(21, 1.5)
	late := 29 + 54./60
	cold := func(h float64) place.TemperatureCourse { // 21 °C, then 5 °C from h on
		return place.TemperatureCourse{Points: []place.CoursePoint{{At: noon, Celsius: 21}, {At: atHour(h), Celsius: 21}, {At: atHour(h), Celsius: 5}}}
	}
	for _, row := range []struct {
		why   string
		class dye.Class
		c     place.TemperatureCourse
		hour  float64
		want  Verdict
		notes string
	}{
		{"before closing", dye.Dichlorotriazine, at21, -3, VerdictKeepWet, ""},
		{"just closed", dye.Dichlorotriazine, at21, 0, VerdictKeepWet, ""},
		{"the early figure is no state", dye.Dichlorotriazine, at21, 20, VerdictKeepWet, ""},
		{"a minute before the middle", dye.Dichlorotriazine, at21, 24 - 1./60, VerdictKeepWet, ""},
		{"at the middle", dye.Dichlorotriazine, at21, 24, VerdictProbablyReady, ""},
		{"a minute before the late", dye.Dichlorotriazine, at21, late - 1./60, VerdictProbablyReady, ""},
		{"at the late", dye.Dichlorotriazine, at21, late, VerdictReady, ""},
		{"a minute before three times", dye.Dichlorotriazine, at21, 72 - 1./60, VerdictReady, ""},
		{"at three times", dye.Dichlorotriazine, at21, 72, VerdictNoGain, "past"},
		{"weeks later", dye.Dichlorotriazine, at21, 1000, VerdictNoGain, "past"},

		{"at 10 °C it is not slow yet", dye.Dichlorotriazine, place.SteadyCourse(10, 1.5), 1, VerdictKeepWet, ""},
		{"below 10 °C", dye.Dichlorotriazine, place.SteadyCourse(9.9, 1.5), 1, VerdictSlow, "slow"},
		{"below 10 °C for long: ready all the same", dye.Dichlorotriazine, place.SteadyCourse(9, 0), 24 * 50, VerdictNoGain, "past"},
		{"just above freezing", dye.Dichlorotriazine, place.SteadyCourse(0.1, 1.5), 1, VerdictSlow, "slow"},
		{"at 0 °C", dye.Dichlorotriazine, place.SteadyCourse(0, 1.5), 1000, VerdictFrozen, "frozen"},
		{"in frost", dye.Dichlorotriazine, place.SteadyCourse(-5, 8), 1000, VerdictFrozen, "frozen"},
		{"cold after the middle", dye.Dichlorotriazine, cold(24.5), 26, VerdictReady, ""},
		{"cold before the middle", dye.Dichlorotriazine, cold(20), 26, VerdictSlow, "slow"},
		{"no late time in sight", dye.VinylSulfone, place.SteadyCourse(10.2, 1.5), 26, VerdictKeepWet, "vinyl-sulfone late-never"},

		{"vinyl sulfone after a day", dye.VinylSulfone, at21, 24, VerdictKeepWet, "vinyl-sulfone"},
		{"vinyl sulfone after three", dye.VinylSulfone, at21, 72, VerdictProbablyReady, "vinyl-sulfone"},
		{"vinyl sulfone is never more", dye.VinylSulfone, at21, 24 * 59, VerdictProbablyReady, "vinyl-sulfone"},
		{"monochlorotriazine never in the cold", dye.Monochlorotriazine, at21, 1000, VerdictNeedsHeat, "needs-heat"},
		{"an unknown class never", dye.UnknownClass, at21, 1000, VerdictUnknown, "unknown-class"},
		{"a parked car", dye.Dichlorotriazine, place.SteadyCourse(50, 1.5), 1, VerdictKeepWet, "hot"},
	} {
		b := dichlorotriazineBag(row.c, atHour(row.hour))
		b.Class = row.class
		o := evaluate(t, b)
		if o.Verdict != row.want || noteCodes(o) != row.notes {
			t.Errorf("%s: %s, notes %q; want %s, %q", row.why, o.Verdict, noteCodes(o), row.want, row.notes)
		}
		timed := IsTimed(row.class)
		if frozen := row.want == VerdictFrozen; (o.Ready != 0) != (timed && !frozen) || (o.NeededTime != 0) != (timed && !frozen) || (o.DoneShare != 0) != (timed && !frozen && row.hour > 0) {
			t.Errorf("%s: a time given or not: %+v", row.why, o)
		}
		if o.Verdict.Words() == "" {
			t.Errorf("%s: no words", row.why)
		}
	}
}

// expectedRateFactor returns how much faster the cure runs at c than at 21 °C by Arrhenius,
// apart from this program.
func expectedRateFactor(energy, c float64) float64 {
	return math.Exp(energy * 1000 / 8.314462618 * (1/294.15 - 1/(c+273.15)))
}

// TestSumOfParts: 12 h at 8 °C and then 21 °C is the sum of its parts, in each
// figure; a cold night no longer counts for nothing.
func TestSumOfParts(t *testing.T) {
	c := place.TemperatureCourse{Points: []place.CoursePoint{{At: noon, Celsius: 8}, {At: atHour(12), Celsius: 8}, {At: atHour(12), Celsius: 21}}}
	o := evaluate(t, dichlorotriazineBag(c, noon))
	for _, row := range []struct {
		figure string
		got    zone.Instant
		energy float64
	}{{"early", o.Early, 50}, {"middle", o.Ready, 75}, {"late", o.Late, 105}} {
		want := 12 + 24 - 12*expectedRateFactor(row.energy, 8)
		if got := row.got.Sub(noon).Hours(); math.Abs(got-want) > 1./60 {
			t.Errorf("%s figure: %.3f h, want %.3f", row.figure, got, want)
		}
	}
}

// TestFrostDoesNotCount: of a line from 8 to −8 °C the half above 0 counts, and no
// more, whatever the thermometer's error; then 21 °C for the rest.
func TestFrostDoesNotCount(t *testing.T) {
	c := place.TemperatureCourse{Points: []place.CoursePoint{{At: noon, Celsius: 8}, {At: atHour(10), Celsius: -8}, {At: atHour(20), Celsius: -8}, {At: atHour(20), Celsius: 21}}}
	half := 0.0 // hours of practice from 8 to 0 °C in 5 h, by slices of a second
	for s := 0.5; s < 5*3600; s++ {
		half += expectedRateFactor(75, 8-8*s/(5*3600)) / 3600
	}
	want := 20 + 24 - half
	if got := evaluate(t, dichlorotriazineBag(c, noon)).Ready.Sub(noon).Hours(); math.Abs(got-want) > 1.5/60 {
		t.Errorf("ready after %.3f h, want %.3f", got, want)
	}
	for i := range c.Points {
		c.Points[i].Spread = 5
	}
	b := dichlorotriazineBag(c, atHour(19))
	if o := evaluate(t, b); o.Verdict != VerdictFrozen || !(o.DoneShare > 0 && o.DoneShareHigh < 0.3) || noteCodes(o) != "frozen" {
		t.Errorf("frozen for hours: %+v", o)
	}
}

// TestInWarmth: a slow bag says when it would be ready at 21 °C.
func TestInWarmth(t *testing.T) {
	o := evaluate(t, dichlorotriazineBag(place.SteadyCourse(5, 1.5), atHour(10)))
	want := 10 + 24 - 10*expectedRateFactor(75, 5)
	if got := o.ReadyIfMovedToWarmth.Sub(noon).Hours(); o.Verdict != VerdictSlow || math.Abs(got-want) > 1./60 {
		t.Errorf("%s, in warmth after %.3f h, want %.3f", o.Verdict, got, want)
	}
	o = evaluate(t, dichlorotriazineBag(place.SteadyCourse(-5, 1.5), atHour(10)))
	if o.ReadyIfMovedToWarmth != atHour(34) || o.Ready != 0 || o.NeededTime != 0 {
		t.Errorf("frozen: %+v", o)
	}
}

// TestDry: dry hours do not count, and a bag that is still dry never gets ready.
func TestDry(t *testing.T) {
	at21 := place.SteadyCourse(21, 1.5)
	for _, row := range []struct {
		why  string
		dry  []DrySpan
		hour float64
		want Verdict
		done float64 // share of the usual time
		at   float64 // hours until ready; 0 for never
	}{
		{"found dry after two hours and left so", []DrySpan{{noon, 0}}, 24 * 30, VerdictDry, 0, 0},
		{"wet for two hours, then dry", []DrySpan{{atHour(2), 0}}, 24 * 30, VerdictDry, 2. / 24, 0},
		{"wetted after ten hours, the first two were wet", []DrySpan{{atHour(2), atHour(10)}}, 24, VerdictKeepWet, 16. / 24, 32},
		{"ready as late as it was dry", []DrySpan{{atHour(2), atHour(10)}}, 40, VerdictReady, 32. / 24, 32},
		{"twice dry", []DrySpan{{atHour(2), atHour(10)}, {atHour(12), atHour(20)}}, 30, VerdictKeepWet, 14. / 24, 40},
		{"dry from a time to come", []DrySpan{{atHour(30), 0}}, 20, VerdictKeepWet, 20. / 24, 24},
	} {
		b := dichlorotriazineBag(at21, atHour(row.hour))
		b.Dry = row.dry
		o := evaluate(t, b)
		at := 0.0
		if o.Ready != 0 {
			at = o.Ready.Sub(noon).Hours()
		}
		if o.Verdict != row.want || math.Abs(float64(o.DoneShare)-row.done) > 1e-4 || math.Abs(at-row.at) > 1./60 {
			t.Errorf("%s: %s, done %.4f, ready after %.2f h; want %s, %.4f, %.2f h", row.why, o.Verdict, float64(o.DoneShare), at, row.want, row.done, row.at)
		}
		if (row.want == VerdictDry) != strings.Contains(noteCodes(o), "dry") {
			t.Errorf("%s: notes %q", row.why, noteCodes(o))
		}
	}
}

// TestVinylSulfone: a range of its own, from the usual day to 9.4 of them, and a
// practice of the dyer's own counts as it is.
func TestVinylSulfone(t *testing.T) {
	b := dichlorotriazineBag(place.SteadyCourse(21, 0), noon)
	b.Class = dye.VinylSulfone
	o := evaluate(t, b)
	if got := [3]float64{o.Early.Sub(noon).Hours(), o.Ready.Sub(noon).Hours(), math.Round(o.Late.Sub(noon).Hours()*10) / 10}; got != [3]float64{24, 72, 225.6} {
		t.Errorf("early, middle, late: %v h", got)
	}
	// The rates of Lu Zonglu, table 1, at 60 °C and pH 10, per minute.
	if ratio := 0.33 / 0.035; math.Abs(VinylSulfoneTimeFactor.High-ratio) > 0.05 || math.Abs(VinylSulfoneTimeFactor.Value-math.Sqrt(ratio)) > 0.1 {
		t.Errorf("%+v, by the rates %.2f", VinylSulfoneTimeFactor, ratio)
	}
	b.Practice = PracticeRule{unit.Hours(30), 21}
	if o := evaluate(t, b); o.Early != atHour(30) || o.Late != atHour(30) {
		t.Errorf("with a practice of its own: %+v", o)
	}
}

func TestNotClosed(t *testing.T) {
	b := dichlorotriazineBag(place.SteadyCourse(21, 1.5), noon)
	b.Closed = 0
	o := evaluate(t, b)
	if o.NeededTime != unit.Hours(24) || o.Ready != 0 || o.Late != 0 || o.DoneShare != 0 || o.Verdict != VerdictKeepWet || noteCodes(o) != "not-closed" {
		t.Errorf("%+v", o)
	}
}

func TestOldReading(t *testing.T) {
	rs := []place.Reading{{At: noon, Celsius: 21}}
	for hour, want := range map[float64]string{6: "", 6.1: "old-reading"} {
		c := place.Build(rs, nil, zone.UTC(), noon, atHour(hour), noon.Add(Horizon), 1.5)
		if o := evaluate(t, dichlorotriazineBag(c, atHour(hour))); noteCodes(o) != want {
			t.Errorf("after %g h: notes %q, want %q", hour, noteCodes(o), want)
		}
	}
}

func TestPractice(t *testing.T) {
	b := dichlorotriazineBag(place.SteadyCourse(25, 0), noon)
	b.Practice = PracticeRule{unit.Hours(12), 25}
	if o := evaluate(t, b); o.Ready != atHour(12) || o.Early != atHour(12) || o.Late != atHour(12) {
		t.Errorf("at the temperature of practice: %+v", o)
	}
}

func TestRefused(t *testing.T) {
	good := dichlorotriazineBag(place.SteadyCourse(21, 1.5), noon)
	nan := math.NaN()
	ph := func(v float64) *unit.PH { p := unit.PH(v); return &p }
	for _, row := range []struct {
		why    string
		change func(*BagConditions)
		code   fault.Code
		input  string
	}{
		{"no class", func(b *BagConditions) { b.Class = "" }, fault.Input, "class"},
		{"a class of no dye", func(b *BagConditions) { b.Class = "acid" }, fault.Input, "class"},
		{"no temperature", func(b *BagConditions) { b.Course = place.TemperatureCourse{} }, fault.Missing, "temperature"},
		{"400 °C", func(b *BagConditions) { b.Course = place.SteadyCourse(400, 1) }, fault.Input, ""},
		{"a temperature that is no number", func(b *BagConditions) { b.Course = place.SteadyCourse(unit.Temperature(nan), 1) }, fault.Input, ""},
		{"a course out of order", func(b *BagConditions) {
			b.Course = place.TemperatureCourse{Points: []place.CoursePoint{{At: atHour(1), Celsius: 20}, {At: noon, Celsius: 20}}}
		}, fault.Input, ""},
		{"a negative reading error", func(b *BagConditions) { b.ReadingError = -1 }, fault.Input, "reading_error"},
		{"no time at all", func(b *BagConditions) { b.Practice = PracticeRule{0, 22} }, fault.Input, "practice"},
		{"31 days", func(b *BagConditions) { b.Practice = PracticeRule{unit.Hours(31 * 24), 21} }, fault.Input, "practice"},
		{"practice below freezing", func(b *BagConditions) { b.Practice = PracticeRule{unit.Hours(24), -1} }, fault.Input, "practice"},
		{"a practice that is no number", func(b *BagConditions) { b.Practice = PracticeRule{unit.Duration(nan), 21} }, fault.Input, "practice"},
		{"dry spans out of order", func(b *BagConditions) { b.Dry = []DrySpan{{noon, atHour(5)}, {atHour(3), 0}} }, fault.Input, ""},
		{"a dry span that ends before it begins", func(b *BagConditions) { b.Dry = []DrySpan{{atHour(3), noon}} }, fault.Input, ""},
		{"dry again though still dry", func(b *BagConditions) { b.Dry = []DrySpan{{noon, 0}, {atHour(3), 0}} }, fault.Input, ""},
		{"vinegar", func(b *BagConditions) { b.PH = ph(3) }, fault.Input, "ph"},
		{"a pH that is no number", func(b *BagConditions) { b.PH = ph(nan) }, fault.Input, "ph"},
	} {
		b := good
		row.change(&b)
		_, err := Evaluate(b)
		if !fault.Is(err, row.code) || row.input != "" && fault.AsFault(err).Input != row.input {
			t.Errorf("%s: %v (input %q)", row.why, err, fault.AsFault(err).Input)
		}
	}
}

// TestLongHaul: absurd times end, and give numbers that JSON can hold.
func TestLongHaul(t *testing.T) {
	for _, b := range []BagConditions{
		{Class: dye.Dichlorotriazine, Closed: -8e15, Now: 8e15, Course: place.SteadyCourse(-40, 20)},
		{Class: dye.Dichlorotriazine, Closed: 8e15, Now: -8e15, Course: place.SteadyCourse(95, 20)},
		{Class: dye.Dichlorotriazine, Closed: 1, Now: 8e15, Course: place.SteadyCourse(95, 20), Practice: PracticeRule{unit.Minutes(10), 60}},
	} {
		o := evaluate(t, b)
		if _, err := json.Marshal(o); err != nil {
			t.Errorf("%+v: %v", b, err)
		}
	}
}

func TestSlowest(t *testing.T) {
	at := func(class dye.Class, hour float64) Outlook {
		b := dichlorotriazineBag(place.SteadyCourse(21, 1.5), atHour(hour))
		b.Class = class
		return evaluate(t, b)
	}
	slow := dichlorotriazineBag(place.SteadyCourse(21, 1.5), atHour(25))
	slow.Practice = PracticeRule{unit.Hours(48), 21}
	longer := evaluate(t, slow)
	for _, row := range []struct {
		why  string
		all  []Outlook
		want int
	}{
		{"one colour", []Outlook{at(dye.Dichlorotriazine, 25)}, 0},
		{"an unknown class holds the bag up", []Outlook{at(dye.Dichlorotriazine, 25), at(dye.UnknownClass, 25)}, 1},
		{"one that needs heat more so", []Outlook{at(dye.Monochlorotriazine, 25), at(dye.UnknownClass, 25)}, 0},
		{"the longer practice", []Outlook{at(dye.Dichlorotriazine, 25), longer}, 1},
		{"the longer practice, written first", []Outlook{longer, at(dye.Dichlorotriazine, 25)}, 0},
	} {
		if got := SlowestOutlook(row.all); got.Verdict != row.all[row.want].Verdict || got.Late != row.all[row.want].Late {
			t.Errorf("%s: %+v", row.why, got)
		}
	}
	if o := SlowestOutlook(nil); o.Verdict != VerdictUnknown {
		t.Errorf("a bag without a colour: %s", o.Verdict)
	}
}
