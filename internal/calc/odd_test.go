package calc

import (
	"encoding/json"
	"errors"
	"math/rand"
	"strings"
	"testing"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// malformedInputs are things that people, and programs, type where a quantity, a word, a time or a
// list belongs.
var malformedInputs = []string{"", " ", "0", "-1", "1e9", "NaN", "Inf", "½", "1 1/2", "٣", "\x00", "very", "yes", "no", "21", "-300 °C", "-20 °C", "0 °C", "99.9 °C", "400 °C", "451 °F",
	"0 g", "0.001 mg", "999999999999 g", "1 t", "1 oz", "3 lb 17 oz", "0.01 mL", "1 L", "40 gal", "1 cup", "2 fl oz", "0 g/L", "25 g/L", "499 g/L", "18 g per 8 fl oz", "5 g per 0 mL",
	"2 %", "0 %", "100 %", "500 %", "-5 %", "1e3 %", "0 min", "1 s", "90 min", "3 weeks", "100000 days", "2:30", "12:00", "yesterday", "2026-02-30T10:00", "2026-05-02T16:00",
	"1969-07-20T20:17", "9999-12-31T23:59", "pH 0", "pH 14", "11.4", "15", "2 mmol/L", "300 ppm", "8 °dH", "1 kg", "160 g", "5.1 kg", "20 L/kg", "0.01 L/kg", "6 L/min", "0 L/min",
	"lab 50 0 0", "lab 500 0 0", "lab 1 2", "#ffffff", "#fff", "#zzzzzz", "rust", "rust:2;blue:1", ":::", ";;;", "rust 12 per 50 g used 10 g", "4 h at 15", "12 tees 3.50", "a;b;c",
	"24 h at 21 °C", "0 h at 21 °C", "24 h at", "at", "21 °C; 22 °C", "2026-05-02T16:00 21 °C; 2026-05-02T22:00 -16 °C", "dichlorotriazine", "vinyl-sulfone", "monochlorotriazine", "unknown",
	"acid", "not", "strongly", "a lot", "meter", "strip", "decahydrate", "light", "bagged", "paint", "EUR", "J¥", "Europe/Lisbon", strings.Repeat("9", 400), strings.Repeat("a ", 300)}

// TestOddInputs returns each calculator a thousand rows of odd inputs: each answer is
// numbers that a screen can show, in order, or a sentence about an input.
func TestOddInputs(t *testing.T) {
	for _, e := range All() {
		t.Run(e.Name, func(t *testing.T) {
			r := rand.New(rand.NewSource(12))
			answered, rows := 0, 1000
			for range rows {
				if t.Failed() {
					return
				}
				inputs := map[string]string{}
				for _, in := range e.Inputs {
					// Most inputs are valid, so that odd ones reach the calculations and not only the parsers.
					switch fits := append([]string{in.Default, in.Example}, in.Presets...); {
					case r.Intn(4) == 0:
						inputs[in.Key] = malformedInputs[r.Intn(len(malformedInputs))]
					case in.Required || r.Intn(2) == 0:
						inputs[in.Key] = fits[r.Intn(len(fits))]
					}
				}
				if checkOddInputs(t, e, inputs) {
					answered++
				}
			}
			if answered < max(1, rows/100) {
				t.Errorf("only %d of %d rows were answered: the inputs are too odd to test the sums", answered, rows)
			}
		})
	}
}

// checkOddInputs runs one row and reports whether it was answered.
func checkOddInputs(t *testing.T, e Entry, inputs map[string]string) bool {
	t.Helper()
	r, err := Run(e.Name, inputs, Env{Now: zone.Date(2026, 5, 3), Zone: zone.UTC(), Zones: func(string) (zone.Table, error) { return zone.UTC(), nil }})
	if err != nil {
		var f *fault.Fault
		if !errors.As(err, &f) || f.Code == fault.Internal || f.Input == "" || f.Sentence == "" || strings.Contains(f.Sentence, "%!") {
			t.Errorf("%q: %#v", inputs, err)
		}
		return false
	}
	if _, err := json.Marshal(r); err != nil {
		t.Errorf("%q: %v", inputs, err)
	}
	for key, out := range r.Outputs {
		low, hasLow := out.Low.(float64)
		high, hasHigh := out.High.(float64)
		v, isNumber := out.Value.(float64)
		if isNumber && (hasLow && low > v*(1+1e-5)+1e-9 || hasHigh && high < v*(1-1e-5)-1e-9) {
			t.Errorf("%q: %s is %v, outside its range %v–%v", inputs, key, v, out.Low, out.High)
		}
		if listed, ok := e.output(key); ok && isNumber && (v < 0 || hasLow && low < 0) && !mayBeNegative[listed.Kind] && !mayBeNegative[unit.Kind(key)] {
			t.Errorf("%q: %s is %v (%v–%v), less than nothing", inputs, key, v, out.Low, out.High)
		}
	}
	for _, text := range append(r.Notes, textsOf(r)...) {
		for _, bad := range []string{"NaN", "Inf", "%!"} {
			if text == "" || text == "–" || strings.Contains(text, bad) {
				t.Errorf("%q says %q", inputs, text)
			}
		}
	}
	return true
}

// mayBeNegative are the kinds, and the outputs by key, that may be below zero.
var mayBeNegative = map[unit.Kind]bool{unit.KindTemperature: true, unit.KindTemperatureDifference: true, unit.KindNumber: true, "deviation": true}

func textsOf(r *Result) (all []string) {
	for _, out := range r.Outputs {
		all = append(all, out.Text)
	}
	return all
}
