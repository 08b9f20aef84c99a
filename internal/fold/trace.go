package fold

import (
	"cmp"
	"math"
	"slices"

	"coldbatch/internal/fault"
)

// Tracing is what a thumb drew on a photo of opened cloth: a line around the cloth, and one around
// each part that stayed white. Points are shares of the photo's width and height, 0 to 1; each line
// is closed from its last point to its first.
type Tracing struct {
	Cloth []Point   `json:"cloth"`
	White [][]Point `json:"white"`
}

// Judgement: a thumb draws no finer, and no more.
const (
	traceRows    = 600  // scan lines over the photo
	maxTraceLine = 5000 // points of a line
	maxTraced    = 200  // white parts
	minCloth     = 0.01 // of the photo
)

// WhiteShare returns the share of the cloth that was traced as white, 0 to 1. What lies outside the
// cloth does not count, and what was traced twice counts once. It fails where the cloth was not traced.
func (t Tracing) WhiteShare() (float64, error) {
	if err := t.check(); err != nil {
		return 0, err
	}
	cloth, white := 0.0, 0.0
	for row := range traceRows {
		y := (float64(row) + 0.5) / traceRows
		onCloth := spansOf(y, t.Cloth)
		cloth += length(onCloth)
		white += length(intersect(onCloth, spansOf(y, t.White...)))
	}
	if cloth/traceRows < minCloth {
		return 0, fault.New(fault.Input, "the line around the cloth encloses almost nothing").WithHint("draw along the edge of the whole cloth")
	}
	return white / cloth, nil
}

func (t Tracing) check() error {
	if len(t.Cloth) < 3 {
		return fault.New(fault.Missing, "the cloth is not traced yet").WithHint("draw along its edge first")
	}
	if len(t.White) > maxTraced {
		return fault.New(fault.Input, "%d white parts are too many", len(t.White)).WithHint("at most %d", maxTraced)
	}
	for _, line := range append([][]Point{t.Cloth}, t.White...) {
		if len(line) > maxTraceLine {
			return fault.New(fault.Input, "a line of %d points is too long", len(line)).WithHint("at most %d", maxTraceLine)
		}
		for _, p := range line {
			if !(math.Abs(p.X) <= 2 && math.Abs(p.Y) <= 2) {
				return fault.New(fault.Input, "%g, %g is not on the photo", p.X, p.Y).WithHint("0 to 1")
			}
		}
	}
	return nil
}

// span is a part of a scan line, from and to as shares of the width.
type span struct{ from, to float64 }

func length(spans []span) (sum float64) {
	for _, s := range spans {
		sum += s.to - s.from
	}
	return sum
}

// spansOf returns the parts of the scan line at y that lie inside any of the lines, in order and
// apart. A line that crosses itself, as a thumb's does, holds what it winds around.
func spansOf(y float64, lines ...[]Point) []span {
	var all []span
	for _, line := range lines {
		all = append(all, insideOf(y, line)...)
	}
	slices.SortFunc(all, func(a, b span) int { return cmp.Compare(a.from, b.from) })
	var apart []span
	for _, s := range all {
		if last := len(apart) - 1; last >= 0 && s.from <= apart[last].to {
			apart[last].to = max(apart[last].to, s.to)
		} else {
			apart = append(apart, s)
		}
	}
	return apart
}

// insideOf returns the parts of the scan line that a closed line winds around.
func insideOf(y float64, line []Point) []span {
	type crossing struct {
		x    float64
		turn int // 1 down, -1 up
	}
	var crossings []crossing
	for i, p := range line {
		q := line[(i+1)%len(line)]
		if (p.Y <= y) == (q.Y <= y) {
			continue
		}
		turn := 1
		if p.Y > y {
			turn = -1
		}
		crossings = append(crossings, crossing{p.X + (y-p.Y)/(q.Y-p.Y)*(q.X-p.X), turn})
	}
	slices.SortFunc(crossings, func(a, b crossing) int { return cmp.Compare(a.x, b.x) })
	var inside []span
	turns, from := 0, 0.0
	for _, c := range crossings {
		if turns == 0 {
			from = c.x
		}
		if turns += c.turn; turns == 0 {
			inside = append(inside, span{from, c.x})
		}
	}
	return inside
}

// intersect returns what lies in both; a and b are in order and apart.
func intersect(a, b []span) (both []span) {
	for len(a) > 0 && len(b) > 0 {
		if from, to := max(a[0].from, b[0].from), min(a[0].to, b[0].to); from < to {
			both = append(both, span{from, to})
		}
		if a[0].to < b[0].to {
			a = a[1:]
		} else {
			b = b[1:]
		}
	}
	return both
}
