package fold

import (
	"math"

	"coldbatch/internal/colour"
)

// Picture draws the opened cloth: layer 0 is the front, 1 the back, as RGBA bytes,
// Size × Size, clear where there is no cloth. A layer that the garment lacks gives nil.
func (c *DyedCloth) Picture(layer int, wet bool) []byte {
	if layer < 0 || layer >= c.Map.Garment.Layers {
		return nil
	}
	return c.draw(c.cells(wet), layer)
}

// Pictures draws both layers; the colours of the bundle are worked out once.
func (c *DyedCloth) Pictures(wet bool) (front, back []byte) {
	cells := c.cells(wet)
	front = c.draw(cells, 0)
	if c.Map.Garment.Layers > 1 {
		back = c.draw(cells, 1)
	}
	return front, back
}

// rgb is a colour of a cell, 0–255 each.
type rgb [3]float32

// cells works out the colour of every cell.
func (c *DyedCloth) cells(wet bool) []rgb {
	full := make([]colour.Spectrum, len(c.Dyeing.Colours))
	for k, x := range c.Dyeing.Colours {
		full[k] = x.FullSpectrum
	}
	painter := colour.NewPainter(full, wet)
	alone := paintAlone(painter, len(full))
	out := make([]rgb, len(c.Map.cloth))
	amounts := make([]float32, len(full))
	for i := range out {
		if c.Map.spreadCloth[i] < hardlyAny {
			continue // no cloth near
		}
		dyes, last := 0, 0
		for k := range amounts {
			if amounts[k] = c.dyeInCells[k][i]; amounts[k] > traceOfDye {
				dyes, last = dyes+1, k
			}
		}
		if step := int(amounts[last]*aloneSteps + 0.5); dyes < 2 && step < len(alone[last]) {
			out[i] = alone[last][step]
			continue
		}
		p := painter.Paint(amounts)
		out[i] = rgb{float32(p[0]), float32(p[1]), float32(p[2])}
	}
	c.fillEmpty(out)
	return out
}

// Most cells hold one dye alone: its colours are worked out once, in steps of 1/aloneSteps of
// full dye. Less than traceOfDye beside it is not seen.
const (
	aloneSteps = 240
	traceOfDye = 0.002
)

// paintAlone gives the colours of each dye alone, up to twice full.
func paintAlone(painter *colour.Painter, dyes int) [][2*aloneSteps + 1]rgb {
	tables := make([][2*aloneSteps + 1]rgb, dyes)
	amounts := make([]float32, dyes)
	for k := range tables {
		for step := range tables[k] {
			amounts[k] = float32(step) / aloneSteps
			p := painter.Paint(amounts)
			tables[k][step] = rgb{float32(p[0]), float32(p[1]), float32(p[2])}
		}
		amounts[k] = 0
	}
	return tables
}

// fillEmpty gives cells without cloth the colour of a neighbour, above or below, or else
// beside: a picture blends between cells, and no cloth is no colour.
func (c *DyedCloth) fillEmpty(cells []rgb) {
	m := c.Map
	columns := m.nu * m.nv
	isEmpty := make([]bool, len(cells))
	for i, s := range m.spreadCloth {
		isEmpty[i] = s < hardlyAny
	}
	copyFrom := func(i, j int) {
		if isEmpty[i] && !isEmpty[j] {
			cells[i], isEmpty[i] = cells[j], false
		}
	}
	for i := columns; i < len(cells); i++ {
		copyFrom(i, i-columns)
	}
	for i := len(cells) - columns - 1; i >= 0; i-- {
		copyFrom(i, i+columns)
	}
	for i := 1; i < len(cells); i++ {
		copyFrom(i, i-1)
	}
	for i := len(cells) - 2; i >= 0; i-- {
		copyFrom(i, i+1)
	}
}

// draw looks up each pixel of a layer between its eight neighbouring cells.
func (c *DyedCloth) draw(cells []rgb, layer int) []byte {
	m := c.Map
	pixels := m.pixels[layer]
	out := make([]byte, 4*len(pixels))
	nu, nv := m.nu, m.nv
	for i, p := range pixels {
		if p.u != p.u {
			continue
		}
		u0, u1, fu := neighbourWeights(p.u, nu, false)
		v0, v1, fv := neighbourWeights(p.v, nv, m.shape.isRope)
		t0, t1, ft := neighbourWeights(p.t, cellsPerColumn, false)
		a, b := (t0*nv+v0)*nu, (t0*nv+v1)*nu
		d, e := (t1*nv+v0)*nu, (t1*nv+v1)*nu
		w00, w01, w10, w11 := (1-fu)*(1-fv), fu*(1-fv), (1-fu)*fv, fu*fv
		near := [4]*rgb{&cells[a+u0], &cells[a+u1], &cells[b+u0], &cells[b+u1]}
		far := [4]*rgb{&cells[d+u0], &cells[d+u1], &cells[e+u0], &cells[e+u1]}
		o := out[4*i : 4*i+4 : 4*i+4]
		for k := range 3 {
			x := near[0][k]*w00 + near[1][k]*w01 + near[2][k]*w10 + near[3][k]*w11
			y := far[0][k]*w00 + far[1][k]*w01 + far[2][k]*w10 + far[3][k]*w11
			o[k] = byte(x + (y-x)*ft + 0.5)
		}
		o[3] = 255
	}
	return out
}

// neighbourWeights gives the two cells that a coordinate lies between and the weight of the
// second. Cell i has its middle at i+0.5; around a ring the last is beside the first.
func neighbourWeights(x float32, n int, ring bool) (i, j int, weight float32) {
	x -= 0.5
	if x < 0 {
		if ring {
			return n - 1, 0, 1 + x
		}
		return 0, 0, 0
	}
	i = int(x)
	if i >= n-1 {
		if ring {
			return n - 1, 0, x - float32(n-1)
		}
		return n - 1, n - 1, 0
	}
	return i, i + 1, x - float32(i)
}

// maxWhiteDye is the share of full dye below which cloth is called white.
const maxWhiteDye = 0.1

// WhiteShare gives the share of the cloth that stayed white, 0 to 1.
func (c *DyedCloth) WhiteShare() float64 {
	white := 0.
	for i, cloth := range c.Map.cloth {
		if cloth == 0 {
			continue
		}
		if c.amount(i) < maxWhiteDye {
			white += float64(cloth)
		}
	}
	return white / c.Map.totalArea
}

// ColourShares gives for each colour the share of the cloth on which there is most of it.
func (c *DyedCloth) ColourShares() []float64 {
	shares := make([]float64, len(c.dyeInCells))
	for i, cloth := range c.Map.cloth {
		if cloth == 0 {
			continue
		}
		most, at := float32(maxWhiteDye), -1
		for k := range c.dyeInCells {
			if c.dyeInCells[k][i] >= most {
				most, at = c.dyeInCells[k][i], k
			}
		}
		if at >= 0 {
			shares[at] += float64(cloth)
		}
	}
	for k := range shares {
		shares[k] /= c.Map.totalArea
	}
	return shares
}

// DyeVolume gives the mL of dye in the cloth.
func (c *DyedCloth) DyeVolume() float64 {
	sum := 0.
	for i, cloth := range c.Map.cloth {
		for k := range c.dyeInCells {
			sum += float64(cloth) * float64(c.dyeInCells[k][i])
		}
	}
	return sum * c.capacity()
}

// IsFinite says whether every amount is a number; a test and the command ask it.
func (c *DyedCloth) IsFinite() bool {
	for k := range c.dyeInCells {
		for _, x := range c.dyeInCells[k] {
			if math.IsNaN(float64(x)) || math.IsInf(float64(x), 0) {
				return false
			}
		}
	}
	return true
}
