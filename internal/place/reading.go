// Package place holds the temperatures of a place over time: what was read
// there, what its nights and days are usually like, and the course that follows
// from both. Call Build for the course of a place with readings, Steady where
// one temperature is assumed, and Thin to keep a long run of readings small. It
// knows no dye: package cure works out what a course does to a bag.
package place

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"coldbatch/internal/fault"
	"coldbatch/internal/unit"
	"coldbatch/internal/zone"
)

// Coldest and Hottest bound a temperature of a place, in degrees Celsius. A
// value outside is a slip of the finger or a broken sensor (judgement).
const (
	Coldest unit.Temperature = -40
	Hottest unit.Temperature = 95
)

// farthest is the last instant that a time value can hold, in milliseconds
// (ECMA-262, "Time Values and Time Range").
const farthest zone.Instant = 8.64e15

// ReadingError is how far a household thermometer is taken to be off, for a
// reading that does not say: kelvin, either way.
var ReadingError = fault.Value{
	Name: "error of a reading", Value: 1.5, Unit: "°C", Low: 0.5, High: 3,
	Source: fault.Source{Kind: fault.Judgement, Text: "judgement, no source: a household thermometer"},
}

// Reading is one look at a thermometer. Error is how far it may be off either
// way, in kelvin; zero means that nothing is known of it.
type Reading struct {
	At      zone.Instant     `json:"at"`
	Celsius unit.Temperature `json:"celsius"`
	Error   unit.Difference  `json:"error"`
}

// Check refuses a reading that no place has: not a number, colder than Coldest,
// hotter than Hottest, a negative error, or a time no clock shows.
func (r Reading) Check() error {
	if r.At < -farthest || r.At > farthest {
		return fault.New(fault.Input, "the time of a reading is out of range: %d", int64(r.At))
	}
	if c := float64(r.Celsius); !(c >= float64(Coldest) && c <= float64(Hottest)) {
		return fault.New(fault.Input, "%.6g °C is not a temperature of a place", c).
			WithHint("from −%g to %g °C", -float64(Coldest), float64(Hottest))
	}
	if e := float64(r.Error); !(e >= 0 && e <= 20) {
		return fault.New(fault.Input, "%.6g °C is not a reading error", e).
			WithHint("from 0 to 20 °C")
	}
	return nil
}

// spread gives the reading's error, or other where it has none.
func (r Reading) spread(other unit.Difference) unit.Difference {
	if r.Error > 0 {
		return r.Error
	}
	return other
}

// sorted gives the readings that pass Check in order of time, one an instant:
// of two at the same instant the colder counts, then the less certain, so that
// the order they came in cannot matter.
func sorted(readings []Reading) []Reading {
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

// ThinShare is the share of a reading's error by which Thin may move the
// course. A third leaves most of the error to the thermometer (judgement).
const ThinShare = 1.0 / 3

// Thin gives the readings that are needed so that the piecewise-linear course
// through them, and the band of its error, moves nowhere by more than ThinShare
// of the error of a reading left out (ReadingError where it has none). The
// first and the last always stay; of several at one instant one stays; readings
// that Check refuses go. The order of readings does not matter, the result is
// in order of time, and thinning it again changes nothing. Thinning a thinned
// run together with new readings may move the course by that much once more.
//
// The method is that of Ramer (1972) and of Douglas and Peucker (1973), with
// the vertical distance; from memory.
func Thin(readings []Reading) []Reading {
	all := sorted(readings)
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
			if m := moved(all[a], all[i], all[b]); m > worst {
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

// moved tells how far an edge of the band moves where r is left out between a
// and b, as a multiple of what ThinShare allows.
func moved(a, r, b Reading) float64 {
	unset := unit.Difference(ReadingError.Value)
	x := float64(r.At.Sub(a.At)) / float64(b.At.Sub(a.At))
	t := float64(a.Celsius) + x*float64(b.Celsius-a.Celsius)
	e := float64(a.spread(unset)) + x*float64(b.spread(unset)-a.spread(unset))
	own := float64(r.spread(unset))
	return (math.Abs(float64(r.Celsius)-t) + math.Abs(own-e)) / (own * ThinShare)
}
