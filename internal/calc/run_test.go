package calc

import (
	"encoding/json"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// The shape of the answer is what scripts and the phone read.
func TestResultShape(t *testing.T) {
	r, err := Run("bottle", map[string]string{"strength": "6.2 g per 8 fl oz", "bottle": "2 fl oz"}, Env{})
	if err != nil {
		t.Fatal(err)
	}
	b, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		`"calculator":"bottle"`,
		`"powder":{"value":1.55,"unit":"g","text":"1.55 g"}`,
		`"bottle":{"typed":"2 fl oz","value":59.1471,"unit":"mL","text":"59 mL"}`,
		`"count":{"typed":"1","value":1,"unit":"1","text":"1","default":true}`,
		`"advice":{"value":"weigh","unit":"word","text":"`,
		`"cautions":[{"code":"dust","text":"`, `"notes":[]`, `"sources":[{"kind":"`,
	} {
		if !strings.Contains(string(b), want) {
			t.Errorf("the JSON lacks %s:\n%s", want, b)
		}
	}
}

func TestResultRange(t *testing.T) {
	r, err := Run("soak", map[string]string{"water": "1 gal", "soda": "1 cup", "grade": "light"}, Env{})
	if err != nil {
		t.Fatal(err)
	}
	got := r.Outputs["soda_ash"]
	if got.Text != "144 g (135–154 g)" || got.Low == nil || got.High == nil {
		t.Errorf("a cup of light ash: %+v", got)
	}
	// What is used is named: the default of the temperature, the bulk density is
	// not a default but its note is there.
	if len(r.Notes) == 0 || !slices.Contains(r.Sources, provenance.CommonPracticeSource) {
		t.Errorf("notes %q, sources %v", r.Notes, r.Sources)
	}
}

// A US style prints ounces; the value stays grams.
func TestStyle(t *testing.T) {
	r, err := Run("soak", map[string]string{"water": "5 gal"}, Env{Style: unit.Style{System: unit.US}})
	if err != nil {
		t.Fatal(err)
	}
	if got := r.Outputs["soda_ash"]; !strings.HasPrefix(got.Text, "2 lb") || got.Unit != "g" || got.Value != 946.353 {
		t.Errorf("%+v", got)
	}
}

func TestText(t *testing.T) {
	r, err := Run("soak", map[string]string{"water": "10 L", "goods": "20 kg", "wet_in": "60 %", "temperature": "60 °C"}, Env{})
	if err != nil {
		t.Fatal(err)
	}
	text := Text(r)
	for _, want := range []string{"Soda ash  ", "500 g", "Top up with", "Take care", "scalds", "Sources", "extrapolated"} {
		if !strings.Contains(text, want) {
			t.Errorf("the text lacks %q:\n%s", want, text)
		}
	}
	checkWidth(t, "text", text)
	e, _ := Find("soak")
	var keys []string
	for _, l := range Lines(r, e) {
		keys = append(keys, l.Key)
	}
	if got := strings.Join(keys, " "); got != "soda_ash concentration ph dissolves limit serves top_up minutes" {
		t.Errorf("order %s", got)
	}
}

// A calculation that gives NaN or Inf ends in a fault and is never shown.
func TestRunRefusesNaN(t *testing.T) {
	kept := catalogue
	defer func() { catalogue = kept }()
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		catalogue = []Entry{{Name: "broken", Outputs: []Output{{Key: "x", Kind: unit.KindMass}}, Calculate: func(*InputValues) (*Answer, error) {
			a := &Answer{}
			PutRange(a, "x", 1, v, 2)
			return a, nil
		}}}
		if _, err := Run("broken", nil, Env{}); !fault.Is(err, fault.Input) {
			t.Errorf("%g: %v", v, err)
		}
	}
	catalogue = []Entry{{Name: "broken", Calculate: func(*InputValues) (*Answer, error) {
		a := &Answer{}
		Put(a, "y", 1.0)
		return a, nil
	}}}
	if _, err := Run("broken", nil, Env{}); !fault.Is(err, fault.Internal) {
		t.Errorf("an output that is not listed: %v", err)
	}
}

func TestSignificant(t *testing.T) {
	for _, row := range []struct{ v, want float64 }{
		{2.025, 2.025}, {1.0 / 3, 0.333333}, {-0.1111111, -0.111111}, {1234567, 1234570}, {0, 0}, {math.Copysign(0, -1), 0},
	} {
		if got := significant(row.v); got != row.want || math.Signbit(got) != math.Signbit(row.want) {
			t.Errorf("%g becomes %g, want %g", row.v, got, row.want)
		}
	}
}

// Doubling every input that has a size doubles every output that has a size.
func TestBottleAndSoakScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(2, 9).Draw(t, "k")
		litres := rapid.IntRange(1, 100).Draw(t, "litres")
		grams := rapid.IntRange(1, 60).Draw(t, "g/L")
		run := func(name string, inputs map[string]string) *Result {
			r, err := Run(name, inputs, Env{})
			if err != nil {
				t.Fatal(err)
			}
			return r
		}
		show := func(k unit.Kind, v int) string { return unit.Show(k, float64(v), unit.Style{}) }
		in := func(factor int) map[string]string {
			return map[string]string{"strength": show(unit.KindConcentration, grams), "bottle": show(unit.KindVolume, 250), "count": show(unit.KindCount, factor)}
		}
		checkMultiple(t, run("bottle", in(1)), run("bottle", in(k)), float64(k), "total")
		bath := func(factor int) map[string]string {
			return map[string]string{"strength": show(unit.KindConcentration, grams), "water": show(unit.KindVolume, litres*1000*factor), "wet_in": "60 %"}
		}
		checkMultiple(t, run("soak", bath(1)), run("soak", bath(k)), float64(k), "soda_ash", "serves")
	})
}

func checkMultiple(t *rapid.T, one, many *Result, k float64, keys ...string) {
	for _, key := range keys {
		a, b := one.Outputs[key].Value.(float64), many.Outputs[key].Value.(float64)
		// The volumes were shown to a jug's step, so within that.
		if math.Abs(b-k*a) > 0.006*k*a {
			t.Fatalf("%s: %g times %g is not %g", key, k, a, b)
		}
	}
}

// Whatever is typed, Run returns a fault about an input or an answer of finite
// numbers that can be written as JSON, and never panics.
func FuzzRun(f *testing.F) {
	for _, e := range All() {
		for i, in := range e.Inputs {
			for _, typed := range append([]string{in.Default, in.Example}, in.Presets...) {
				f.Add(e.Name, i, typed, "1e308 g")
			}
		}
	}
	for _, odd := range []string{"6.2 bananas", "-60 mL", "400 °C", "NaN", "Inf g", "999999999999 g", "0.000001 mL", "½", "0 %", "\x00", "٣ g"} {
		f.Add("soak", 2, odd, "10 L")
		f.Add("bottle", 1, odd, "20 g/L")
	}
	f.Fuzz(func(t *testing.T, name string, which int, typed, other string) {
		e, err := Find(name)
		if err != nil || len(e.Inputs) == 0 {
			return
		}
		inputs := map[string]string{}
		for _, in := range e.Inputs {
			if in.Required {
				inputs[in.Key] = in.Example
			}
		}
		n := len(e.Inputs)
		which = (which%n + n) % n
		inputs[e.Inputs[(which+1)%n].Key] = other
		inputs[e.Inputs[which].Key] = typed
		r, err := Run(name, inputs, Env{Now: zone.Date(2026, 5, 3)})
		if err != nil {
			var g *fault.Fault
			if !errors.As(err, &g) || g.Code == fault.Internal || g.Input == "" || g.Sentence == "" {
				t.Fatalf("%s %q: %#v", name, inputs, err)
			}
			return
		}
		if _, err := json.Marshal(r); err != nil {
			t.Fatalf("%s %q: %v", name, inputs, err)
		}
		for _, l := range Lines(r, e) {
			if strings.Contains(l.Text, "NaN") || strings.Contains(l.Text, "Inf") || l.Text == "" {
				t.Fatalf("%s %q: %s is %q", name, inputs, l.Key, l.Text)
			}
		}
	})
}
