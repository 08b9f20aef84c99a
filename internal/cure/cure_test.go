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

func hours(h float64) zone.Instant { return noon.Add(zone.Span(math.Round(h * float64(zone.Hour)))) }

func evaluate(t *testing.T, b Bag) Outlook {
	t.Helper()
	o, err := Evaluate(b)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// bag is a dichlorotriazine bag closed at noon.
func bag(c place.Course, now zone.Instant) Bag {
	return Bag{Class: dye.Dichlorotriazine, Closed: noon, Now: now, Course: c}
}

func codes(o Outlook) string {
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
	cold := func(h float64) place.Course { // 21 °C, then 5 °C from h on
		return place.Course{Nodes: []place.Node{{At: noon, Celsius: 21}, {At: hours(h), Celsius: 21}, {At: hours(h), Celsius: 5}}}
	}
	for _, row := range []struct {
		why   string
		class dye.Class
		c     place.Course
		hour  float64
		want  Verdict
		notes string
	}{
		{"before closing", dye.Dichlorotriazine, at21, -3, KeepWet, ""},
		{"just closed", dye.Dichlorotriazine, at21, 0, KeepWet, ""},
		{"the early figure is no state", dye.Dichlorotriazine, at21, 20, KeepWet, ""},
		{"a minute before the middle", dye.Dichlorotriazine, at21, 24 - 1./60, KeepWet, ""},
		{"at the middle", dye.Dichlorotriazine, at21, 24, ProbablyReady, ""},
		{"a minute before the late", dye.Dichlorotriazine, at21, late - 1./60, ProbablyReady, ""},
		{"at the late", dye.Dichlorotriazine, at21, late, Ready, ""},
		{"a minute before three times", dye.Dichlorotriazine, at21, 72 - 1./60, Ready, ""},
		{"at three times", dye.Dichlorotriazine, at21, 72, Past, "past"},
		{"weeks later", dye.Dichlorotriazine, at21, 1000, Past, "past"},

		{"at 10 °C it is not slow yet", dye.Dichlorotriazine, place.SteadyCourse(10, 1.5), 1, KeepWet, ""},
		{"below 10 °C", dye.Dichlorotriazine, place.SteadyCourse(9.9, 1.5), 1, Slow, "slow"},
		{"below 10 °C for long: ready all the same", dye.Dichlorotriazine, place.SteadyCourse(9, 0), 24 * 50, Past, "past"},
		{"just above freezing", dye.Dichlorotriazine, place.SteadyCourse(0.1, 1.5), 1, Slow, "slow"},
		{"at 0 °C", dye.Dichlorotriazine, place.SteadyCourse(0, 1.5), 1000, Frozen, "frozen"},
		{"in frost", dye.Dichlorotriazine, place.SteadyCourse(-5, 8), 1000, Frozen, "frozen"},
		{"cold after the middle", dye.Dichlorotriazine, cold(24.5), 26, Ready, ""},
		{"cold before the middle", dye.Dichlorotriazine, cold(20), 26, Slow, "slow"},
		{"no late time in sight", dye.VinylSulfone, place.SteadyCourse(10.2, 1.5), 26, KeepWet, "vinyl-sulfone late-never"},

		{"vinyl sulfone after a day", dye.VinylSulfone, at21, 24, KeepWet, "vinyl-sulfone"},
		{"vinyl sulfone after three", dye.VinylSulfone, at21, 72, ProbablyReady, "vinyl-sulfone"},
		{"vinyl sulfone is never more", dye.VinylSulfone, at21, 24 * 59, ProbablyReady, "vinyl-sulfone"},
		{"monochlorotriazine never in the cold", dye.Monochlorotriazine, at21, 1000, NeedsHeat, "needs-heat"},
		{"an unknown class never", dye.Unknown, at21, 1000, Unknown, "unknown-class"},
		{"a parked car", dye.Dichlorotriazine, place.SteadyCourse(50, 1.5), 1, KeepWet, "hot"},
	} {
		b := bag(row.c, hours(row.hour))
		b.Class = row.class
		o := evaluate(t, b)
		if o.Verdict != row.want || codes(o) != row.notes {
			t.Errorf("%s: %s, notes %q; want %s, %q", row.why, o.Verdict, codes(o), row.want, row.notes)
		}
		timed := IsTimed(row.class)
		if frozen := row.want == Frozen; (o.Ready != 0) != (timed && !frozen) || (o.Needed != 0) != (timed && !frozen) || (o.Done != 0) != (timed && !frozen && row.hour > 0) {
			t.Errorf("%s: a time given or not: %+v", row.why, o)
		}
		if o.Verdict.Words() == "" {
			t.Errorf("%s: no words", row.why)
		}
	}
}

// kjoule gives how much faster the cure runs at c than at 21 °C by Arrhenius,
// apart from this program.
func kjoule(energy, c float64) float64 {
	return math.Exp(energy * 1000 / 8.314462618 * (1/294.15 - 1/(c+273.15)))
}

// TestSumOfParts: 12 h at 8 °C and then 21 °C is the sum of its parts, in each
// figure; a cold night no longer counts for nothing.
func TestSumOfParts(t *testing.T) {
	c := place.Course{Nodes: []place.Node{{At: noon, Celsius: 8}, {At: hours(12), Celsius: 8}, {At: hours(12), Celsius: 21}}}
	o := evaluate(t, bag(c, noon))
	for _, row := range []struct {
		figure string
		got    zone.Instant
		energy float64
	}{{"early", o.Early, 50}, {"middle", o.Ready, 75}, {"late", o.Late, 105}} {
		want := 12 + 24 - 12*kjoule(row.energy, 8)
		if got := row.got.Sub(noon).Hours(); math.Abs(got-want) > 1./60 {
			t.Errorf("%s figure: %.3f h, want %.3f", row.figure, got, want)
		}
	}
}

// TestFrostDoesNotCount: of a line from 8 to −8 °C the half above 0 counts, and no
// more, whatever the thermometer's error; then 21 °C for the rest.
func TestFrostDoesNotCount(t *testing.T) {
	c := place.Course{Nodes: []place.Node{{At: noon, Celsius: 8}, {At: hours(10), Celsius: -8}, {At: hours(20), Celsius: -8}, {At: hours(20), Celsius: 21}}}
	half := 0.0 // hours of practice from 8 to 0 °C in 5 h, by slices of a second
	for s := 0.5; s < 5*3600; s++ {
		half += kjoule(75, 8-8*s/(5*3600)) / 3600
	}
	want := 20 + 24 - half
	if got := evaluate(t, bag(c, noon)).Ready.Sub(noon).Hours(); math.Abs(got-want) > 1.5/60 {
		t.Errorf("ready after %.3f h, want %.3f", got, want)
	}
	for i := range c.Nodes {
		c.Nodes[i].Spread = 5
	}
	b := bag(c, hours(19))
	if o := evaluate(t, b); o.Verdict != Frozen || !(o.Done > 0 && o.DoneHigh < 0.3) || codes(o) != "frozen" {
		t.Errorf("frozen for hours: %+v", o)
	}
}

// TestInWarmth: a slow bag says when it would be ready at 21 °C.
func TestInWarmth(t *testing.T) {
	o := evaluate(t, bag(place.SteadyCourse(5, 1.5), hours(10)))
	want := 10 + 24 - 10*kjoule(75, 5)
	if got := o.InWarmth.Sub(noon).Hours(); o.Verdict != Slow || math.Abs(got-want) > 1./60 {
		t.Errorf("%s, in warmth after %.3f h, want %.3f", o.Verdict, got, want)
	}
	o = evaluate(t, bag(place.SteadyCourse(-5, 1.5), hours(10)))
	if o.InWarmth != hours(34) || o.Ready != 0 || o.Needed != 0 {
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
		{"found dry after two hours and left so", []DrySpan{{noon, 0}}, 24 * 30, Dry, 0, 0},
		{"wet for two hours, then dry", []DrySpan{{hours(2), 0}}, 24 * 30, Dry, 2. / 24, 0},
		{"wetted after ten hours, the first two were wet", []DrySpan{{hours(2), hours(10)}}, 24, KeepWet, 16. / 24, 32},
		{"ready as late as it was dry", []DrySpan{{hours(2), hours(10)}}, 40, Ready, 32. / 24, 32},
		{"twice dry", []DrySpan{{hours(2), hours(10)}, {hours(12), hours(20)}}, 30, KeepWet, 14. / 24, 40},
		{"dry from a time to come", []DrySpan{{hours(30), 0}}, 20, KeepWet, 20. / 24, 24},
	} {
		b := bag(at21, hours(row.hour))
		b.Dry = row.dry
		o := evaluate(t, b)
		at := 0.0
		if o.Ready != 0 {
			at = o.Ready.Sub(noon).Hours()
		}
		if o.Verdict != row.want || math.Abs(float64(o.Done)-row.done) > 1e-4 || math.Abs(at-row.at) > 1./60 {
			t.Errorf("%s: %s, done %.4f, ready after %.2f h; want %s, %.4f, %.2f h", row.why, o.Verdict, float64(o.Done), at, row.want, row.done, row.at)
		}
		if (row.want == Dry) != strings.Contains(codes(o), "dry") {
			t.Errorf("%s: notes %q", row.why, codes(o))
		}
	}
}

// TestVinylSulfone: a range of its own, from the usual day to 9.4 of them, and a
// practice of the dyer's own counts as it is.
func TestVinylSulfone(t *testing.T) {
	b := bag(place.SteadyCourse(21, 0), noon)
	b.Class = dye.VinylSulfone
	o := evaluate(t, b)
	if got := [3]float64{o.Early.Sub(noon).Hours(), o.Ready.Sub(noon).Hours(), math.Round(o.Late.Sub(noon).Hours()*10) / 10}; got != [3]float64{24, 72, 225.6} {
		t.Errorf("early, middle, late: %v h", got)
	}
	// The rates of Lu Zonglu, table 1, at 60 °C and pH 10, per minute.
	if ratio := 0.33 / 0.035; math.Abs(VinylSulfoneTimes.High-ratio) > 0.05 || math.Abs(VinylSulfoneTimes.Value-math.Sqrt(ratio)) > 0.1 {
		t.Errorf("%+v, by the rates %.2f", VinylSulfoneTimes, ratio)
	}
	b.Practice = Practice{unit.Hours(30), 21}
	if o := evaluate(t, b); o.Early != hours(30) || o.Late != hours(30) {
		t.Errorf("with a practice of its own: %+v", o)
	}
}

func TestNotClosed(t *testing.T) {
	b := bag(place.SteadyCourse(21, 1.5), noon)
	b.Closed = 0
	o := evaluate(t, b)
	if o.Needed != unit.Hours(24) || o.Ready != 0 || o.Late != 0 || o.Done != 0 || o.Verdict != KeepWet || codes(o) != "not-closed" {
		t.Errorf("%+v", o)
	}
}

func TestOldReading(t *testing.T) {
	rs := []place.Reading{{At: noon, Celsius: 21}}
	for hour, want := range map[float64]string{6: "", 6.1: "old-reading"} {
		c := place.Build(rs, nil, zone.UTC(), noon, hours(hour), noon.Add(Horizon), 1.5)
		if o := evaluate(t, bag(c, hours(hour))); codes(o) != want {
			t.Errorf("after %g h: notes %q, want %q", hour, codes(o), want)
		}
	}
}

func TestPractice(t *testing.T) {
	b := bag(place.SteadyCourse(25, 0), noon)
	b.Practice = Practice{unit.Hours(12), 25}
	if o := evaluate(t, b); o.Ready != hours(12) || o.Early != hours(12) || o.Late != hours(12) {
		t.Errorf("at the temperature of practice: %+v", o)
	}
}

func TestRefused(t *testing.T) {
	good := bag(place.SteadyCourse(21, 1.5), noon)
	nan := math.NaN()
	ph := func(v float64) *unit.PH { p := unit.PH(v); return &p }
	for _, row := range []struct {
		why    string
		change func(*Bag)
		code   fault.Code
		input  string
	}{
		{"no class", func(b *Bag) { b.Class = "" }, fault.Input, "class"},
		{"a class of no dye", func(b *Bag) { b.Class = "acid" }, fault.Input, "class"},
		{"no temperature", func(b *Bag) { b.Course = place.Course{} }, fault.Missing, "temperature"},
		{"400 °C", func(b *Bag) { b.Course = place.SteadyCourse(400, 1) }, fault.Input, ""},
		{"a temperature that is no number", func(b *Bag) { b.Course = place.SteadyCourse(unit.Temperature(nan), 1) }, fault.Input, ""},
		{"a course out of order", func(b *Bag) {
			b.Course = place.Course{Nodes: []place.Node{{At: hours(1), Celsius: 20}, {At: noon, Celsius: 20}}}
		}, fault.Input, ""},
		{"a negative reading error", func(b *Bag) { b.ReadingError = -1 }, fault.Input, "reading_error"},
		{"no time at all", func(b *Bag) { b.Practice = Practice{0, 22} }, fault.Input, "practice"},
		{"31 days", func(b *Bag) { b.Practice = Practice{unit.Hours(31 * 24), 21} }, fault.Input, "practice"},
		{"practice below freezing", func(b *Bag) { b.Practice = Practice{unit.Hours(24), -1} }, fault.Input, "practice"},
		{"a practice that is no number", func(b *Bag) { b.Practice = Practice{unit.Duration(nan), 21} }, fault.Input, "practice"},
		{"dry spans out of order", func(b *Bag) { b.Dry = []DrySpan{{noon, hours(5)}, {hours(3), 0}} }, fault.Input, ""},
		{"a dry span that ends before it begins", func(b *Bag) { b.Dry = []DrySpan{{hours(3), noon}} }, fault.Input, ""},
		{"dry again though still dry", func(b *Bag) { b.Dry = []DrySpan{{noon, 0}, {hours(3), 0}} }, fault.Input, ""},
		{"vinegar", func(b *Bag) { b.PH = ph(3) }, fault.Input, "ph"},
		{"a pH that is no number", func(b *Bag) { b.PH = ph(nan) }, fault.Input, "ph"},
	} {
		b := good
		row.change(&b)
		_, err := Evaluate(b)
		if !fault.Is(err, row.code) || row.input != "" && fault.Of(err).Input != row.input {
			t.Errorf("%s: %v (input %q)", row.why, err, fault.Of(err).Input)
		}
	}
}

// TestLongHaul: absurd times end, and give numbers that JSON can hold.
func TestLongHaul(t *testing.T) {
	for _, b := range []Bag{
		{Class: dye.Dichlorotriazine, Closed: -8e15, Now: 8e15, Course: place.SteadyCourse(-40, 20)},
		{Class: dye.Dichlorotriazine, Closed: 8e15, Now: -8e15, Course: place.SteadyCourse(95, 20)},
		{Class: dye.Dichlorotriazine, Closed: 1, Now: 8e15, Course: place.SteadyCourse(95, 20), Practice: Practice{unit.Minutes(10), 60}},
	} {
		o := evaluate(t, b)
		if _, err := json.Marshal(o); err != nil {
			t.Errorf("%+v: %v", b, err)
		}
	}
}

func TestSlowest(t *testing.T) {
	at := func(class dye.Class, hour float64) Outlook {
		b := bag(place.SteadyCourse(21, 1.5), hours(hour))
		b.Class = class
		return evaluate(t, b)
	}
	slow := bag(place.SteadyCourse(21, 1.5), hours(25))
	slow.Practice = Practice{unit.Hours(48), 21}
	longer := evaluate(t, slow)
	for _, row := range []struct {
		why  string
		all  []Outlook
		want int
	}{
		{"one colour", []Outlook{at(dye.Dichlorotriazine, 25)}, 0},
		{"an unknown class holds the bag up", []Outlook{at(dye.Dichlorotriazine, 25), at(dye.Unknown, 25)}, 1},
		{"one that needs heat more so", []Outlook{at(dye.Monochlorotriazine, 25), at(dye.Unknown, 25)}, 0},
		{"the longer practice", []Outlook{at(dye.Dichlorotriazine, 25), longer}, 1},
		{"the longer practice, written first", []Outlook{longer, at(dye.Dichlorotriazine, 25)}, 0},
	} {
		if got := SlowestOutlook(row.all); got.Verdict != row.all[row.want].Verdict || got.Late != row.all[row.want].Late {
			t.Errorf("%s: %+v", row.why, got)
		}
	}
	if o := SlowestOutlook(nil); o.Verdict != Unknown {
		t.Errorf("a bag without a colour: %s", o.Verdict)
	}
}
