package fold

import "math"

// The folds along straight lines: accordion, folded square and triangle, crumple.

// accordion folds the cloth in pleats along the direction (dx, dy): v runs along the
// pleats, u across one of them, and t counts them.
func (f Fold) accordion(g Garment, dx, dy float64, n noise) (bundleShape, foldMap) {
	across, along := outlineRange(g, dx, dy), outlineRange(g, -dy, dx)
	count := float64(f.pleats())
	width := (across[1] - across[0]) / count
	s := bundleShape{width: width, height: along[1] - along[0]}
	return s, func(x, y float64, layer int) bundlePoint {
		d, a := x*dx+y*dy-across[0], -x*dy+y*dx-along[0]
		// No fold line is quite straight, nor where it should be.
		line := math.Floor(d / width)
		before, after := n.unit(int32(line), 9), n.unit(int32(line)+1, 9)
		placed := 2*(before+(after-before)*(d/width-line)) - 1
		wander := 0.05*width*n.valueAt(a/12, d/width/3) + 0.06*width*placed + 0.12*n.valueAt(a/1.5, d/1.5)
		_, u := pleat(d+wander, width, count)
		t := depthAcross(d+wander, width, count, func(k float64) float64 { return k + layerIn(k, layer, g.Layers) }) / count
		return bundlePoint{u, a, t + 0.01*n.valueAt(x/2, y/2)}
	}
}

// pleat returns the number of the pleat at distance d, from 0 up to count, and the
// distance within it, mirrored in every second one.
func pleat(d, width, count float64) (k, u float64) {
	d = min(max(d, 0), width*count*(1-1e-9))
	k = math.Floor(d / width)
	u = d - k*width
	if int(k)%2 == 1 {
		u = width - u
	}
	return k, u
}

// bendWidth says how far beside a fold line cloth bends over from one pleat to the next, in cm (judgement).
const bendWidth = 0.8

// depthAcross returns the depth at distance d; of returns the depth of a pleat. The depth changes gradually from one pleat
// to the next, since the cloth bends around the fold line.
func depthAcross(d, width, count float64, of func(k float64) float64) float64 {
	d = min(max(d, 0), width*count*(1-1e-9))
	k := math.Floor(d / width)
	line := math.Round(d / width)
	other := 2*line - k - 1 // the pleat on the other side of the nearest line
	if other < 0 || other >= count {
		return of(k)
	}
	share := 0.5 * (1 - ramp(0, min(bendWidth, width/3), math.Abs(d-line*width)))
	return (1-share)*of(k) + share*of(other)
}

// layerIn puts the layers of a pleat at their depth in it: in every second pleat the
// front lies under the back.
func layerIn(k float64, layer, layers int) float64 {
	t := layerDepth(layer, layers)
	if int(k)%2 == 1 {
		return 1 - t
	}
	return t
}

// outlineRange returns the least and the largest distance of the outline along (dx, dy).
func outlineRange(g Garment, dx, dy float64) [2]float64 {
	e := [2]float64{math.Inf(1), math.Inf(-1)}
	for _, p := range g.Outline {
		d := p.X*dx + p.Y*dy
		e = [2]float64{min(e[0], d), max(e[1], d)}
	}
	return e
}

// folded folds an accordion and then folds the strip again: into squares, or into
// triangles along its diagonals.
func (f Fold) folded(g Garment, n noise) (bundleShape, foldMap) {
	across, along := outlineRange(g, 0, 1), outlineRange(g, 1, 0)
	count := float64(f.pleats())
	width := (across[1] - across[0]) / count
	second := math.Ceil((along[1] - along[0]) / width)
	total := count * second
	s := bundleShape{width: width, height: width}
	return s, func(x, y float64, layer int) bundlePoint {
		d, a := y-across[0], x-along[0]
		across := d + 0.03*width*n.valueAt(a/10, d/10) + 0.15*n.valueAt(a/2, d/2)
		along := a + 0.03*width*n.valueAt(a/10+40, d/10) + 0.15*n.valueAt(a/2+40, d/2)
		_, u := pleat(across, width, count)
		_, v := pleat(along, width, second)
		inner := depthAcross(across, width, count, func(k float64) float64 { return k + layerIn(k, layer, g.Layers) }) / count
		t := depthAcross(along, width, second, func(m float64) float64 {
			if int(m)%2 == 1 {
				return m + 1 - inner
			}
			return m + inner
		}) / second
		if f.Kind == FoldedCorners && u+v > width {
			u, v = width-v, width-u
			t = min(t+0.5/total, 1)
		}
		return bundlePoint{u, v, t}
	}
}

// crumple gathers the cloth into a flat heap: what lay left in it lies left in the heap.
// Creases run in many directions, a few centimetres apart. Each folds the cloth back a
// little and up or down, and nowhere is the cloth torn, so that all goes over softly.
func (f Fold) crumple(g Garment, n noise) (bundleShape, foldMap) {
	const families = 4
	type crease struct{ dx, dy, period, offset, back, lift float64 }
	var all [families]crease
	for i := range all {
		angle := math.Pi * (float64(i)/families + 0.2*n.unit(int32(i), 1))
		period := 7 + 4*n.unit(int32(i), 2)
		all[i] = crease{math.Cos(angle), math.Sin(angle), period, 30 * n.unit(int32(i), 3), 0.45 * period, 0.5 + 0.5*n.unit(int32(i), 4)}
	}
	low, high := g.bounds()
	area := g.Area() * float64(g.Layers) * layerThickness / (discHeight * packingShare)
	wide := math.Sqrt(area * (high.X - low.X) / (high.Y - low.Y))
	s := bundleShape{width: wide, height: area / wide, isDisc: true}
	sx, sy := s.width/(high.X-low.X), s.height/(high.Y-low.Y)
	return s, func(x, y float64, layer int) bundlePoint {
		off := float64(layer) * 0.35 // the two layers crease almost alike
		px := x + 2.8*n.valueAt(x/8+off, y/8) + 1.1*n.valueAt(x/3+30, y/3+off)
		py := y + 2.8*n.valueAt(x/8+70, y/8+off) + 1.1*n.valueAt(x/3+70+off, y/3)
		u, v := (x-low.X)*sx, (y-low.Y)*sy
		depth := 1.1*n.valueAt(x/7+11, y/7+off) + 0.35*n.valueAt(x/2.6, y/2.6+off)
		for _, c := range all {
			z := zigzag((px*c.dx+py*c.dy+c.offset)/c.period) - 0.5
			u += c.back * c.dx * z
			v += c.back * c.dy * z
			depth += c.lift * z
		}
		return bundlePoint{wrapInto(u, s.width), wrapInto(v, s.height), 0.5 + depth/4}
	}
}

// wrapInto mirrors x at 0 and at size until it lies between them.
func wrapInto(x, size float64) float64 { return zigzag(x/(2*size)) * size }
