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

func work(t *testing.T, b Bag) Outlook {
	t.Helper()
	o, err := Work(b)
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
// after each: 24 h in the middle, 28 h 59 min late, 72 h past.
func TestVerdict(t *testing.T) {
	at21 := place.Steady(21, 1.5)
	late := 28 + 59./60
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

		{"at 10 °C it counts", dye.Dichlorotriazine, place.Steady(10, 0), 1, KeepWet, ""},
		{"at 10 °C it may be colder", dye.Dichlorotriazine, place.Steady(10, 0.1), 1, KeepWet, "late-never"},
		{"below 10 °C", dye.Dichlorotriazine, place.Steady(9.9, 0), 1, TooCold, "cold"},
		{"below 10 °C for long: never more than probably", dye.Dichlorotriazine, place.Steady(9, 0), 24 * 50, ProbablyReady, "cold"},
		{"cold after the middle", dye.Dichlorotriazine, cold(24.5), 26, Ready, ""},
		{"cold before the middle", dye.Dichlorotriazine, cold(20), 26, TooCold, "cold"},

		{"vinyl sulfone as practice says", dye.VinylSulfone, at21, 1, KeepWet, "vinyl-sulfone"},
		{"vinyl sulfone at the middle", dye.VinylSulfone, at21, 24, ProbablyReady, "vinyl-sulfone"},
		{"monochlorotriazine never in the cold", dye.Monochlorotriazine, at21, 1000, NeedsHeat, "needs-heat"},
		{"an unknown class never", dye.Unknown, at21, 1000, Unknown, "unknown-class"},
		{"a parked car", dye.Dichlorotriazine, place.Steady(50, 1.5), 1, KeepWet, "hot"},
	} {
		b := bag(row.c, hours(row.hour))
		b.Class = row.class
		o := work(t, b)
		if o.Verdict != row.want || codes(o) != row.notes {
			t.Errorf("%s: %s, notes %q; want %s, %q", row.why, o.Verdict, codes(o), row.want, row.notes)
		}
		if told := Timed(row.class); (o.Ready != 0) != told || (o.Needed != 0) != told || (o.Done != 0) != (told && row.hour > 0) {
			t.Errorf("%s: a time told or not: %+v", row.why, o)
		}
		if o.Verdict.Words() == "" {
			t.Errorf("%s: no words", row.why)
		}
	}
}

// TestCold: an hour below the floor is nothing to the late figure and something
// to the middle one.
func TestCold(t *testing.T) {
	// Twelve hours at 21 °C, twelve at 8, then 21 again, by a thermometer without error.
	c := place.Course{Nodes: []place.Node{
		{At: hours(12), Celsius: 21}, {At: hours(12), Celsius: 8}, {At: hours(24), Celsius: 8}, {At: hours(24), Celsius: 21}}}
	o := work(t, bag(c, noon))
	if want := hours(36); o.Late != want {
		t.Errorf("late at %g h, want 36", o.Late.Sub(noon).Hours())
	}
	worth := 12 * math.Exp(75000/8.314462618*(1/294.15-1/281.15))
	if want := hours(36 - worth); o.Ready < want-60000 || o.Ready > want+60000 {
		t.Errorf("ready at %g h, want %g", o.Ready.Sub(noon).Hours(), 36-worth)
	}
	if o.Early != hours(36-12*math.Exp(60000/8.314462618*(1/294.15-1/281.15))).Add(30*zone.Second)/60000*60000 {
		t.Errorf("early at %g h", o.Early.Sub(noon).Hours())
	}
}

// TestFloorCrossed: a line that ends at the floor lost a sixth of its last step,
// because rounding put its end a hair below 10 °C.
func TestFloorCrossed(t *testing.T) {
	whole := place.Course{Nodes: []place.Node{{At: noon, Celsius: 20.8}, {At: hours(1), Celsius: 9}}}
	x := (20.8 - 10) / (20.8 - 9)
	part := place.Course{Nodes: []place.Node{{At: noon, Celsius: 20.8}, {At: hours(x), Celsius: 10}}}
	for _, p := range late(Usual()) {
		a, b := p.total(whole, noon, hours(1)), p.total(part, noon, hours(x))
		if math.Abs(a-b) > 1 {
			t.Errorf("%+v: %g s down to 9 °C, %g s down to the floor", p, a, b)
		}
	}
}

func TestNotClosed(t *testing.T) {
	b := bag(place.Steady(21, 1.5), noon)
	b.Closed = 0
	o := work(t, b)
	if o.Needed != unit.Hours(24) || o.Ready != 0 || o.Late != 0 || o.Done != 0 || o.Verdict != KeepWet || codes(o) != "not-closed" {
		t.Errorf("%+v", o)
	}
}

func TestOldReading(t *testing.T) {
	rs := []place.Reading{{At: noon, Celsius: 21}}
	for hour, want := range map[float64]string{6: "", 6.1: "old-reading"} {
		c := place.Build(rs, nil, zone.UTC(), noon, hours(hour), noon.Add(Horizon), 1.5)
		if o := work(t, bag(c, hours(hour))); codes(o) != want {
			t.Errorf("after %g h: notes %q, want %q", hour, codes(o), want)
		}
	}
}

func TestPractice(t *testing.T) {
	b := bag(place.Steady(25, 0), noon)
	b.Practice = Practice{unit.Hours(12), 25}
	if o := work(t, b); o.Ready != hours(12) || o.Early != hours(12) || o.Late != hours(12) {
		t.Errorf("at the temperature of practice: %+v", o)
	}
}

func TestRefused(t *testing.T) {
	good := bag(place.Steady(21, 1.5), noon)
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
		{"400 °C", func(b *Bag) { b.Course = place.Steady(400, 1) }, fault.Input, ""},
		{"a temperature that is no number", func(b *Bag) { b.Course = place.Steady(unit.Temperature(nan), 1) }, fault.Input, ""},
		{"a course out of order", func(b *Bag) {
			b.Course = place.Course{Nodes: []place.Node{{At: hours(1), Celsius: 20}, {At: noon, Celsius: 20}}}
		}, fault.Input, ""},
		{"a negative reading error", func(b *Bag) { b.ReadingError = -1 }, fault.Input, "reading_error"},
		{"no time at all", func(b *Bag) { b.Practice = Practice{0, 21} }, fault.Input, "practice"},
		{"31 days", func(b *Bag) { b.Practice = Practice{unit.Hours(31 * 24), 21} }, fault.Input, "practice"},
		{"practice below freezing", func(b *Bag) { b.Practice = Practice{unit.Hours(24), -1} }, fault.Input, "practice"},
		{"a practice that is no number", func(b *Bag) { b.Practice = Practice{unit.Duration(nan), 21} }, fault.Input, "practice"},
		{"vinegar", func(b *Bag) { b.PH = ph(3) }, fault.Input, "ph"},
		{"a pH that is no number", func(b *Bag) { b.PH = ph(nan) }, fault.Input, "ph"},
	} {
		b := good
		row.change(&b)
		_, err := Work(b)
		if !fault.Is(err, row.code) || row.input != "" && fault.Of(err).Input != row.input {
			t.Errorf("%s: %v (input %q)", row.why, err, fault.Of(err).Input)
		}
	}
}

// TestLongHaul: absurd times end, and give numbers that JSON can hold.
func TestLongHaul(t *testing.T) {
	for _, b := range []Bag{
		{Class: dye.Dichlorotriazine, Closed: -8e15, Now: 8e15, Course: place.Steady(-40, 20)},
		{Class: dye.Dichlorotriazine, Closed: 8e15, Now: -8e15, Course: place.Steady(95, 20)},
		{Class: dye.Dichlorotriazine, Closed: 1, Now: 8e15, Course: place.Steady(95, 20), Practice: Practice{unit.Minutes(10), 60}},
	} {
		o := work(t, b)
		if _, err := json.Marshal(o); err != nil {
			t.Errorf("%+v: %v", b, err)
		}
	}
}

func TestSlowest(t *testing.T) {
	at := func(class dye.Class, hour float64) Outlook {
		b := bag(place.Steady(21, 1.5), hours(hour))
		b.Class = class
		return work(t, b)
	}
	slow := bag(place.Steady(21, 1.5), hours(25))
	slow.Practice = Practice{unit.Hours(48), 21}
	longer := work(t, slow)
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
		if got := Slowest(row.all); got.Verdict != row.all[row.want].Verdict || got.Late != row.all[row.want].Late {
			t.Errorf("%s: %+v", row.why, got)
		}
	}
	if o := Slowest(nil); o.Verdict != Unknown {
		t.Errorf("a bag without a colour: %s", o.Verdict)
	}
}
