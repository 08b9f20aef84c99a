// Package place computes the temperatures of a place over time (its course) from readings
// and from its usual nights and days. Call Build for the course of a place with
// readings, SteadyCourse where one temperature is assumed, and ThinReadings to shorten a long list of
// readings. What a course does to a bag is in package cure.
package place

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// MinTemperature and MaxTemperature are the limits of a place's temperature, in degrees Celsius. A
// value outside is a typing error or a broken sensor (judgement).
const (
	MinTemperature unit.Temperature = -40
	MaxTemperature unit.Temperature = 95
)

// maxJavaScriptTime is the latest instant that JavaScript can represent, in milliseconds
// (ECMA-262, "Time Values and Time Range").
const maxJavaScriptTime zone.Instant = 8.64e15

// ReadingError is the error of a reading that has none of its own, that of a household
// thermometer: kelvin, either way.
var ReadingError = provenance.Value{
	Name: "error of a reading", Value: 1.5, Unit: "°C", Low: 0.5, High: 3,
	Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement, no source: a household thermometer"},
}

// Reading is a temperature read at one time. Error is how far it may be off either way, in
// kelvin; zero means unknown.
type Reading struct {
	At      zone.Instant               `json:"at"`
	Celsius unit.Temperature           `json:"celsius"`
	Error   unit.TemperatureDifference `json:"error"`
}

// Check returns an Input fault for an impossible reading: NaN, colder than MinTemperature, hotter
// than MaxTemperature, an error below 0 or above 20, or a time out of range.
func (r Reading) Check() error {
	if r.At < -maxJavaScriptTime || r.At > maxJavaScriptTime {
		return fault.New(fault.Input, "the time of a reading is out of range: %d", int64(r.At))
	}
	if c := float64(r.Celsius); !(c >= float64(MinTemperature) && c <= float64(MaxTemperature)) {
		return fault.New(fault.Input, "%.6g °C is not a temperature of a place", c).
			WithHint("from −%g to %g °C", -float64(MinTemperature), float64(MaxTemperature))
	}
	if e := float64(r.Error); !(e >= 0 && e <= 20) {
		return fault.New(fault.Input, "%.6g °C is not a reading error", e).
			WithHint("from 0 to 20 °C")
	}
	return nil
}

// errorOr returns the reading's error, or other where it is unknown.
func (r Reading) errorOr(other unit.TemperatureDifference) unit.TemperatureDifference {
	if r.Error > 0 {
		return r.Error
	}
	return other
}

// validSorted returns the readings that pass Check in order of time, one for each instant:
// of two at the same instant the colder counts, then the less certain, so that the order
// in which they arrived does not matter.
func validSorted(readings []Reading) []Reading {
	out := make([]Reading, 0, len(readings))
	for _, r := range readings {
		if r.Check() == nil {
			out = append(out, r)
		}
	}
	sort.Slice(out, func(i, j int) bool {
		a, b := out[i], out[j]
		return cmp.Or(cmp.Compare(a.At, b.At), cmp.Compare(a.Celsius, b.Celsius), cmp.Compare(b.Error, a.Error)) < 0
	})
	return slices.CompactFunc(out, func(a, b Reading) bool { return a.At == b.At })
}

// ThinErrorShare is the share of a reading's error by which ThinReadings may move the course. A third
// is small beside the error of the thermometer (judgement).
const ThinErrorShare = 1.0 / 3

// ThinReadings drops readings that hardly change the course: nowhere do the piecewise-linear
// course or the band of its error move by more than ThinErrorShare of the error of a dropped
// reading (ReadingError where that is unknown). The first and the last reading always
// stay, one of several at one instant stays, and readings that Check refuses are
// dropped. The order of readings does not matter; the result is in order of time, and
// thinning it again changes nothing. Thinning the result together with new readings may move
// the course by the same amount once more.
//
// The method is that of Ramer (1972) and of Douglas and Peucker (1973), with
// the vertical distance; from memory.
func ThinReadings(readings []Reading) []Reading {
	all := validSorted(readings)
	if len(all) < 3 {
		return all
	}
	keep := make([]bool, len(all))
	keep[0], keep[len(all)-1] = true, true
	open := [][2]int{{0, len(all) - 1}}
	for len(open) > 0 {
		a, b := open[len(open)-1][0], open[len(open)-1][1]
		open = open[:len(open)-1]
		far, worst := 0, 1.0
		for i := a + 1; i < b; i++ {
			if m := changeIfDropped(all[a], all[i], all[b]); m > worst {
				far, worst = i, m
			}
		}
		if far > 0 {
			keep[far] = true
			open = append(open, [2]int{a, far}, [2]int{far, b})
		}
	}
	out := make([]Reading, 0, len(all))
	for i, r := range all {
		if keep[i] {
			out = append(out, r)
		}
	}
	return out
}

// changeIfDropped returns how far an edge of the error band moves if r, between a and b, is
// dropped, as a multiple of what ThinErrorShare allows.
func changeIfDropped(a, r, b Reading) float64 {
	unset := unit.TemperatureDifference(ReadingError.Value)
	x := float64(r.At.Sub(a.At)) / float64(b.At.Sub(a.At))
	t := float64(a.Celsius) + x*float64(b.Celsius-a.Celsius)
	e := float64(a.errorOr(unset)) + x*float64(b.errorOr(unset)-a.errorOr(unset))
	own := float64(r.errorOr(unset))
	return (math.Abs(float64(r.Celsius)-t) + math.Abs(own-e)) / (own * ThinErrorShare)
}
