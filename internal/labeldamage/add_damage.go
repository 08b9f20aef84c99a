package labeldamage

import (
	"math"
	"math/rand/v2"
)

// rotateLabel turns the label by any angle in its plane.
func rotateLabel(s *scene, r *rand.Rand) { s.roll = randomAngle(r) }

// bendAroundBag lays the tag around a bag 50 to 240 mm thick (common practice, no source).
// Its modules are half a millimetre, so the symbol covers 10 to 50° of the bag, in any
// direction; it is seen from up to 25° to the side.
func bendAroundBag(s *scene, r *rand.Rand) {
	s.radius = randomBetween(r, 25, 120) / 0.5
	s.axis = randomAngle(r)
	s.tilt = randomBetween(r, 0, 25) * math.Pi / 180
}

// crease is a fold that was smoothed out. The paper beyond its line is shifted along it,
// and a little of the paper is hidden in it; the fold is dark, and its two sides face the
// light differently.
type crease struct {
	x, y, direction float64 // a point on the fold line, and the direction of the line, in radians
	slip, hidden    float64
	width, dark     float64
	facing          float64
}

// bend returns the point of the flat tag that is seen at u, v, and its brightness.
func (c crease) bend(u, v float64, shade float32) (float64, float64, float32) {
	along, off := rotate(u-c.x, v-c.y, c.direction)
	beyond, line := 0.0, 0.0 // beyond: 0 before the fold line, 1 after it; line: 1 on it
	switch far := off / c.width; {
	case far > 4:
		beyond = 1
	case far > -4:
		beyond, line = 1/(1+math.Exp(-8*far)), math.Exp(-far*far)
	}
	along += c.slip * (beyond - 0.5)
	off += c.hidden * (beyond - 0.5)
	u, v = rotate(along, off, -c.direction)
	return u + c.x, v + c.y, shade * float32((1+c.facing*(beyond-0.5))*(1-c.dark*line))
}

// drawCreases adds one to three creases across the symbol.
func drawCreases(s *scene, r *rand.Rand) {
	for range 1 + r.IntN(3) {
		at, side := s.label.codes[0], float64(s.label.side)
		s.creases = append(s.creases, crease{
			x: float64(at[0]) + randomBetween(r, 0.15, 0.85)*side, y: float64(at[1]) + randomBetween(r, 0.15, 0.85)*side, direction: randomAngle(r),
			slip: randomBetween(r, -0.6, 0.6), hidden: randomBetween(r, 0, 0.6),
			width: randomBetween(r, 0.3, 0.8), dark: randomBetween(r, 0.4, 0.9), facing: randomBetween(r, -0.5, 0.5),
		})
	}
}

// blurPicture makes half of the pictures out of focus, by a Gaussian of 0.3 to 0.6 modules,
// and blurs the other half by a motion of 0.8 to 1.6 modules.
func blurPicture(s *scene, r *rand.Rand) {
	if r.IntN(2) == 0 {
		s.blur = randomBetween(r, 0.3, 0.6)
	} else {
		s.motion, s.motionAngle = randomBetween(r, 0.8, 1.6), randomAngle(r)
	}
}

// drawGlare adds the reflection of a lamp in the wet film over the symbol: a white ellipse
// of 2 to 8 % of its area, with a fringe. It may lie on a finder.
func drawGlare(s *scene, r *rand.Rand) {
	side := float64(s.label.side)
	area, long, to := randomBetween(r, 0.02, 0.08)*side*side, randomBetween(r, 1, 3), randomAngle(r)
	a := math.Sqrt(area * long / math.Pi)
	b := a / long
	mx := float64(s.label.codes[0][0]) - s.x + side*r.Float64()
	my := float64(s.label.codes[0][1]) - s.y + side*r.Float64()
	s.glare = func(x, y float64) float64 {
		x, y = rotate(x-mx, y-my, to)
		off := math.Hypot(x/a, y/b)
		return min(1.2, 1.2*math.Exp(-(off-1)*5))
	}
}

// shadePicture lets the light fall to between a half and a twentieth across the picture, and
// adds the edge of a shadow over the symbol to half of the pictures.
func shadePicture(s *scene, r *rand.Rand) {
	fall, to := math.Log(randomBetween(r, 2, 20)), randomAngle(r)
	shadow, wide := 1.0, randomBetween(r, 0.005, 0.05)
	if r.IntN(2) == 0 {
		shadow = randomBetween(r, 0.2, 0.5)
	}
	at, along := randomBetween(r, -0.15, 0.15), randomAngle(r)
	s.light = func(x, y float64) float64 {
		across, _ := rotate(x, y, to)
		off, _ := rotate(x, y, along)
		return 0.9 * math.Exp(-fall*(across+0.5)) * (1 - (1-shadow)/(1+math.Exp(-(off-at)/wide)))
	}
}

// drawWetFilm covers the label with a film that reflects some light and absorbs some,
// tinted by dye. The paper keeps 1.3 to 3 times the light of the print.
func drawWetFilm(s *scene, r *rand.Rand) {
	s.filmTransmission = randomBetween(r, 0.2, 0.6)
	s.tint = dyeTransmittances[r.IntN(len(dyeTransmittances))]
	for k := range s.tint {
		s.tint[k] = 0.3 + 0.7*s.tint[k]
	}
	contrast := randomBetween(r, 1.3, 3)
	bright, dark := float64(0), float64(0)
	for k, part := range []float64{0.2126, 0.7152, 0.0722} {
		bright += part * s.filmTransmission * float64(paperReflectance[k]*s.tint[k])
		dark += part * s.filmTransmission * float64(tonerReflectance[k]*s.tint[k])
	}
	s.filmLight = max(0, (bright-contrast*dark)/(contrast-1))
}
