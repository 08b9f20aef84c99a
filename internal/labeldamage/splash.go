package labeldamage

import (
	"math"
	"math/rand/v2"
	"slices"
)

// blob is a shape around a middle. reach is how far it extends in each direction, as a
// multiple of its size; size and position are in modules.
type blob struct {
	x, y, size float64
	reach      [1024]float64
}

// newBlob returns a blob with a random outline: a circle with two to seven waves around
// it, the longer ones higher.
func newBlob(r *rand.Rand) *blob {
	b := &blob{}
	for i := range b.reach {
		b.reach[i] = 1
	}
	for wave := 2; wave <= 7; wave++ {
		high, phase := r.NormFloat64()*0.28/float64(wave), randomAngle(r)
		for i := range b.reach {
			b.reach[i] += high * math.Cos(2*math.Pi*float64(wave*i)/float64(len(b.reach))+phase)
		}
	}
	for i := range b.reach {
		b.reach[i] = max(0.3, b.reach[i])
	}
	return b
}

// depth says how far x, y lies within b, in modules, along the line from its middle;
// negative outside.
func (b *blob) depth(x, y float64) float64 {
	x, y = x-b.x, y-b.y
	at := int((math.Atan2(y, x)/math.Pi+1)/2*float64(len(b.reach))) % len(b.reach)
	return b.size*b.reach[at] - math.Hypot(x, y)
}

// resizeToShare sets the size of b so that it covers a share of a square of side modules, to the
// nearest point of a grid of thirds of a module.
func (b *blob) resizeToShare(side int, share float64) {
	const fine = 3
	b.size = 1
	reached := make([]float64, 0, side*side*fine*fine) // how large b must be to cover a point
	for y := range side * fine {
		for x := range side * fine {
			u, v := (float64(x)+0.5)/fine, (float64(y)+0.5)/fine
			far := math.Hypot(u-b.x, v-b.y)
			reached = append(reached, far/(b.depth(u, v)+far))
		}
	}
	slices.Sort(reached)
	b.size = reached[int(share*float64(len(reached)))]
}

// sparesFinders reports whether b touches neither the finders of a symbol nor the light
// line around them: three squares of eight modules in its corners.
func (b *blob) sparesFinders(side int) bool {
	const step = 0.25
	far := float64(side - 8)
	for _, corner := range [][2]float64{{0, 0}, {far, 0}, {0, far}} {
		for y := 0.0; y <= 8; y += step {
			for x := 0.0; x <= 8; x += step {
				if b.depth(corner[0]+x, corner[1]+y) > -softEdge {
					return false
				}
			}
		}
	}
	return true
}

// softEdge says how far the soft edge of a splash extends to either side, in modules.
const softEdge = 0.3

// placeBlob returns a blob of kind k on a symbol, with a random share, outline and middle.
// Where the finders must be spared, it tries again until the blob spares them.
func placeBlob(side int, k DamageKind, r *rand.Rand) *blob {
	share := k.SplashFrom + (k.SplashTo-k.SplashFrom)*r.Float64()
	for {
		b := newBlob(r)
		b.x, b.y = r.Float64()*float64(side), r.Float64()*float64(side)
		b.resizeToShare(side, share)
		if !k.SparesFinders || b.sparesFinders(side) {
			return b
		}
	}
}

// dyeTransmittances are the shares of light that the strongest splash of a dye transmits to the paper
// and back: rust, deep yellow, blue-green, violet, black; invented.
var dyeTransmittances = []colour{{0.55, 0.12, 0.05}, {0.80, 0.50, 0.03}, {0.03, 0.35, 0.40}, {0.20, 0.06, 0.40}, {0.05, 0.05, 0.06}}

// dyeStrengths are the three strengths of a splash, as parts of that absorbance.
var dyeStrengths = []float64{1, 0.6, 0.3}

// splash covers part of the code that begins at the module at with a blob of kind k.
func (t *paperLabel) splash(at [2]int, k DamageKind, r *rand.Rand) {
	opaque := r.IntN(2) == 0
	cover := colour{float32(r.Float64()) * 0.8, float32(r.Float64()) * 0.8, float32(r.Float64()) * 0.8}
	through := dyeTransmittances[r.IntN(len(dyeTransmittances))]
	strength := dyeStrengths[r.IntN(len(dyeStrengths))]
	for i := range through {
		through[i] = float32(math.Pow(float64(through[i]), strength))
	}
	b := placeBlob(t.side, k, r)
	far := b.size*slices.Max(b.reach[:]) + softEdge
	from := func(at int, middle float64) int { return max(0, int((float64(at)+middle-far)*dotsPerModule)) }
	to := func(at int, middle float64, most int) int {
		return min(most, int((float64(at)+middle+far)*dotsPerModule)+1)
	}
	for y := from(at[1], b.y); y < to(at[1], b.y, t.h); y++ {
		for x := from(at[0], b.x); x < to(at[0], b.x, t.w); x++ {
			depth := b.depth((float64(x)+0.5)/dotsPerModule-float64(at[0]), (float64(y)+0.5)/dotsPerModule-float64(at[1]))
			if depth < -softEdge {
				continue
			}
			part := float32(min(1, (depth+softEdge)/(2*softEdge)))
			p := &t.pix[y*t.w+x]
			under := cover
			if !opaque {
				under = p.times(through)
			}
			for c := range p {
				p[c] += (under[c] - p[c]) * part
			}
		}
	}
}
