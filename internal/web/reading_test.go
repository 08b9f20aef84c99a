package web

import (
	"encoding/json"
	"math"
	"strconv"
	"testing"

	"coldbatch/internal/fault"
)

func TestReadReading(t *testing.T) {
	for text, want := range map[string]float64{
		`{"celsius": 18.5}`: 18.5, `18.5`: 18.5, " 18.5\n": 18.5, `-3`: -3, `+4`: 4, `{"celsius":-0.25,"battery":80}`: -0.25, ".5": .5, "0": 0,
	} {
		if got, err := parseReading([]byte(text)); err != nil || got != want {
			t.Errorf("%q gives %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "warm", "NaN", "Inf", "0x12", "1e3", "1_0", "18,5", "18.5 C", `{}`, `{"celsius":null}`, `{"celsius":"18.5"}`,
		`{"celsius":1e999}`, `{"fahrenheit":65}`, "[18.5]", "18.5 19", "--1", "1.2.3", "٣", "00000000000000000000000000000000000000000001"} {
		if got, err := parseReading([]byte(text)); !fault.Is(err, fault.Input) {
			t.Errorf("%q gives %v, %v", text, got, err)
		}
	}
}

func FuzzReading(f *testing.F) {
	for _, seed := range []string{`{"celsius": 18.5}`, "18.5", "-40", "{", `{"celsius":1e308}`, "", "9e9"} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		celsius, err := parseReading(text)
		if err != nil {
			if !fault.Is(err, fault.Input) || celsius != 0 {
				t.Errorf("%q: %v with %v", text, err, celsius)
			}
			return
		}
		if math.IsNaN(celsius) || math.IsInf(celsius, 0) {
			t.Fatalf("%q gives %v", text, celsius)
		}
		// Written and read again it is the same, in both forms.
		wrapped, err := json.Marshal(map[string]float64{"celsius": celsius})
		if err != nil {
			t.Fatal(err)
		}
		if got, err := parseReading(wrapped); err != nil || got != celsius {
			t.Errorf("%s gives %v, %v", wrapped, got, err)
		}
		if bare := strconv.FormatFloat(celsius, 'f', -1, 64); len(bare) <= 40 {
			if got, err := parseReading([]byte(bare)); err != nil || got != celsius {
				t.Errorf("%s gives %v, %v", bare, got, err)
			}
		}
	})
}
