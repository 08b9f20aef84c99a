package labeldamage

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"

	"coldbatch/internal/sheet"
)

// Picture is a photo: red, green and blue, 8 bits each, row by row.
type Picture struct {
	W, H int
	Pix  []byte
}

// Write writes p as a PPM file.
func (p *Picture) Write(w io.Writer) error {
	_, err := fmt.Fprintf(w, "P6\n%d %d\n255\n", p.W, p.H)
	if err == nil {
		_, err = w.Write(p.Pix)
	}
	return err
}

// scene is a label and how the camera sees it. Lengths are in modules, angles in radians.
type scene struct {
	label                       *paperLabel
	x, y                        float64 // the point of the tag in the middle of the picture
	w, h                        float64 // the size of the picture, if the camera looks at it squarely
	px                          float64 // pixels a module
	roll, tilt                  float64 // turned in its plane; leaned away
	tiltDirection               float64 // in which direction it leans
	radius, axis                float64 // of the bag that the tag lies around, 0 if flat; direction of its axis
	creases                     []crease
	blur                        float64 // standard deviation of the lens's blur
	motion, motionAngle         float64 // how far the hand moved, and in which direction
	light                       func(x, y float64) float64
	glare                       func(x, y float64) float64 // light added, of the paper's
	filmLight, filmTransmission float64                    // light of a wet film over everything; how much of the tag comes through
	tint                        colour
	noise                       float64 // standard deviation, of 255
}

func randomBetween(r *rand.Rand, low, high float64) float64 { return low + (high-low)*r.Float64() }
func randomAngle(r *rand.Rand) float64                      { return r.Float64() * 2 * math.Pi }

// newScene returns a scene of a label without damage, seen under ordinary conditions.
func newScene(t *paperLabel, r *rand.Rand) *scene {
	whole := float64(t.side + 2*sheet.QuietZone)
	s := &scene{
		label: t, px: randomBetween(r, 3, 5),
		x: float64(t.codes[0][0]) + float64(t.side)/2 + randomBetween(r, -0.1, 0.1)*whole,
		y: float64(t.h)/dotsPerModule/2 + randomBetween(r, -0.1, 0.1)*whole,
		w: 1.6 * whole, h: 1.6 * whole,
		roll: randomBetween(r, -8, 8) * math.Pi / 180, tilt: randomBetween(r, 0, 10) * math.Pi / 180, tiltDirection: randomAngle(r),
		blur: randomBetween(r, 0.08, 0.16), filmTransmission: 1, tint: colour{1, 1, 1}, noise: randomBetween(r, 1, 4),
	}
	if len(t.codes) > 1 {
		s.h = 2.6 * whole
	}
	slope := randomBetween(r, 0, 0.25)
	sin, cos := math.Sincos(randomAngle(r))
	s.light = func(x, y float64) float64 { return 0.95 + slope*(x*cos+y*sin) }
	s.glare = func(x, y float64) float64 { return 0 }
	return s
}

// cameraView is the camera of a scene: its eye and the rotation of a ray, both in the tag's
// coordinates, with the axis of the bag along the second axis.
type cameraView struct {
	eye      [3]float64
	axes     [3][3]float64 // what the picture's axes become
	radius   float64
	sin, cos float64 // of the axis
	x, y     float64
}

// view works out the camera. Its eye is four picture widths away.
func (s *scene) view() *cameraView {
	v := &cameraView{radius: s.radius, x: s.x, y: s.y}
	v.sin, v.cos = math.Sincos(s.axis)
	for i := range v.axes {
		var p [3]float64
		p[i] = 1
		p[0], p[1] = rotate(p[0], p[1], s.roll+s.tiltDirection)
		p[1], p[2] = rotate(p[1], p[2], s.tilt)
		p[0], p[1] = rotate(p[0], p[1], s.axis-s.tiltDirection)
		v.axes[i] = p
	}
	for k := range v.eye {
		v.eye[k] = -4 * s.w * v.axes[2][k]
	}
	return v
}

// labelPointAt returns the point of the tag that is seen at a point of the picture; both are in
// modules, the latter from the picture's middle. ok is false where the ray misses the tag.
func (v *cameraView) labelPointAt(x, y float64) (across, down float64, ok bool) {
	var ray [3]float64
	for k := range ray {
		ray[k] = x*v.axes[0][k] + y*v.axes[1][k] - v.eye[k]
	}
	if v.radius == 0 {
		along := -v.eye[2] / ray[2]
		across, down = v.eye[0]+along*ray[0], v.eye[1]+along*ray[1]
	} else { // its near side is where the flat tag would be
		ez := v.eye[2] - v.radius
		a := ray[0]*ray[0] + ray[2]*ray[2]
		b := v.eye[0]*ray[0] + ez*ray[2]
		under := b*b - a*(v.eye[0]*v.eye[0]+ez*ez-v.radius*v.radius)
		if under < 0 {
			return 0, 0, false
		}
		along := (-b - math.Sqrt(under)) / a
		across = v.radius * math.Atan2(v.eye[0]+along*ray[0], -(ez+along*ray[2]))
		down = v.eye[1] + along*ray[1]
	}
	return v.x + across*v.cos - down*v.sin, v.y + down*v.cos + across*v.sin, true
}

// rotate returns the coordinates of x, y in axes that are turned by an angle.
func rotate(x, y, by float64) (float64, float64) {
	sin, cos := math.Sincos(by)
	return x*cos + y*sin, y*cos - x*sin
}

// takePicture renders the scene.
func (s *scene) takePicture(r *rand.Rand) *Picture {
	w, h := int(s.w*s.px), int(s.h*s.px)
	seen := make([]colour, w*h)
	ground, v := newBackground(r), s.view()
	const fine = 2 // samples a pixel, each way
	for py := range h {
		for px := range w {
			var sum colour
			misses := float32(0)
			for i := range fine * fine {
				x := (float64(px) + (float64(i%fine)+0.5)/fine - float64(w)/2) / s.px
				y := (float64(py) + (float64(i/fine)+0.5)/fine - float64(h)/2) / s.px
				c, hit := s.colourAt(v, x, y)
				if !hit {
					misses++
				}
				for k := range sum {
					sum[k] += c[k]
				}
			}
			if misses > 0 {
				under := ground.at((float64(px)-float64(w)/2)/s.px, (float64(py)-float64(h)/2)/s.px)
				for k := range sum {
					sum[k] += misses * under[k]
				}
			}
			x, y := float64(px)/float64(w)-0.5, float64(py)/float64(h)-0.5
			light := float32(max(0, s.light(x, y)) * s.filmTransmission / (fine * fine))
			over := float32(s.filmLight + s.glare((float64(px)-float64(w)/2)/s.px, (float64(py)-float64(h)/2)/s.px))
			for k := range sum {
				seen[py*w+px][k] = sum[k]*light*s.tint[k] + over
			}
		}
	}
	seen = blur(seen, w, h, s.blur*s.px)
	if s.motion > 0 {
		seen = motionBlur(seen, w, h, s.motion*s.px, s.motionAngle)
	}
	p := &Picture{W: w, H: h, Pix: make([]byte, 3*w*h)}
	for i, c := range seen {
		for k := range c {
			p.Pix[3*i+k] = byte(min(255, max(0, encodeSRGB(c[k])+s.noise*r.NormFloat64()+0.5)))
		}
	}
	return p
}

// colourAt returns the reflectance at a point of the picture, if the tag is there.
func (s *scene) colourAt(see *cameraView, x, y float64) (colour, bool) {
	u, v, ok := see.labelPointAt(x, y)
	if !ok {
		return colour{}, false
	}
	shade := float32(1)
	for _, c := range s.creases {
		u, v, shade = c.bend(u, v, shade)
	}
	du, dv := int(math.Floor(u*dotsPerModule)), int(math.Floor(v*dotsPerModule))
	if du < 0 || dv < 0 || du >= s.label.w || dv >= s.label.h {
		return colour{}, false
	}
	c := s.label.pix[dv*s.label.w+du]
	return colour{c[0] * shade, c[1] * shade, c[2] * shade}, true
}

// srgbEncodeTable is the transfer of sRGB for 4096 steps of light, to 255 (IEC 61966-2-1, from
// memory).
var srgbEncodeTable = func() (to [4096]float64) {
	for i := range to {
		v := float64(i) / 4095
		if v <= 0.0031308 {
			to[i] = 255 * 12.92 * v
		} else {
			to[i] = 255 * (1.055*math.Pow(v, 1/2.4) - 0.055)
		}
	}
	return to
}()

func encodeSRGB(v float32) float64 { return srgbEncodeTable[int(min(1, max(0, v))*4095+0.5)] }

// background is the dark, wet bag under a tag: folds in two directions.
type background struct {
	phaseDown, waveDown, phaseAcross, waveAcross float64
	tint                                         colour
}

func newBackground(r *rand.Rand) background {
	tinge := 0.5 * math.Sin(randomAngle(r))
	return background{randomAngle(r), randomBetween(r, 0.1, 0.5), randomAngle(r), randomBetween(r, 0.1, 0.5), colour{float32(1.1 + tinge), 0.8, float32(1.1 - tinge)}}
}

func (g background) at(x, y float64) colour {
	v := float32(0.12 + 0.06*math.Sin(g.waveDown*x+g.phaseDown) + 0.06*math.Sin(g.waveAcross*(y+0.3*x)+g.phaseAcross))
	return colour{v, v, v}.times(g.tint)
}

// blur blurs by a Gaussian of sigma pixels.
func blur(in []colour, w, h int, sigma float64) []colour {
	reach := int(math.Ceil(3 * sigma))
	kernel, sum := make([]float32, 2*reach+1), float32(0)
	for i := range kernel {
		kernel[i] = float32(math.Exp(-float64((i-reach)*(i-reach)) / (2 * sigma * sigma)))
		sum += kernel[i]
	}
	for i := range kernel {
		kernel[i] /= sum
	}
	out := in
	for _, step := range []int{1, w} { // across, then down
		next := make([]colour, len(out))
		for at := range out {
			place, most := at%w, w-1
			if step == w {
				place, most = at/w, h-1
			}
			c := &next[at]
			for i, part := range kernel {
				from := &out[at+step*(min(most, max(0, place+i-reach))-place)]
				c[0] += from[0] * part
				c[1] += from[1] * part
				c[2] += from[2] * part
			}
		}
		out = next
	}
	return out
}

// motionBlur blurs along a line of so many pixels.
func motionBlur(in []colour, w, h int, long, to float64) []colour {
	const steps = 15
	out := make([]colour, len(in))
	sin, cos := math.Sincos(to)
	for y := range h {
		for x := range w {
			var c colour
			for i := range steps {
				by := long * ((float64(i)+0.5)/steps - 0.5)
				at := bilinear(in, w, h, float64(x)+by*cos, float64(y)+by*sin)
				for k := range c {
					c[k] += at[k] / steps
				}
			}
			out[y*w+x] = c
		}
	}
	return out
}

// bilinear returns the colour between four pixels.
func bilinear(in []colour, w, h int, x, y float64) (c colour) {
	x, y = min(float64(w-1), max(0, x)), min(float64(h-1), max(0, y))
	x0, y0 := int(x), int(y)
	x1, y1 := min(w-1, x0+1), min(h-1, y0+1)
	fx, fy := float32(x-float64(x0)), float32(y-float64(y0))
	a, b, d, e := in[y0*w+x0], in[y0*w+x1], in[y1*w+x0], in[y1*w+x1]
	for k := range c {
		c[k] = (a[k]*(1-fx)+b[k]*fx)*(1-fy) + (d[k]*(1-fx)+e[k]*fx)*fy
	}
	return c
}
