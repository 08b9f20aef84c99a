package colour

import (
	"math"
	"slices"

	"coldbatch/internal/fault"
	"coldbatch/internal/provenance"
)

// Picture is a photo as four bytes a pixel (red, green, blue, and one that is not used),
// row by row.
type Picture struct {
	Pixels        []byte
	Width, Height int
}

// Spot is a place in a picture, as shares of its width and height from the top left, 0 to 1.
type Spot struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

// PhotoColour is a colour read from a photo. Error is the ± as a difference by CIEDE2000:
// of ten readings nine are within it, where the card is white and both lie in the same light.
type PhotoColour struct {
	Lab   Lab
	RGB   [3]uint8
	Error float64
	Notes []string // what makes it rougher, in words
}

// The values of reading a photo.
var (
	// CardWhite is the reflectance of the card.
	CardWhite = provenance.Value{Name: "reflectance of a white card or office paper", Value: 0.87, Unit: "1", Low: 0.80, High: 0.92,
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement: white uncoated paper of L* about 94 to 96"}}
	// PhotoError is the ± of a reading in the best case.
	PhotoError = provenance.Value{Name: "± of a colour from a photo, in daylight", Value: 5.5, Unit: "ΔE00",
		Source: provenance.Source{Reliability: provenance.Judgement, Text: "judgement: within it lay nine of ten of 12 computed colours, seen by a computed camera in three lights and a cast; no camera was measured"}}
	spotRadius = 0.03 // of the shorter side
	clipped    = 251. // of 255: the camera saw more than it could write
	tooDark    = 70.  // of 255, of the card
)

// ReadPhoto reads the colour of the cloth at one spot of a picture against a white card at
// another. It takes the middle value of a disc at each spot, divides the light of the card
// out of it as the eye does (Bradford), and returns the ± by how strong the light's cast was,
// how bright the card, and how uneven each disc. It returns an Input fault for a picture
// or spots that do not fit, and for a card that is overexposed or too dark.
func ReadPhoto(p Picture, card, cloth Spot) (PhotoColour, error) {
	if p.Width < 16 || p.Height < 16 || p.Width > 4096 || p.Height > 4096 || len(p.Pixels) != 4*p.Width*p.Height {
		return PhotoColour{}, fault.New(fault.Input, "a picture of %d × %d pixels in %d bytes cannot be read", p.Width, p.Height, len(p.Pixels))
	}
	for _, s := range []Spot{card, cloth} {
		if !(s.X >= 0 && s.X <= 1 && s.Y >= 0 && s.Y <= 1) {
			return PhotoColour{}, fault.New(fault.Input, "the spot %.3g, %.3g is not in the picture", s.X, s.Y).WithHint("each from 0 to 1")
		}
	}
	white, cardSpread := p.disc(card)
	seen, clothSpread := p.disc(cloth)
	brightest, darkest := max(white[0], white[1], white[2]), min(white[0], white[1], white[2])
	switch {
	case brightest >= clipped:
		return PhotoColour{}, fault.New(fault.Input, "the card is overexposed").WithHint("take the photo again with less light, or tap a darker part of the card")
	case brightest < tooDark:
		return PhotoColour{}, fault.New(fault.Input, "the card is too dark").WithHint("take the photo again with more light, or tap the white card itself")
	}
	out := PhotoColour{Error: PhotoError.Value, Notes: []string{}}
	out.Lab = adapt(toCIE(seen), toCIE(white))
	// The cast: how far apart the channels of the card are.
	if cast := math.Log2(linearOf(brightest) / linearOf(darkest)); cast > 0.35 {
		out.Error += 2.2 * (cast - 0.35)
		out.Notes = append(out.Notes, "the light has a strong cast: daylight in the shade is better")
	}
	if brightest < 150 {
		out.Error += (150 - brightest) / 25
		out.Notes = append(out.Notes, "the photo is dark")
	}
	if cardSpread > 12 {
		out.Error += (cardSpread - 12) / 8
		out.Notes = append(out.Notes, "the card is unevenly lit")
	}
	if clothSpread > 25 {
		out.Error += (clothSpread - 25) / 12
		out.Notes = append(out.Notes, "the cloth is patchy there")
	}
	if max(seen[0], seen[1], seen[2]) >= clipped {
		out.Error += 4
		out.Notes = append(out.Notes, "the cloth is overexposed")
	}
	out.Error = math.Round(out.Error*2) / 2
	out.RGB, _ = out.Lab.SRGB()
	return out, nil
}

// disc returns the middle value of each channel in a disc, and how far nine of ten pixels
// of the widest channel spread.
func (p Picture) disc(s Spot) (middle [3]float64, spread float64) {
	r := max(2, int(spotRadius*float64(min(p.Width, p.Height))))
	cx, cy := min(p.Width-1, int(s.X*float64(p.Width))), min(p.Height-1, int(s.Y*float64(p.Height)))
	var channels [3][]uint8
	for y := max(0, cy-r); y <= min(p.Height-1, cy+r); y++ {
		for x := max(0, cx-r); x <= min(p.Width-1, cx+r); x++ {
			if (x-cx)*(x-cx)+(y-cy)*(y-cy) <= r*r {
				at := 4 * (y*p.Width + x)
				for k := range channels {
					channels[k] = append(channels[k], p.Pixels[at+k])
				}
			}
		}
	}
	for k, c := range channels {
		slices.Sort(c)
		n := len(c)
		// The mean of the middle half: between two steps of the camera.
		sum := 0.
		for _, v := range c[n/4 : n-n/4] {
			sum += float64(v)
		}
		middle[k] = sum / float64(n-n/4-n/4)
		spread = max(spread, float64(c[n-1-n/20])-float64(c[n/20]))
	}
	return middle, spread
}

// linearOf undoes the transfer curve for a value between two whole ones.
func linearOf(v float64) float64 {
	low := math.Floor(v)
	a, b := srgbToLinear(uint8(low)), srgbToLinear(uint8(min(255, low+1)))
	return a + (v-low)*(b-a)
}

// toCIE returns XYZ of photo values.
func toCIE(c [3]float64) (xyz [3]float64) {
	for i, row := range srgbToXYZ {
		for k, m := range row {
			xyz[i] += m * linearOf(c[k])
		}
	}
	return xyz
}

// BradfordSource is the source of the adaptation of a colour from one light to another.
var BradfordSource = provenance.Source{Reliability: provenance.Memory, Text: "the linear Bradford transform, as colour management uses it (ISO 15076-1, annex E)"}

// cone has the rows of the Bradford matrix, and fromCone those of its inverse.
var (
	cone     = [3][3]float64{{0.8951, 0.2664, -0.1614}, {-0.7502, 1.7135, 0.0367}, {0.0389, -0.0685, 1.0296}}
	fromCone = [3][3]float64{{0.9869929, -0.1470543, 0.1599627}, {0.4323053, 0.5183603, 0.0492912}, {-0.0085287, 0.0400428, 0.9684867}}
)

func multiply(m [3][3]float64, v [3]float64) (out [3]float64) {
	for i, row := range m {
		for k, x := range row {
			out[i] += x * v[k]
		}
	}
	return out
}

// adapt returns the colour that has the same relation to daylight as seen has to the light
// on the card.
func adapt(seen, card [3]float64) Lab {
	a, from, to := multiply(cone, seen), multiply(cone, card), multiply(cone, whitePoint)
	for i := range a {
		a[i] *= to[i] / max(from[i], 1e-6) * CardWhite.Value
	}
	xyz := multiply(fromCone, a)
	for i := range xyz {
		xyz[i] = max(xyz[i]/whitePoint[i], 0)
	}
	lab := labOf(xyz[0], xyz[1], xyz[2])
	lab.L = min(lab.L, 100)
	return lab
}
