package fold

import (
	"math"
	"strconv"
	"strings"

	"coldbatch/internal/fault"
	"coldbatch/internal/goods"
)

// Point is a place on flat cloth, in cm: x to the right, y down.
type Point struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

// Garment is a piece laid flat. Its outline is a closed polygon; a point inside it
// has Layers layers of cloth, 1 or 2.
type Garment struct {
	Name    string  // as NewGarment takes it
	Words   string  // for a screen
	Outline []Point // cm
	Layers  int
	Density float64 // g/cm² of one layer
}

// Sizes of garments laid flat, in cm: common practice, no source. A tee's row is body
// width, length, sleeve length along the top, sleeve width, neck width.
var teeMeasures = map[goods.Kind][5]float64{
	goods.TeeSmall: {46, 69, 19, 18, 17}, goods.TeeMedium: {51, 72, 20, 19, 18},
	goods.TeeLarge: {56, 75, 21, 20, 18}, goods.TeeXL: {61, 78, 22, 21, 19}, goods.TeeChild: {36, 50, 13, 14, 14},
}

// rectangleMeasures are width, height and layers.
var rectangleMeasures = map[goods.Kind][3]float64{
	goods.Pillowcase: {50, 80, 2}, goods.TeaTowel: {50, 70, 1}, goods.Napkin: {42, 42, 1},
	goods.Bandana: {55, 55, 1}, goods.Scarf: {50, 180, 1}, goods.Tote: {38, 42, 2},
}

// jerseyDensity is the density of a cloth whose own is not known, in g/cm².
const jerseyDensity = 0.0160 // 160 g/m², common practice

// minSide and maxSide are the bounds of a side of cloth, in cm.
const (
	minSide      = 5
	maxSide      = 400
	maxSideRatio = 10 // times as long as wide
)

// NewGarment returns the garment of a name: a kind of package goods that has a shape
// ("tee-l", "pillowcase", "apron" …), "child-tee", "square-60" or "60x90", in cm.
// Anything else is a *fault.Fault of code Input that lists what is accepted.
func NewGarment(name string) (Garment, error) {
	kind := goods.Kind(name)
	if name == "child-tee" {
		kind = goods.TeeChild
	}
	if m, ok := teeMeasures[kind]; ok {
		return Garment{name, garmentWords(kind), tee(m), 2, garmentDensity(kind)}, nil
	}
	if m, ok := rectangleMeasures[kind]; ok {
		return Garment{name, garmentWords(kind), rectangle(m[0], m[1]), int(m[2]), garmentDensity(kind)}, nil
	}
	if kind == goods.Apron {
		return Garment{name, garmentWords(kind), []Point{{22, 0}, {48, 0}, {50, 8}, {70, 30}, {70, 85}, {0, 85}, {0, 30}, {20, 8}}, 1, garmentDensity(kind)}, nil
	}
	width, height, ok := parseSize(name)
	switch {
	case !ok:
		return Garment{}, fault.New(fault.Input, "%q is not a garment with a known shape", name).
			WithHint("tee-s, tee-m, tee-l, tee-xl, child-tee, pillowcase, apron, tea-towel, napkin, bandana, scarf, tote, square-60 or 60x90 (cm)")
	case !(width >= minSide && width <= maxSide && height >= minSide && height <= maxSide):
		return Garment{}, fault.New(fault.Input, "%q is out of range", name).WithHint("%d to %d cm a side", minSide, maxSide)
	case max(width, height) > maxSideRatio*min(width, height):
		return Garment{}, fault.New(fault.Input, "%q is too narrow to draw", name).WithHint("at most %d times as long as wide", maxSideRatio)
	}
	return Garment{name, strings.ReplaceAll(name, "x", " × ") + " cm", rectangle(width, height), 1, jerseyDensity}, nil
}

// parseSize reads "square-60" and "60x90".
func parseSize(name string) (width, height float64, ok bool) {
	a, b, found := strings.Cut(name, "x")
	if side, square := strings.CutPrefix(name, "square-"); square {
		a, b, found = side, side, true
	}
	width, err1 := strconv.ParseFloat(a, 64)
	height, err2 := strconv.ParseFloat(b, 64)
	return width, height, found && err1 == nil && err2 == nil
}

func garmentWords(k goods.Kind) string { return k.Info().Words }

// garmentDensity returns g/cm² of a kind, or jerseyDensity's.
func garmentDensity(k goods.Kind) float64 {
	if d := k.Info().Density.Value; d > 0 {
		return d / 1e4
	}
	return jerseyDensity
}

func rectangle(w, h float64) []Point { return []Point{{0, 0}, {w, 0}, {w, h}, {0, h}} }

// tee returns the outline of a tee with sleeves that slope down.
func tee(m [5]float64) []Point {
	w, l, sleeve, cuff, neck := m[0], m[1], m[2], m[3], m[4]
	left, right, mid := sleeve*0.9, sleeve*0.9+w, sleeve*0.9+w/2
	drop := sleeve * 0.55 // how far the cuff's top is below the shoulder
	return []Point{
		{mid - neck/2, 0}, {mid - neck/4, neck * 0.16}, {mid, neck * 0.2}, {mid + neck/4, neck * 0.16}, {mid + neck/2, 0},
		{right, 4}, {right + sleeve*0.9, 4 + drop}, {right + sleeve*0.9 - cuff*0.5, 4 + drop + cuff*0.87}, {right, 4 + cuff*1.25},
		{right, l}, {left, l}, {left, 4 + cuff*1.25}, {left - sleeve*0.9 + cuff*0.5, 4 + drop + cuff*0.87}, {left - sleeve*0.9, 4 + drop}, {left, 4},
	}
}

// Area returns the area of one layer in cm², by the shoelace formula.
func (g Garment) Area() float64 {
	sum := 0.
	for i, p := range g.Outline {
		q := g.Outline[(i+1)%len(g.Outline)]
		sum += p.X*q.Y - q.X*p.Y
	}
	return math.Abs(sum) / 2
}

// Grams returns the dry weight of all layers.
func (g Garment) Grams() float64 { return g.Area() * float64(g.Layers) * g.Density }

// bounds returns the corners of the box around the outline.
func (g Garment) bounds() (low, high Point) {
	low, high = g.Outline[0], g.Outline[0]
	for _, p := range g.Outline {
		low = Point{min(low.X, p.X), min(low.Y, p.Y)}
		high = Point{max(high.X, p.X), max(high.Y, p.Y)}
	}
	return low, high
}

// outlineCrossings returns the x at which a horizontal line at y crosses the outline, ascending.
func (g Garment) outlineCrossings(y float64, into []float64) []float64 {
	into = into[:0]
	for i, p := range g.Outline {
		q := g.Outline[(i+1)%len(g.Outline)]
		if (p.Y <= y) == (q.Y <= y) {
			continue
		}
		x := p.X + (y-p.Y)/(q.Y-p.Y)*(q.X-p.X)
		at := len(into)
		into = append(into, x)
		for at > 0 && into[at-1] > x {
			into[at] = into[at-1]
			at--
		}
		into[at] = x
	}
	return into
}

// farthest returns the distance from c to the farthest corner of the outline.
func (g Garment) farthest(c Point) float64 {
	far := 0.
	for _, p := range g.Outline {
		far = max(far, math.Hypot(p.X-c.X, p.Y-c.Y))
	}
	return far
}
