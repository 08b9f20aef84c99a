package fold

import (
	"errors"
	"math"
	"testing"

	"coldbatch/internal/fault"

	"pgregory.net/rapid"
)

// square returns the corners of a square around a middle.
func square(x, y, side float64) []Point {
	h := side / 2
	return []Point{{x - h, y - h}, {x + h, y - h}, {x + h, y + h}, {x - h, y + h}}
}

// circle returns a circle as a line of n points.
func circle(x, y, radius float64, n int) (line []Point) {
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		line = append(line, Point{x + radius*math.Cos(a), y + radius*math.Sin(a)})
	}
	return line
}

// Areas that geometry gives: squares, a circle, an annulus, a five-pointed star.
func TestWhiteShare(t *testing.T) {
	var star []Point // drawn in one go, as a pentagram
	for i := range 5 {
		a := 2*math.Pi*float64(2*i)/5 - math.Pi/2
		star = append(star, Point{0.5 + 0.4*math.Cos(a), 0.5 + 0.4*math.Sin(a)})
	}
	// A pentagram of circumradius R holds 10 tan 18° / (3 − tan² 18°) R² (its points and its middle).
	tan := math.Tan(math.Pi / 10)
	starArea := 10 * tan / (3 - tan*tan) * 0.4 * 0.4
	cloth := square(0.5, 0.5, 0.9)
	for _, c := range []struct {
		name  string
		white [][]Point
		want  float64
	}{
		{"none", nil, 0},
		{"all", [][]Point{cloth}, 1},
		{"a quarter", [][]Point{square(0.5, 0.5, 0.45)}, 0.25},
		{"traced twice", [][]Point{square(0.5, 0.5, 0.45), square(0.5, 0.5, 0.45)}, 0.25},
		{"two that overlap by half", [][]Point{square(0.4, 0.5, 0.2), square(0.5, 0.5, 0.2)}, 0.06 / 0.81},
		{"half beside the cloth", [][]Point{square(0.95, 0.5, 0.2)}, 0.02 / 0.81},
		{"wholly beside it", [][]Point{square(1.2, 0.5, 0.2)}, 0},
		{"a circle", [][]Point{circle(0.5, 0.5, 0.4, 360)}, math.Pi * 0.16 / 0.81},
		{"a line that crosses itself", [][]Point{star}, starArea / 0.81},
		{"a dot and a stroke", [][]Point{{{0.5, 0.5}}, {{0.4, 0.4}, {0.6, 0.6}}, {}}, 0},
	} {
		got, err := Tracing{cloth, c.white}.WhiteShare()
		if err != nil || math.Abs(got-c.want) > 0.004 {
			t.Errorf("%s: %.4f %v, want %.4f", c.name, got, err, c.want)
		}
	}
}

func TestTracingIsRefused(t *testing.T) {
	for name, tracing := range map[string]Tracing{
		"no cloth":        {},
		"a stroke":        {Cloth: []Point{{0, 0}, {1, 1}}},
		"a flat cloth":    {Cloth: []Point{{0, 0.5}, {1, 0.5}, {0.5, 0.5}}},
		"off the photo":   {Cloth: square(9, 9, 1)},
		"a long line":     {Cloth: circle(0.5, 0.5, 0.4, maxTraceLine+1)},
		"too many parts":  {Cloth: square(0.5, 0.5, 1), White: make([][]Point, maxTraced+1)},
		"not a number":    {Cloth: []Point{{math.NaN(), 0}, {1, 0}, {1, 1}}},
		"without an end":  {Cloth: []Point{{math.Inf(1), 0}, {1, 0}, {1, 1}}},
		"white elsewhere": {Cloth: square(0.5, 0.5, 1), White: [][]Point{square(7, 7, 1)}},
	} {
		var f *fault.Fault
		if share, err := tracing.WhiteShare(); !errors.As(err, &f) || f.Hint == "" {
			t.Errorf("%s: %v, %v: want a sentence with a hint", name, share, err)
		}
	}
}

// Whatever a thumb draws: the share lies between 0 and 1, more parts make it no smaller, and the
// direction in which a line was drawn does not matter.
func TestAnyTracing(t *testing.T) {
	points := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Point {
		return Point{rapid.Float64Range(-0.1, 1.1).Draw(t, "x"), rapid.Float64Range(-0.1, 1.1).Draw(t, "y")}
	}), 0, 12)
	rapid.Check(t, func(t *rapid.T) {
		tracing := Tracing{square(0.5, 0.5, 0.8), rapid.SliceOfN(points, 0, 4).Draw(t, "white")}
		share, err := tracing.WhiteShare()
		if err != nil || share < 0 || share > 1+1e-9 {
			t.Fatal(share, err)
		}
		more := Tracing{tracing.Cloth, append([][]Point{points.Draw(t, "one more")}, tracing.White...)}
		if s, err := more.WhiteShare(); err != nil || s < share-1e-9 {
			t.Fatalf("%g with one part more, %g before (%v)", s, share, err)
		}
		turned := Tracing{tracing.Cloth, nil}
		for _, line := range tracing.White {
			var back []Point
			for i := range line {
				back = append(back, line[len(line)-1-i])
			}
			turned.White = append(turned.White, back)
		}
		if s, err := turned.WhiteShare(); err != nil || math.Abs(s-share) > 1e-9 {
			t.Fatalf("%g drawn the other way, %g before (%v)", s, share, err)
		}
	})
}
