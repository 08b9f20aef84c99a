package calc

import (
	"fmt"
	"strings"
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/place"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// The figures of cure are checked by testdata/vec/cure.json; here is what a
// person is told beside them.

var cureEnv = Env{Now: zone.Date(2026, 5, 3).Add(10 * zone.Hour), Zone: zone.UTC()}

func TestCureTold(t *testing.T) {
	for _, row := range []struct {
		why    string
		inputs string // key=value, separated by |
		want   string // parts of the printed answer, separated by |
		not    string
	}{
		{"hours with their range", "temperature=21 °C", "24 h (20–29 h)|keep wet and warm|hours run from when the bag is closed", "Ready about"},
		{"when, and when to be safe", "temperature=21 °C|closed=2026-05-02T16:00", "today 16:00, to be safe today 20:59|75 %", "hours run from"},
		{"no late figure in the cold", "temperature=8 °C|closed=2026-05-02T16:00", "99 h (from 65 h, no end)|no time to be safe can be told|bring the bag to a warmer place", ""},
		{"it may be below 10 °C", "temperature=11 °C|closed=2026-05-02T16:00", "no time to be safe can be told|read the thermometer again", ""},
		{"an old reading is shown as old", "temperature=2026-05-02T16:00 21 °C|closed=2026-05-02T16:00", "more than 6 h ago", ""},
		{"a fresh one is not", "temperature=9:00 21 °C|closed=2026-05-02T16:00", "keep wet and warm", "6 h ago"},
		{"the chemistry is a model", "temperature=21 °C", "Chemistry, a model|about 15 h (4 h 30 min – 46 h)|pH of 10.5 assumed", ""},
		{"at a pH that was measured", "temperature=21 °C|ph=11", "at the pH given", "10.5 assumed"},
		{"usual days without closing: the hours from now", "low=12 °C|high=22 °C", "Hours needed", "Ready about"},
		{"one temperature and usual days: that now, then those", "temperature=18 °C|low=12 °C|high=22 °C|closed=9:00", "Ready about", "6 h ago"},
		{"a bag to be closed", "temperature=21 °C|closed=2026-05-03T16:00", "still to come", ""},
		{"what monochlorotriazine needs", "class=monochlorotriazine|temperature=21 °C|closed=9:00", "needs heat|about 80 °C|scalds", "Hours needed"},
		{"what to look for", "class=unknown|temperature=21 °C|closed=9:00", "can't say when|look on the jar", "Hours needed"},
		{"vinyl sulfone", "class=vinyl-sulfone|temperature=21 °C", "24 h (20–29 h)|vinyl sulfone with soda ash", "Chemistry"},
		{"without a temperature, as none helps", "class=unknown", "can't say when|look on the jar", "Hours needed"},
		{"nor does one help this class, and no model contradicts the advice", "class=monochlorotriazine", "needs heat|about 80 °C", "Chemistry"},
		{"the model is not carried to neutral water", "temperature=21 °C|ph=7", "no soda ash to speak of: practice does not hold", "Chemistry"},
		{"nor past the anchor", "temperature=60.1 °C", "scaled further than practice goes", "Chemistry"},
		{"seconds are told as no more than that", "temperature=60 °C|ph=14", "Chemistry, a model under 10 min", "about 10 min"},
		{"minutes at the low end", "temperature=35 °C|ph=11.5", "(under 10 min to ", ""},
		{"the model is judgement, the rates were read", "temperature=21 °C", "judgement: a model, from rates that were read|Lu Zonglu", ""},
		{"without a model no rates are cited", "class=vinyl-sulfone|temperature=21 °C", "24 h", "Lu Zonglu"},
		{"past", "temperature=21 °C|closed=2026-04-20T16:00", "no gain in waiting; don't let it dry", ""},
	} {
		inputs := map[string]string{"class": "dichlorotriazine"}
		for _, in := range strings.Split(row.inputs, "|") {
			key, value, _ := strings.Cut(in, "=")
			inputs[key] = value
		}
		r, err := Run("cure", inputs, cureEnv)
		if err != nil {
			t.Errorf("%s: %v", row.why, err)
			continue
		}
		text := strings.Join(strings.Fields(Text(r)), " ") // lines are broken anywhere
		for _, part := range strings.Split(row.want, "|") {
			if !strings.Contains(text, part) {
				t.Errorf("%s: %q is not told in\n%s", row.why, part, text)
			}
		}
		if row.not != "" && strings.Contains(text, row.not) {
			t.Errorf("%s: %q is told in\n%s", row.why, row.not, text)
		}
	}
}

// TestCureNow: a time of day means the last one before the now that is given.
func TestCureNow(t *testing.T) {
	r, err := Run("cure", map[string]string{"class": "dichlorotriazine", "temperature": "21 °C",
		"now": "2026-05-10T08:00", "closed": "20:00"}, cureEnv)
	if err != nil {
		t.Fatal(err)
	}
	if got := r.Outputs["ready_at"].Value; got != "2026-05-10T20:00:00+00:00" {
		t.Errorf("ready at %v", got)
	}
}

func TestReadingsOf(t *testing.T) {
	at := zone.Date(2026, 5, 2).Add(16 * zone.Hour)
	for _, row := range []struct {
		why, typed string
		want       []place.Reading // one without a time: steady
	}{
		{"one temperature", "21 °C", []place.Reading{{Celsius: 21}}},
		{"one temperature and an idle semicolon", " 21C ; ", []place.Reading{{Celsius: 21}}},
		{"one reading", "2026-05-02T16:00 21C", []place.Reading{{At: at, Celsius: 21}}},
		{"with spaces everywhere", "2026-05-02 16:00 21 °C", []place.Reading{{At: at, Celsius: 21}}},
		{"with a no-break space", "2026-05-02T16:00 21\u00a0°C", []place.Reading{{At: at, Celsius: 21}}},
		{"with an offset", "2026-05-02T17:00+01:00 21 °C", []place.Reading{{At: at, Celsius: 21}}},
		{"the last four o'clock", "4:00 pm 21 °C", []place.Reading{{At: at, Celsius: 21}}},
		{"frost", "2026-05-02T16:00 −3 °C", []place.Reading{{At: at, Celsius: -3}}},
		{"two", "2026-05-02T16:00 21C; 2026-05-02T17:00 20C", []place.Reading{{At: at, Celsius: 21}, {At: at.Add(zone.Hour), Celsius: 20}}},
	} {
		readings, steady, err := readingsOf(typedTemperature(row.typed))
		if steady != nil {
			readings = []place.Reading{{Celsius: *steady}}
		}
		if err != nil || fmt.Sprint(readings) != fmt.Sprint(row.want) {
			t.Errorf("%s: %q: %v, %v; want %v", row.why, row.typed, readings, err, row.want)
		}
	}

	many := strings.Repeat("2026-05-02T16:00 21C;", mostReadings)
	if _, _, err := readingsOf(typedTemperature(many)); err != nil {
		t.Errorf("%d readings: %v", mostReadings, err)
	}
	if _, _, err := readingsOf(typedTemperature(many + "2026-05-02T16:00 21C")); !fault.Is(err, fault.Input) {
		t.Errorf("%d readings: %v", mostReadings+1, err)
	}
}

func typedTemperature(s string) *Given {
	return &Given{Now: cureEnv.Now, Zone: cureEnv.Zone, values: map[string]given{"temperature": {typed: s}}}
}

// FuzzReadings reads, writes and reads again.
func FuzzReadings(f *testing.F) {
	for _, s := range []string{"21 °C", "70F", "2026-05-02T16:00 21C; 2026-05-02 22:00 16 °C", "4:05 pm 21C;", "2026-05-02T16:00Z −3 °C", ";;", " ", "21", "16:00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		readings, steady, err := readingsOf(typedTemperature(s))
		if err != nil {
			if fl := fault.Of(err); fl.Code != fault.Input || fl.Input != "temperature" || fl.Sentence == "" {
				t.Fatalf("%q: %+v", s, fl)
			}
			return
		}
		write := func(c unit.Temperature) string { return fmt.Sprintf("%.9f °C", float64(c)) }
		var items []string
		if steady != nil {
			items = []string{write(*steady)}
		}
		for _, r := range readings {
			items = append(items, cureEnv.Zone.Stamp(r.At)+" "+write(r.Celsius))
		}
		again, steadyAgain, err := readingsOf(typedTemperature(strings.Join(items, "; ")))
		if err != nil || len(again) != len(readings) || (steadyAgain == nil) != (steady == nil) {
			t.Fatalf("%q, written %q, reads as %v, %v", s, items, again, err)
		}
		for i, r := range readings {
			// A stamp is to the second.
			if d := r.At.Sub(again[i].At); d < 0 || d >= zone.Second || write(r.Celsius) != write(again[i].Celsius) {
				t.Fatalf("%q: %v reads again as %v", s, r, again[i])
			}
		}
	})
}
