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

// testdata/vec/cure.json checks the figures of cure; these tests check the texts beside
// them.

var cureEnv = Env{Now: zone.Date(2026, 5, 3).Add(10 * zone.Hour), Zone: zone.UTC()}

func TestCureText(t *testing.T) {
	for _, row := range []struct {
		why    string
		inputs string // key=value, separated by |
		want   string // parts of the printed answer, separated by |
		not    string
	}{
		{"hours with their range", "temperature=21 °C", "24 h (19–30 h)|keep wet and warm|the hours start when you close the bag", "Ready about"},
		{"practice itself has a range", "temperature=21 °C", "it varies from 12 to 48 h", "is assumed, the commonest"},
		{"a practice of one's own has none", "temperature=21 °C|practice=30 h at 20 °C", "27 h", "12 to 48 h"},
		{"when, and when to be safe", "temperature=21 °C|closed=2026-05-02T16:00", "today 16:00, to be safe today 21:54|75 %", "the hours start"},
		{"a range in the cold too", "temperature=8 °C|closed=2026-05-02T16:00", "slow: carry it to a warmer place|99 h (55 h – 9 days 6 h)|to be safe Mon 11 May 22:19|Ready at 21 °C about Mon 05:38", "more than 60 days"},
		{"one state says one thing", "temperature=8 °C|closed=2026-04-25T16:00", "probably ready", "slow"},
		{"frozen", "temperature=-2 °C|closed=2026-05-02T16:00", "frozen: nothing bonds|no hours count|Ready at 21 °C about Mon 10:00", "Hours needed"},
		{"beyond the horizon", "class=vinyl-sulfone|temperature=10.2 °C|closed=2026-05-02T16:00", "the late time is more than 60 days away|carry it to a warmer place", ""},
		{"an old reading is shown as old", "temperature=2026-05-02T16:00 21 °C|closed=2026-05-02T16:00", "more than 6 h ago", ""},
		{"a fresh one is not", "temperature=9:00 21 °C|closed=2026-05-02T16:00", "keep wet and warm", "6 h ago"},
		{"the chemistry is a model", "temperature=21 °C", "Chemistry, a model|about 15 h (4 h – 58 h); pale shades about 4 h|it assumes pH 10.4 to 10.7", ""},
		{"at a pH that was measured", "temperature=21 °C|ph=11", "at the pH given", "it assumes pH"},
		{"usual days without closing: the hours from now", "low=12 °C|high=22 °C", "Hours needed", "Ready about"},
		{"one temperature and usual days: that now, then those", "temperature=18 °C|low=12 °C|high=22 °C|closed=9:00", "Ready about", "6 h ago"},
		{"a bag to be closed", "temperature=21 °C|closed=2026-05-03T16:00", "this closing time is in the future", ""},
		{"what monochlorotriazine needs", "class=monochlorotriazine|temperature=21 °C|closed=9:00", "needs heat|about 80 °C|scalds", "Hours needed"},
		{"what to look for", "class=unknown|temperature=21 °C|closed=9:00", "can't say when|look on the jar", "Hours needed"},
		{"vinyl sulfone", "class=vinyl-sulfone|temperature=21 °C", "72 h (19 h 18 min – 11 days 17 h)|keep it at 25 °C or warmer|may be of a vinyl sulfone", "Chemistry"},
		{"without a temperature, as none helps", "class=unknown", "can't say when|look on the jar", "Hours needed"},
		{"nor does one help this class, and no model contradicts the advice", "class=monochlorotriazine", "needs heat|about 80 °C", "Chemistry"},
		{"the model is not carried to neutral water", "temperature=21 °C|ph=7", "not alkaline enough: soak it in soda-ash water|it is not ready, however long it waits", "Chemistry"},
		{"nor past the anchor", "temperature=60.1 °C", "no practice goes above 40 °C", "Chemistry"},
		{"a few seconds are given as no more than that", "temperature=60 °C|ph=14", "Chemistry, a model under 10 min", "about 10 min"},
		{"minutes at the low end", "temperature=35 °C|ph=11.5", "(under 10 min to ", ""},
		{"the model is judgement, the rates were read", "temperature=21 °C", "judgement: a model, from rates that were read|Lu Zonglu", ""},
		{"without a model no rates at the anchor are cited", "class=vinyl-sulfone|temperature=21 °C", "72 h", "pp. 43–45"},
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
				t.Errorf("%s: %q is missing in\n%s", row.why, part, text)
			}
		}
		if row.not != "" && strings.Contains(text, row.not) {
			t.Errorf("%s: %q is in\n%s", row.why, row.not, text)
		}
	}
}

// The commonest class is assumed, and the answer says so.
func TestClassIsAssumed(t *testing.T) {
	for name, inputs := range map[string]map[string]string{"cure": {"temperature": "21 °C"}, "keep": {"age": "1 h"}} {
		r, err := Run(name, inputs, cureEnv)
		if err != nil || !strings.Contains(strings.Join(r.Notes, "; "), "dichlorotriazine is assumed, the commonest class") || r.Inputs["class"].Value != "dichlorotriazine" {
			t.Errorf("%s: %+v, %v", name, r, err)
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
		readings, steady, err := readReadings(typedTemperature(row.typed))
		if steady != nil {
			readings = []place.Reading{{Celsius: *steady}}
		}
		if err != nil || fmt.Sprint(readings) != fmt.Sprint(row.want) {
			t.Errorf("%s: %q: %v, %v; want %v", row.why, row.typed, readings, err, row.want)
		}
	}

	many := strings.Repeat("2026-05-02T16:00 21C;", maxReadings)
	if _, _, err := readReadings(typedTemperature(many)); err != nil {
		t.Errorf("%d readings: %v", maxReadings, err)
	}
	if _, _, err := readReadings(typedTemperature(many + "2026-05-02T16:00 21C")); !fault.Is(err, fault.Input) {
		t.Errorf("%d readings: %v", maxReadings+1, err)
	}
}

func typedTemperature(s string) *InputValues {
	return &InputValues{Now: cureEnv.Now, Zone: cureEnv.Zone, values: map[string]inputValue{"temperature": {typed: s}}}
}

// FuzzReadings reads, writes and reads again.
func FuzzReadings(f *testing.F) {
	for _, s := range []string{"21 °C", "70F", "2026-05-02T16:00 21C; 2026-05-02 22:00 16 °C", "4:05 pm 21C;", "2026-05-02T16:00Z −3 °C", ";;", " ", "21", "16:00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		readings, steady, err := readReadings(typedTemperature(s))
		if err != nil {
			if fl := fault.AsFault(err); fl.Code != fault.Input || fl.Input != "temperature" || fl.Sentence == "" {
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
			items = append(items, cureEnv.Zone.FormatStamp(r.At)+" "+write(r.Celsius))
		}
		again, steadyAgain, err := readReadings(typedTemperature(strings.Join(items, "; ")))
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
