package cure

import (
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"coldbatch/internal/dye"
	"coldbatch/internal/fault"
	"coldbatch/internal/place"
	"coldbatch/internal/unit"
)

// readTable reads a published table: its header must name source and units.
func readTable(t *testing.T, name string) [][]string {
	t.Helper()
	data, err := os.ReadFile("../../testdata/ref/" + name)
	if err != nil {
		t.Fatal(err)
	}
	if s := string(data); !strings.Contains(s, "\n# source: ") || !strings.Contains(s, "\n# units: ") {
		t.Fatalf("%s: its header does not name source and units", name)
	}
	var rows [][]string
	for _, line := range strings.Split(strings.TrimSpace(string(data)), "\n") {
		if !strings.HasPrefix(line, "#") {
			rows = append(rows, strings.Split(line, "\t"))
		}
	}
	return rows[1:]
}

func parseNumber(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// agreesAsPrinted reports whether got is want to the digits that want is printed with.
func agreesAsPrinted(t *testing.T, got float64, want string) bool {
	t.Helper()
	digits := 0
	if _, after, ok := strings.Cut(want, "."); ok {
		digits = len(after)
	}
	return strconv.FormatFloat(got, 'f', digits, 64) == want
}

func TestHours(t *testing.T) {
	for _, row := range readTable(t, "cure-hours.tsv") {
		c := parseNumber(t, row[0])
		for i, energy := range []float64{ActivationEnergy.Low, ActivationEnergy.Value, ActivationEnergy.High} {
			p := rateModel{energy: energy, practiceCelsius: UsualTemperature.Value}
			if got := UsualTime.Value / p.rate(place.CoursePoint{Celsius: unit.Temperature(c)}); !agreesAsPrinted(t, got, row[i+1]) {
				t.Errorf("%g °C, %g kJ/mol: %.3f h, want %s", c, energy, got, row[i+1])
			}
		}
		o, err := Evaluate(BagConditions{Class: dye.Dichlorotriazine, Course: place.SteadyCourse(unit.Temperature(c), 0)})
		if err != nil {
			t.Fatal(err)
		}
		low, high := row[1], row[3]
		if c > UsualTemperature.Value {
			low, high = high, low
		}
		for _, x := range []struct {
			what string
			got  unit.Duration
			want string
		}{{"early", o.NeededTimeLow, low}, {"middle", o.NeededTime, row[2]}, {"late", o.NeededTimeHigh, high}} {
			// The figure is rounded to the minute: either side of it may print as the table does.
			if h := x.got.Hours(); !agreesAsPrinted(t, h-1./120, x.want) && !agreesAsPrinted(t, h+1./120, x.want) {
				t.Errorf("%g °C, %s figure: %.3f h, want %s", c, x.what, x.got.Hours(), x.want)
			}
		}
	}
}

// TestRange: 19–30 h at 21 °C with a household thermometer, the range over the
// activation energy and the reading together.
func TestRange(t *testing.T) {
	o, err := Evaluate(BagConditions{Class: dye.Dichlorotriazine, Course: place.SteadyCourse(21, 0), ReadingError: 1.5})
	if err != nil {
		t.Fatal(err)
	}
	if low, high := math.Round(o.NeededTimeLow.Hours()), math.Round(o.NeededTimeHigh.Hours()); low != 19 || o.NeededTime.Hours() != 24 || high != 30 {
		t.Errorf("at 21 °C: %g h (%g–%g)", o.NeededTime.Hours(), low, high)
	}
}

// TestQ10: how many times faster from 20 to 30 °C, computed from the same law
// apart from this program.
func TestQ10(t *testing.T) {
	for energy, want := range map[float64]string{50: "1.97", 75: "2.76", 105: "4.14"} {
		if got := arrheniusFactor(energy, 30, 20); !agreesAsPrinted(t, got, want) {
			t.Errorf("%g kJ/mol: %.4f, want %s", energy, got, want)
		}
	}
}

func TestModel(t *testing.T) {
	for _, row := range readTable(t, "cure-model.tsv") {
		ph := unit.PH(parseNumber(t, row[1]))
		got := EstimateKinetics(dye.Dichlorotriazine, unit.Temperature(parseNumber(t, row[0])), &ph)
		if got == nil || math.Abs(got.To95.Hours()-parseNumber(t, row[2])) > 0.06 && !agreesAsPrinted(t, got.To95.Hours(), row[2]) {
			t.Errorf("%s °C, pH %s: %+v, want %s h", row[0], row[1], got, row[2])
		}
	}
}

func TestModelAnchors(t *testing.T) {
	ph := func(v unit.PH) *unit.PH { return &v }
	for _, row := range []struct {
		why       string
		class     dye.Class
		c         unit.Temperature
		ph        *unit.PH
		low, high float64 // bounds for hours to 95 %
	}{
		// Lu Zonglu, table 1: half-lives 2.1 min and 24.6 h at 60 °C, pH 10; to 95 % is
		// log2(20) = 4.32 of them.
		{"dichlorotriazine as published", dye.Dichlorotriazine, 60, ph(10), 2.05 / 60 * 4.32, 2.15 / 60 * 4.33},
		{"monochlorotriazine as published", dye.Monochlorotriazine, 60, ph(10), 24.5 * 4.32, 24.7 * 4.33},
		// J. Shore (ed.), Cellulosics Dyeing, 1995, chapter 4, and A. D. Broadbent, Basic
		// Principles of Textile Coloration, 2001, 16.5 (both from memory): pad-batch with
		// soda ash stands 2–4 h at 20–30 °C.
		{"textbook pad-batch, cool", dye.Dichlorotriazine, 21, ph(11.4), 2, 4},
		{"textbook pad-batch, warm", dye.Dichlorotriazine, 25, ph(11.3), 1.5, 4},
		{"monochlorotriazine cold with soda ash takes months", dye.Monochlorotriazine, 21, ph(11), 1000, 1e5},
	} {
		m := EstimateKinetics(row.class, row.c, row.ph)
		if m == nil || !(m.To95.Hours() >= row.low && m.To95.Hours() <= row.high) {
			t.Errorf("%s: %+v (%.3f h), want %.3f–%.3f h", row.why, m, m.To95.Hours(), row.low, row.high)
		}
	}

	// Monochlorotriazine by the textbook rate law, order 1 in hydroxide: with caustic
	// soda (activity 0.1) the pad-batch of 24–48 h (Shore, Broadbent, as above, from
	// memory); hot with soda ash about an hour (common practice).
	k := monochlorotriazine
	for _, row := range []struct {
		c         unit.Temperature
		ph        unit.PH
		low, high float64
	}{{25, 12.995, 24, 48}, {80, 11, 0.5, 1}} {
		if h := timeTo95Percent(k.rate(row.c, row.ph, k.Energy.Value, 1)).Hours(); h < row.low || h > row.high {
			t.Errorf("monochlorotriazine at %g °C, pH %g: %.2f h, want %g–%g h", row.c, row.ph, h, row.low, row.high)
		}
	}

	// Bands at 21 °C over both ranges, computed apart from this program.
	for _, row := range []struct {
		ph        unit.PH
		low, high string
	}{{11.5, "1.1", "7.9"}, {11, "3.0", "14.6"}, {10.5, "4.7", "46"}} {
		m := EstimateKinetics(dye.Dichlorotriazine, 21, &row.ph)
		if !agreesAsPrinted(t, m.Low.Hours(), row.low) || !agreesAsPrinted(t, m.High.Hours(), row.high) {
			t.Errorf("pH %g: %.2f–%.2f h, want %s–%s", row.ph, m.Low.Hours(), m.High.Hours(), row.low, row.high)
		}
	}

	// Without a pH the range is over that of the cloth too, 10.4–10.7, and a pale
	// shade has pH 11.3: between 6.6 h at 11 and 2.9 h at 11.5 in cure-model.tsv,
	// 6.6 h × 10^(−0.7 × 0.3) = 4.07 h.
	m := EstimateKinetics(dye.Dichlorotriazine, 21, nil)
	lowest, highest := unit.PH(10.4), unit.PH(10.7)
	if !m.Assumed || m.PH != 10.5 || math.Abs(m.PaleTime.Hours()-4.07) > 0.05 {
		t.Errorf("without a pH: %+v", m)
	}
	if a, b := EstimateKinetics(dye.Dichlorotriazine, 21, &highest), EstimateKinetics(dye.Dichlorotriazine, 21, &lowest); m.Low != a.Low || m.High != b.High || a.PaleTime != 0 {
		t.Errorf("without a pH: %+v, not from %v to %v", m, a.Low, b.High)
	}
	for _, class := range []dye.Class{dye.VinylSulfone, dye.UnknownClass} {
		if m := EstimateKinetics(class, 21, ph(11)); m != nil {
			t.Errorf("the model gives a figure for %s: %+v", class, m)
		}
	}
	for _, row := range []struct {
		why string
		c   unit.Temperature
		ph  unit.PH
	}{
		{"frost", -0.1, 11},
		{"hotter than the anchor, where nothing was read", 60.1, 11},
		{"no temperature", unit.Temperature(math.NaN()), 11},
		{"below the anchor's pH the order decides the figure", 21, 9.9},
		{"neutral water", 21, 7},
		{"no pH", 21, unit.PH(math.NaN())},
	} {
		if m := EstimateKinetics(dye.Dichlorotriazine, row.c, &row.ph); m != nil {
			t.Errorf("%s: the model gives a figure for %v °C, pH %v: %+v", row.why, row.c, row.ph, m)
		}
	}
	// Hot and strong it is a matter of seconds: the range still holds the figure.
	if m := EstimateKinetics(dye.Dichlorotriazine, 60, ph(14)); m.Low != 0 || m.To95 != 60 || m.High < m.To95 {
		t.Errorf("at 60 °C, pH 14: %+v", m)
	}
}

// A class without a time asks for no temperature, and no model contradicts what
// is said of it.
func TestUntimedClassesNeedNoTemperature(t *testing.T) {
	for class, want := range map[dye.Class]Verdict{dye.Monochlorotriazine: VerdictNeedsHeat, dye.UnknownClass: VerdictUnknown} {
		for _, c := range []place.TemperatureCourse{{}, place.SteadyCourse(21, 1.5)} {
			o, err := Evaluate(BagConditions{Class: class, Course: c})
			if err != nil || o.Verdict != want || o.Chemistry != nil || len(o.Notes) != 1 {
				t.Errorf("%s: %+v, %v", class, o, err)
			}
		}
	}
	for _, class := range []dye.Class{dye.Dichlorotriazine, dye.VinylSulfone} {
		if _, err := Evaluate(BagConditions{Class: class}); !fault.Is(err, fault.Missing) {
			t.Errorf("%s without a temperature: %v", class, err)
		}
	}
}

// Below pH 10.2 no bag is called ready, however long it waited, and it is told why.
func TestNotReadyWithoutSoda(t *testing.T) {
	for ph, want := range map[unit.PH]Verdict{7: VerdictNeedsSoda, 10.1: VerdictNeedsSoda, 10.2: VerdictNoGain, 11: VerdictNoGain} {
		o, err := Evaluate(BagConditions{Class: dye.Dichlorotriazine, Closed: noon, Now: atHour(200), Course: place.SteadyCourse(21, 1.5), PH: &ph})
		if err != nil {
			t.Fatal(err)
		}
		if o.Verdict != want || slices.Contains(o.Notes, noteNoSoda) != (want == VerdictNeedsSoda) || ph < 10 && o.Chemistry != nil {
			t.Errorf("pH %g: %+v", float64(ph), o)
		}
	}
}
