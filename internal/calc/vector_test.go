package calc

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/zone"
)

// vector is one row of a file of testdata/vec, which every build of the core must
// pass: native, and compiled for the phone.
type vector struct {
	Name       string            `json:"name"` // why the row exists
	Calculator string            `json:"calculator"`
	Inputs     map[string]string `json:"inputs"`
	Now        string            `json:"now"`  // RFC 3339; 1970 where it is not given
	Zone       zone.Table        `json:"zone"` // the device's, and what its name finds
	Want       map[string]struct {
		Value any     `json:"value"` // a number within Tol, a word, or a time to the minute
		Tol   float64 `json:"tol"`
		Low   any     `json:"low"` // within Tol, or half a unit of the last digit that is written
		High  any     `json:"high"`
	} `json:"want"`
	Error *struct {
		Code  fault.Code `json:"code"`
		Input string     `json:"input"`
	} `json:"error"`
}

func (v vector) env(t *testing.T) Env {
	env := Env{Zone: v.Zone, Zones: func(name string) (zone.Table, error) {
		if name == v.Zone.Name {
			return v.Zone, nil
		}
		return zone.Table{}, fault.New(fault.Input, "%q is not a time zone", name)
	}}
	if v.Now != "" {
		at, err := time.Parse(time.RFC3339, v.Now)
		if err != nil {
			t.Fatal(err)
		}
		env.Now = zone.Instant(at.UnixMilli())
	}
	return env
}

func TestVectors(t *testing.T) {
	files, _ := filepath.Glob("../../testdata/vec/*.json")
	calculators := map[string]bool{}
	for _, file := range files {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		var vectors []vector
		if err := json.Unmarshal(b, &vectors); err != nil || len(vectors) == 0 || vectors[0].Calculator == "" {
			t.Logf("%s has vectors of another package (%v)", file, err)
			continue
		}
		for _, v := range vectors {
			calculators[v.Calculator] = true
			t.Run(v.Calculator+"/"+v.Name, func(t *testing.T) { v.check(t) })
		}
	}
	for _, e := range All() {
		if !calculators[e.Name] {
			t.Errorf("no vector for %s: add rows to testdata/vec/%s.json (auxiliaries.json shows their form)", e.Name, e.Name)
		}
	}
}

func (v vector) check(t *testing.T) {
	r, err := Run(v.Calculator, v.Inputs, v.env(t))
	if v.Error != nil {
		var f *fault.Fault
		if !errors.As(err, &f) || f.Code != v.Error.Code || f.Input != v.Error.Input {
			t.Fatalf("error %+v, want code %s about %s", err, v.Error.Code, v.Error.Input)
		}
		return
	}
	if err != nil {
		t.Fatal(err)
	}
	if len(v.Want) == 0 {
		t.Fatal("the row checks nothing")
	}
	for key, got := range r.Outputs {
		checkOrder(t, key, got)
	}
	for key, want := range v.Want {
		got, ok := r.Outputs[key]
		if !ok {
			t.Errorf("no output %s", key)
			continue
		}
		checkSame(t, key, got.Value, want.Value, want.Tol)
		if want.Low != nil {
			checkSame(t, key+" low", got.Low, want.Low, rangeTolerance(want.Low, want.Tol))
		}
		if want.High != nil {
			checkSame(t, key+" high", got.High, want.High, rangeTolerance(want.High, want.Tol))
		}
	}
}

// checkOrder fails the test where a range does not go up from low over the value to high.
func checkOrder(t *testing.T, key string, o ResultValue) {
	t.Helper()
	value, isNumber := o.Value.(float64)
	low, hasLow := o.Low.(float64)
	high, hasHigh := o.High.(float64)
	if isNumber && (hasLow && low > value || hasHigh && high < value) {
		t.Errorf("%s is %v in a range from %v to %v", key, o.Value, o.Low, o.High)
	}
}

// rangeTolerance says how far the end of a range may be off: tol, and at least 0.1 % of the
// end itself.
func rangeTolerance(want any, tol float64) float64 {
	v, _ := want.(float64)
	return max(tol, math.Abs(v)*1e-3)
}

// checkSame fails the test unless got is want: a number within tol, a time to the minute,
// a word exactly.
func checkSame(t *testing.T, key string, got, want any, tol float64) {
	t.Helper()
	switch want := want.(type) {
	case float64:
		if g, ok := got.(float64); !ok || !(math.Abs(g-want) <= tol) {
			t.Errorf("%s is %v, want %v ± %v", key, got, want, tol)
		}
	case string:
		g, _ := got.(string)
		if a, err := time.Parse(time.RFC3339, want); err == nil {
			if b, err := time.Parse(time.RFC3339, g); err != nil || math.Abs(b.Sub(a).Seconds()) > 60 {
				t.Errorf("%s is %v, want %v to the minute", key, got, want)
			}
		} else if g != want {
			t.Errorf("%s is %v, want %q", key, got, want)
		}
	default:
		t.Errorf("%s: a vector wants a number or a string, not %v", key, want)
	}
}
