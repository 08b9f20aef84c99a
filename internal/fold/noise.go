package fold

import "math"

// noise is smooth random variation that is the same on every build: value noise over
// a lattice of hashed integers, without tables.
type noise struct{ seed uint32 }

// hash mixes integers to 32 well-spread bits (the finalizer of MurmurHash3, public domain).
func (n noise) hash(x, y int32) uint32 {
	h := n.seed ^ uint32(x)*0x9E3779B1 ^ uint32(y)*0x85EBCA77
	h ^= h >> 16
	h *= 0x85EBCA6B
	h ^= h >> 13
	h *= 0xC2B2AE35
	return h ^ h>>16
}

// unit returns a number from 0 up to 1 for a lattice point.
func (n noise) unit(x, y int32) float64 { return float64(n.hash(x, y)) / (1 << 32) }

// valueAt returns smooth noise from −1 to 1 with features about 1 wide.
func (n noise) valueAt(x, y float64) float64 {
	fx, fy := math.Floor(x), math.Floor(y)
	ix, iy := int32(fx), int32(fy)
	sx, sy := smooth(x-fx), smooth(y-fy)
	a, b := n.unit(ix, iy), n.unit(ix+1, iy)
	c, d := n.unit(ix, iy+1), n.unit(ix+1, iy+1)
	top, bottom := a+(b-a)*sx, c+(d-c)*sx
	return 2*(top+(bottom-top)*sy) - 1
}

// aroundCircle is noise along a closed ring: theta in radians, knots of them around it.
func (n noise) aroundCircle(theta float64, knots int, row int32) float64 {
	x := theta / (2 * math.Pi) * float64(knots)
	fx := math.Floor(x)
	wrap := func(i float64) int32 {
		k := int32(math.Mod(i, float64(knots)))
		if k < 0 {
			k += int32(knots)
		}
		return k
	}
	a, b := n.unit(wrap(fx), row), n.unit(wrap(fx+1), row)
	return 2*(a+(b-a)*smooth(x-fx)) - 1
}

// steps is noise along a closed ring that jumps from one of count stretches to the next,
// with soft edges.
func (n noise) steps(theta float64, count int, row int32) float64 {
	x := theta / (2 * math.Pi) * float64(count)
	fx := math.Floor(x)
	wrap := func(i float64) int32 { return int32(i - math.Floor(i/float64(count))*float64(count)) }
	a, b := n.unit(wrap(fx), row), n.unit(wrap(fx+1), row)
	return 2*(a+(b-a)*ramp(0.72, 1, x-fx)) - 1
}

// smooth is 3x²−2x³, from 0 to 1.
func smooth(x float64) float64 { return x * x * (3 - 2*x) }

// ramp is smooth from 0 at low to 1 at high.
func ramp(low, high, x float64) float64 {
	return smooth(min(max((x-low)/(high-low), 0), 1))
}

// zigzag is a triangle wave of period 1 from 0 (at whole numbers) to 1.
func zigzag(x float64) float64 {
	x -= math.Floor(x)
	return 1 - math.Abs(2*x-1)
}
