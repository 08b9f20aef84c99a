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
		k, u := pleat(d+0.05*width*n.valueAt(a/12, d/width/3), width, count)
		t := (k + layerIn(k, layer, g.Layers)) / count
		return bundlePoint{u, a, t + 0.01*n.valueAt(x/2, y/2)}
	}
}

// pleat gives the number of the pleat at distance d, from 0 up to count, and the
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

// layerIn puts the layers of a pleat at their depth in it: in every second pleat the
// front lies under the back.
func layerIn(k float64, layer, layers int) float64 {
	t := layerDepth(layer, layers)
	if int(k)%2 == 1 {
		return 1 - t
	}
	return t
}

// outlineRange gives the least and the largest distance of the outline along (dx, dy).
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
		k, u := pleat(d+0.03*width*n.valueAt(a/10, d/10), width, count)
		m, v := pleat(a+0.03*width*n.valueAt(a/10+40, d/10), width, second)
		inner := (k + layerIn(k, layer, g.Layers)) / count
		if int(m)%2 == 1 {
			inner = 1 - inner
		}
		t := (m + inner) / second
		if f.Kind == FoldedCorners && u+v > width {
			u, v = width-v, width-u
			t = min(t+0.5/total, 1)
		}
		return bundlePoint{u, v, t}
	}
}

// crumple scrunches the cloth together: many crooked folds one after the other. Each
// is a reflection and so keeps area; the facets between them come to lie at any depth.
func (f Fold) crumple(g Garment, n noise) (bundleShape, foldMap) {
	const folds = 7
	type line struct{ dx, dy, period, offset float64 }
	var lines [folds]line
	for i := range lines {
		angle := math.Pi * (float64(i)*0.382 + 0.35*n.unit(int32(i), 1))
		lines[i] = line{math.Cos(angle), math.Sin(angle), 17 - 1.2*float64(i) + 5*n.unit(int32(i), 2), 30 * n.unit(int32(i), 3)}
	}
	far := math.Sqrt(g.Area() * float64(g.Layers) * layerThickness / (discHeight * packingShare))
	s := bundleShape{width: far, height: far, isDisc: true}
	return s, func(x, y float64, layer int) bundlePoint {
		// Creases are crooked, and the two layers crease almost alike.
		off := float64(layer) * 0.4
		px := x + 2.6*n.valueAt(x/9+off, y/9) + 0.9*n.valueAt(x/3.5, y/3.5+off)
		py := y + 2.6*n.valueAt(x/9+70, y/9+off) + 0.9*n.valueAt(x/3.5+70+off, y/3.5)
		facet := uint32(17)
		depth := 0.
		for _, l := range lines {
			d := px*l.dx + py*l.dy + l.offset
			k := math.Floor(d / l.period)
			in := d - k*l.period
			facet = facet*31 + uint32(int32(k))
			if int(k)&1 != 0 {
				px, py = px-l.dx*(2*in-l.period), py-l.dy*(2*in-l.period)
				in = l.period - in
			}
			depth += in / l.period
		}
		base := noise{facet}.unit(3, 4)
		t := zigzag((base + 0.55*depth/folds*2.2) / 2 * 1.3)
		u := wrapInto(px*0.9+far*noise{facet}.unit(5, 6)*0.25, far)
		v := wrapInto(py*0.9+far*noise{facet}.unit(7, 8)*0.25, far)
		return bundlePoint{u, v, t}
	}
}

// wrapInto mirrors x at 0 and at size until it lies between them.
func wrapInto(x, size float64) float64 { return zigzag(x/(2*size)) * size }
