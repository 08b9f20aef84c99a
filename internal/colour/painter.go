package colour

import "math"

// paintBands is the number of bands that a Painter works with: 380, 407, … 780 nm. With
// sixteen a colour is off by less than a unit of CIEDE2000.
const paintBands = 16

// Painter works out screen colours of cloth fast, for pictures: many amounts of the same
// few dyes. Make one with NewPainter.
type Painter struct {
	base    [paintBands]float32 // K/S of undyed cotton
	dyes    [][paintBands]float32
	weights [paintBands][3]float32 // to linear sRGB
}

// NewPainter makes a painter for cloth, dry or wet, that holds amounts of full, each
// the K/S that one unit of it adds to white cotton.
func NewPainter(full []Spectrum, wet bool) *Painter {
	p := &Painter{dyes: make([][paintBands]float32, len(full))}
	factor := 1.
	if wet {
		factor = wetFactor.Value
	}
	at := func(s Spectrum, k int) float32 {
		x := float64(k) * (SpectrumBands - 1) / (paintBands - 1)
		i := min(int(x), SpectrumBands-2)
		return float32(factor * (s[i] + (x-float64(i))*(s[i+1]-s[i])))
	}
	for k := range paintBands {
		p.base[k] = at(cottonKS, k)
		for d := range full {
			p.dyes[d][k] = at(full[d], k)
		}
	}
	for i := range SpectrumBands { // a reflectance between two bands is taken as a straight line
		x := float64(i) * (paintBands - 1) / (SpectrumBands - 1)
		k := min(int(x), paintBands-2)
		f := x - float64(k)
		for c := range 3 {
			w := 0.
			for m := range 3 {
				w += xyzToSRGB[c][m] * weights[i][m] / whiteXYZ[m] * whitePoint[m]
			}
			p.weights[k][c] += float32(w * (1 - f))
			p.weights[k+1][c] += float32(w * f)
		}
	}
	return p
}

// Paint returns the screen colour, 0–255 each, of cloth that holds amounts of the
// painter's dyes. Colours that a screen cannot show are cut at the gamut's edge.
func (p *Painter) Paint(amounts []float32) (rgb [3]uint8) {
	all := p.base
	for d := range p.dyes {
		dye, amount := &p.dyes[d], amounts[d]
		if amount == 0 {
			continue
		}
		for k := range all {
			all[k] += dye[k] * amount
		}
	}
	var r, g, b float32
	for k, ks := range all {
		q := 1 / (1 + ks + float32(math.Sqrt(float64(ks*(ks+2)))))
		w := &p.weights[k]
		r += q * w[0]
		g += q * w[1]
		b += q * w[2]
	}
	return [3]uint8{encodeFast(r), encodeFast(g), encodeFast(b)}
}

// encodeFast does what encodeOne does, by a table, to within one step of 255.
func encodeFast(v float32) uint8 {
	return encodeTable[int(min(max(v, 0), 1)*(encodeSteps-1)+0.5)]
}

const encodeSteps = 4096

var encodeTable = func() (t [encodeSteps]uint8) {
	for i := range t {
		t[i] = encodeOne(float64(i) / (encodeSteps - 1))
	}
	return t
}()
