package colour

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"coldbatch/internal/fault"
)

// planck is the power of a black body at t kelvin (Planck's law with c2 of CIE 015:
// 0.01438 m K); CIE illuminant A is that of 2855.6 K.
func planck(t float64) (s Spectrum) {
	for i := range s {
		l := wavelength(i) * 1e-9
		s[i] = 1e-35 / (math.Pow(l, 5) * math.Expm1(0.014388/(l*t)))
	}
	return s
}

// lamp is a white LED: a blue emitter, and a phosphor that is broad.
func lamp() (s Spectrum) {
	bell := func(x, at, wide float64) float64 { return math.Exp(-(x - at) * (x - at) / (2 * wide * wide)) }
	for i := range s {
		x := wavelength(i)
		s[i] = 0.9*bell(x, 452, 11) + bell(x, 560, 55) + 0.35*bell(x, 620, 40)
	}
	return s
}

// camera is three broad sensors, unlike the eye's, and the matrix by which it makes screen
// values: fitted to dyes in one light, as makers do for some lights.
type camera struct {
	sensors [3]Spectrum
	matrix  [3][3]float64
}

func newCamera(train []Spectrum, light Spectrum) camera {
	c := camera{}
	bell := func(x, at, wide float64) float64 { return math.Exp(-(x - at) * (x - at) / (2 * wide * wide)) }
	for i := range c.sensors[0] {
		x := wavelength(i)
		c.sensors[0][i] = bell(x, 605, 32) + 0.08*bell(x, 440, 20)
		c.sensors[1][i] = bell(x, 535, 42)
		c.sensors[2][i] = bell(x, 458, 28)
	}
	// The matrix that brings sensor values, balanced for the light, nearest to the linear sRGB
	// of daylight.
	var a [3][3]float64
	var b [3][3]float64
	white := c.raw(Spectrum{}.white(), light)
	for _, r := range train {
		raw := c.raw(r, light)
		xyz := r.XYZ()
		for i := range raw {
			raw[i] /= white[i]
		}
		var want [3]float64
		for k := range want {
			for m := range 3 {
				want[k] += xyzToSRGB[k][m] * xyz[m]
			}
		}
		for i := range 3 {
			for j := range 3 {
				a[i][j] += raw[i] * raw[j]
				b[i][j] += want[i] * raw[j]
			}
		}
	}
	inverse := invert(a)
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				c.matrix[i][j] += b[i][k] * inverse[k][j]
			}
		}
	}
	return c
}

func invert(m [3][3]float64) (out [3][3]float64) {
	minor := func(i, j int) float64 {
		r, s := []int{(i + 1) % 3, (i + 2) % 3}, []int{(j + 1) % 3, (j + 2) % 3}
		return m[r[0]][s[0]]*m[r[1]][s[1]] - m[r[0]][s[1]]*m[r[1]][s[0]]
	}
	det := m[0][0]*minor(0, 0) + m[0][1]*minor(0, 1) + m[0][2]*minor(0, 2)
	for i := range 3 {
		for j := range 3 {
			out[j][i] = minor(i, j) / det
		}
	}
	return out
}

func (c camera) raw(r, light Spectrum) (out [3]float64) {
	for i := range r {
		for k := range out {
			out[k] += c.sensors[k][i] * r[i] * light[i]
		}
	}
	return out
}

// shoot takes a picture, half card and half cloth. The camera balances the light by the share
// balance of the whole way, exposes the card to exposure, and adds noise. cast multiplies
// the channels, as a coloured wall or the phone's taste does.
func (c camera) shoot(rng *rand.Rand, cloth, light Spectrum, balance float64, cast [3]float64, exposure float64) Picture {
	card := Spectrum{}.white()
	for i := range card {
		card[i] = 0.87
	}
	white, day := c.raw(Spectrum{}.white(), light), c.raw(Spectrum{}.white(), daylight)
	value := func(r Spectrum) (rgb [3]float64) {
		raw := c.raw(r, light)
		for i := range raw {
			full, as := raw[i]/white[i], raw[i]/day[i]*day[1]/white[1]
			raw[i] = math.Pow(full, balance) * math.Pow(as, 1-balance)
		}
		for i := range rgb {
			for k := range raw {
				rgb[i] += c.matrix[i][k] * raw[k]
			}
			rgb[i] *= cast[i]
		}
		return rgb
	}
	top := value(card)
	gain := exposure / max(top[0], top[1], top[2])
	p := Picture{Width: 64, Height: 48, Pixels: make([]byte, 4*64*48)}
	for y := range p.Height {
		for x := range p.Width {
			rgb := value(card)
			if x >= p.Width/2 {
				rgb = value(cloth)
			}
			for k, v := range rgb {
				v *= gain * (1 + 0.03*rng.NormFloat64())
				v = min(max(v, 0), 1)
				u := 12.92 * v
				if v > 0.0031308 {
					u = 1.055*math.Pow(v, 1/2.4) - 0.055
				}
				p.Pixels[4*(y*p.Width+x)+k] = uint8(math.Round(255 * u))
			}
		}
	}
	return p
}

// knownColours are twelve colours whose reflectance is known: eight dyed cottons and four
// greys.
func knownColours(t *testing.T) (list []Spectrum) {
	t.Helper()
	for _, d := range []struct {
		name   string
		bonded float64
	}{{"red 2", 1.2}, {"yellow 86", 1}, {"blue 19", 1.5}, {"blue 21", 0.8}, {"orange 4", 1}, {"violet 5", 0.6}, {"red 2", 0.15}, {"blue 4", 0.5}} {
		dye, err := Find(d.name)
		if err != nil {
			t.Fatalf("%s: %v", d.name, err)
		}
		ks := AbsorptionOf(DyeAmount{dye, d.bonded})
		for i := range ks {
			ks[i] = ReflectanceFromKS(ks[i])
		}
		list = append(list, ks)
	}
	for _, grey := range []float64{0.06, 0.18, 0.4, 0.7} {
		s := Spectrum{}
		for i := range s {
			s[i] = grey
		}
		list = append(list, s)
	}
	return list
}

// A card of twelve known colours in three lights and a cast. The reflectances, the lights and
// the camera are computed, not measured; the reading knows none of them. The camera's matrix
// is fitted to other depths of the same kinds of dye.
func TestPhotoAgainstKnownColours(t *testing.T) {
	known := knownColours(t)
	var train []Spectrum
	for _, d := range Dyes() {
		ks := AbsorptionOf(DyeAmount{d, 0.7})
		for i := range ks {
			ks[i] = ReflectanceFromKS(ks[i])
		}
		train = append(train, ks)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	var all []float64
	within := 0
	for _, light := range []struct {
		name    string
		power   Spectrum
		balance float64
		cast    [3]float64
	}{
		{"daylight", daylight, 1, [3]float64{1, 1, 1}}, {"LED", lamp(), 0.9, [3]float64{1, 1, 1}}, {"tungsten", planck(2855.6), 0.85, [3]float64{1, 1, 1}},
		{"daylight with a cast", daylight, 1, [3]float64{1, 0.85, 0.7}},
	} {
		var of []float64
		c := newCamera(train, light.power)
		for _, r := range known {
			got, err := ReadPhoto(c.shoot(rng, r, light.power, light.balance, light.cast, 0.75), Spot{0.25, 0.5}, Spot{0.75, 0.5})
			if err != nil {
				t.Fatalf("%s: %v", light.name, err)
			}
			d := Difference(got.Lab, r.Lab())
			of, all = append(of, d), append(all, d)
			if d <= got.Error {
				within++
			}
		}
		slices.Sort(of)
		t.Logf("%-22s median %.1f, worst %.1f", light.name, of[len(of)/2], of[len(of)-1])
	}
	slices.Sort(all)
	median, ninety := all[len(all)/2], all[len(all)*9/10]
	covered := float64(within) / float64(len(all))
	t.Logf("all: median %.1f, 90 %% within %.1f, the ± covers %.0f %%", median, ninety, 100*covered)
	if median > 5 || ninety > 9 {
		t.Errorf("median %.2f, 90 %% within %.2f; at most 5 and 9", median, ninety)
	}
	if covered < 0.9 {
		t.Errorf("the stated ± covers %.0f %%, at least 90", 100*covered)
	}
}

// A plain picture, whatever its light: cloth like the card is as white as the card, and a
// picture or a spot that does not fit is refused with a sentence.
func TestPhotoBounds(t *testing.T) {
	plain := func(v [3]uint8) Picture {
		p := Picture{Width: 20, Height: 20, Pixels: make([]byte, 1600)}
		for i := range 400 {
			copy(p.Pixels[4*i:], v[:])
		}
		return p
	}
	middle := Spot{0.5, 0.5}
	for _, v := range [][3]uint8{{200, 200, 200}, {220, 190, 150}, {150, 160, 200}} {
		got, err := ReadPhoto(plain(v), middle, Spot{1, 1})
		if err != nil || math.Abs(got.Lab.A) > 0.1 || math.Abs(got.Lab.B) > 0.1 || math.Abs(got.Lab.L-94.7) > 0.2 {
			t.Errorf("%v: %+v %v", v, got, err)
		}
	}
	even, _ := ReadPhoto(plain([3]uint8{200, 200, 200}), middle, middle)
	cast, _ := ReadPhoto(plain([3]uint8{220, 190, 120}), middle, middle)
	if !(cast.Error > even.Error) || len(cast.Notes) == 0 || len(even.Notes) > 0 {
		t.Errorf("a cast: ± %g %v, without: ± %g", cast.Error, cast.Notes, even.Error)
	}
	for name, f := range map[string]func() error{
		"overexposed": func() error { _, err := ReadPhoto(plain([3]uint8{255, 250, 240}), middle, middle); return err },
		"dark":        func() error { _, err := ReadPhoto(plain([3]uint8{30, 30, 30}), middle, middle); return err },
		"short":       func() error { _, err := ReadPhoto(Picture{make([]byte, 10), 20, 20}, middle, middle); return err },
		"outside":     func() error { _, err := ReadPhoto(plain([3]uint8{200, 200, 200}), Spot{-0.1, 0}, middle); return err },
		"no number": func() error {
			_, err := ReadPhoto(plain([3]uint8{200, 200, 200}), middle, Spot{math.NaN(), 0})
			return err
		},
	} {
		if err := f(); !fault.Is(err, fault.Input) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
