package fold

import "math"

// The folds with a centre: spiral, double spiral, rings, radial pleats.

// spiral turns the cloth about its centre, most in the middle, and lets it stand up in
// pleats between the two faces of a disc.
func (f Fold) spiral(g Garment, c Point, n noise) (bundleShape, foldMap) {
	far := g.farthest(c)
	radius := discRadius(g, far)
	s := bundleShape{width: 2 * radius, height: 2 * radius, isDisc: true}
	return s, func(x, y float64, layer int) bundlePoint {
		return f.twistPoint(x-c.X, y-c.Y, layer, far, radius, n)
	}
}

// twistPoint returns the place of a point (x, y) from the centre of one spiral.
func (f Fold) twistPoint(x, y float64, layer int, far, radius float64, n noise) bundlePoint {
	r := math.Hypot(x, y)
	theta := math.Atan2(y, x)
	turn := 2 * math.Pi * f.turns() * math.Pow(max(1-r/far, 0), 0.8)
	wander := 0.10*n.valueAt(x/7, y/7) + 0.05*n.valueAt(x/3+50, y/3) // radians: no hand turns evenly
	t, gather := f.pleatAt(theta+0.3*turn, r, layer, n)
	phi := theta + turn + wander + gather
	rho := radius * min(r/far*(1+0.035*n.valueAt(x/6+90, y/6)), 1)
	return bundlePoint{radius + rho*math.Cos(phi), radius + rho*math.Sin(phi), t}
}

// innermost is the number of pleats about a centre, where they begin.
const innermost = 3

// pleatAt returns the depth of a point in the pleats around a centre, and by how much its
// pleat gathers it, in radians. A ring of circumference 2πr zigzags about 2πr/2H times
// between the faces; outward the pleats fork in two. A pleat is two walls that stand up
// from face to face, and the cloth of a wall lies at one angle of the bundle: therefore the
// edge between two colours comes out in teeth.
func (f Fold) pleatAt(theta, r float64, layer int, n noise) (t, gather float64) {
	count := math.Log2(max(2*math.Pi*r/(2*discHeight)/innermost, 1)) + 0.45*n.aroundCircle(theta, 7, 3)
	whole := max(math.Floor(count), 0)
	sway := 0.11*n.valueAt(r/5+theta, 7+theta*2) + 0.25*n.aroundCircle(theta, 11, int32(layer))
	pleats := innermost * math.Exp2(whole)
	x := theta/(2*math.Pi)*pleats + sway // no pleat is straight
	t, gather = zigzag(x), wallOffset(x)/pleats
	if fork := ramp(0.55, 0.95, count-whole); fork > 0 {
		t = (1-fork)*t + fork*zigzag(2*x)
		gather = (1-fork)*gather + fork*wallOffset(2*x)/(2*pleats)
	}
	return t + 0.02*n.valueAt(r+float64(layer)*31, theta*9), 0.8 * gather * ramp(1, 7, r)
}

// wallOffset returns the way from x, in pleats, to the middle of its wall, as an angle of one pleat in a turn.
func wallOffset(x float64) float64 {
	y := 2 * x
	return -(y - math.Floor(y) - 0.5) * math.Pi
}

// doubleSpiral has two centres, each to the left and right of c; each point goes to the nearer.
func (f Fold) doubleSpiral(g Garment, c Point, n noise) (bundleShape, foldMap) {
	low, high := g.bounds()
	apart := (high.X - low.X) * 0.22
	if high.Y-low.Y > 1.5*(high.X-low.X) {
		return f.doubleSpiralForLongPiece(g, c, n)
	}
	centers := [2]Point{{c.X - apart, c.Y}, {c.X + apart, c.Y}}
	return f.twoSpirals(g, centers, func(x, y float64) float64 { return x - c.X }, n)
}

// doubleSpiralForLongPiece is doubleSpiral for a long piece, with one centre above the other.
func (f Fold) doubleSpiralForLongPiece(g Garment, c Point, n noise) (bundleShape, foldMap) {
	low, high := g.bounds()
	apart := (high.Y - low.Y) * 0.22
	centers := [2]Point{{c.X, c.Y - apart}, {c.X, c.Y + apart}}
	return f.twoSpirals(g, centers, func(x, y float64) float64 { return y - c.Y }, n)
}

func (f Fold) twoSpirals(g Garment, centers [2]Point, side func(x, y float64) float64, n noise) (bundleShape, foldMap) {
	far := max(g.farthest(centers[0]), g.farthest(centers[1])) * 0.75
	radius := discRadius(g, far) / math.Sqrt2
	s := bundleShape{width: 4 * radius, height: 2 * radius, isDisc: false}
	return s, func(x, y float64, layer int) bundlePoint {
		k := 0
		if side(x, y)+2.5*n.valueAt(x/8, y/8) > 0 {
			k = 1
		}
		dx, dy := x-centers[k].X, y-centers[k].Y
		if k == 1 {
			dx = -dx // the second is turned the other way
		}
		p := f.twistPoint(dx, dy, layer, far, radius, noise{n.seed + uint32(k)})
		p.u += float64(k) * 2 * radius
		return p
	}
}

// discRadius returns the radius of the disc into which cloth out to far is turned.
func discRadius(g Garment, far float64) float64 {
	return far * math.Sqrt(float64(g.Layers)*layerThickness/(discHeight*packingShare))
}

// rings pulls the cloth up at its centre into a rope: u is the way along it, v the way
// around, and t the depth from its skin.
func (f Fold) rings(g Garment, c Point, n noise) (bundleShape, foldMap) {
	far := g.farthest(c)
	around := 2 * math.Pi * math.Sqrt(2*math.Pi*far*0.5*float64(g.Layers)*layerThickness/packingShare/math.Pi)
	s := bundleShape{width: far, height: around, isRope: true}
	return s, func(x, y float64, layer int) bundlePoint {
		r, theta := math.Hypot(x-c.X, y-c.Y), math.Atan2(y-c.Y, x-c.X)
		// The rope is not straight, and each wall of a pleat lies a little farther up or
		// down than the next: a ring comes out in rays.
		in, _ := f.pleatAt(theta, r, layer, n)
		walls := 2 * innermost * math.Exp2(math.Floor(math.Log2(max(2*math.Pi*r/(2*discHeight)/innermost, 1))))
		along := r*(1+0.045*n.aroundCircle(theta, 9, 1)) + (0.9*n.steps(theta, int(walls), 2)+0.5*n.aroundCircle(theta, 61, 4))*min(r/6, 1) + 0.3*n.valueAt(x/1.7, y/1.7)
		return bundlePoint{min(max(along, 0), far), (theta/(2*math.Pi) + 0.5) * around, in}
	}
}

// radial folds the circle in pleats as a paper fan about its centre.
func (f Fold) radial(g Garment, c Point, n noise) (bundleShape, foldMap) {
	far := g.farthest(c)
	count := float64(2 * f.pleats()) // each of the n parts is mirrored
	step := 2 * math.Pi / count
	s := bundleShape{width: far, height: far * math.Sin(min(step, math.Pi/2))}
	return s, func(x, y float64, layer int) bundlePoint {
		r, theta := math.Hypot(x-c.X, y-c.Y), math.Atan2(y-c.Y, x-c.X)+math.Pi
		theta += 0.03*n.valueAt(x/9, y/9) + 0.012*n.valueAt(x/2.5, y/2.5)
		k := math.Floor(theta / step)
		in := theta - k*step
		k = math.Mod(k+count, count)
		if int(k)%2 == 1 {
			in = step - in
		}
		t := (k + layerDepth(layer, g.Layers)) / count
		return bundlePoint{r * math.Cos(in), r * math.Sin(in), t}
	}
}
