package fold

import (
	"encoding/binary"
	"math"
	"slices"
)

// Picture draws the opened cloth: layer 0 is the front, 1 the back, as RGBA bytes,
// Size × Size, clear where there is no cloth. A layer that the garment lacks returns nil.
func (c *DyedCloth) Picture(layer int, wet bool) []byte {
	if layer < 0 || layer >= c.Map.Garment.Layers {
		return nil
	}
	out := make([]byte, 4*len(c.Map.pixels[layer]))
	c.draw(c.cells(wet), layer, out)
	return out
}

// Pictures draws the front and, where there is one, the back after it, into the memory of buffer as far as
// that is large enough; the colours of the bundle are worked out once.
func (c *DyedCloth) Pictures(wet bool, buffer []byte) []byte {
	n := 4 * c.Map.Size * c.Map.Size
	out := slices.Grow(buffer[:0], n*c.Map.Garment.Layers)[:n*c.Map.Garment.Layers]
	cells := c.cells(wet)
	for layer := range c.Map.Garment.Layers {
		c.draw(cells, layer, out[n*layer:][:n])
	}
	return out
}

// lanes are the three channels of a colour in one number, so that one multiplication blends all: 21 bits
// each, red lowest, a channel from 0 to 255 in sixteenths.
type lanes uint64

const (
	greenLane   = 21
	blueLane    = 42
	sixteenth   = 4 // bits
	laneOnes    = 1 | 1<<greenLane | 1<<blueLane
	laneMask    = (1<<(greenLane-weightBits) - 1) * laneOnes
	weightBits  = 8
	mostWeights = 1<<weightBits - 1
)

func lanesOf(rgb [3]uint8) lanes {
	return lanes(rgb[0])<<sixteenth | lanes(rgb[1])<<(sixteenth+greenLane) | lanes(rgb[2])<<(sixteenth+blueLane)
}

// blend returns a where weight is 0 and nearly b where it is mostWeights.
func blend(a, b, weight lanes) lanes { return (a<<weightBits + (b-a)*weight) >> weightBits & laneMask }

// pixelCell is a pixel's place among the cells' colours: the lowest of the eight cells that it lies between, and
// the weights of the upper ones. Cells have one row, column and depth more than the map, which repeat the last,
// or in a rope's way around the first.
type pixelCell struct {
	lowest  uint32
	u, v, t uint8
}

// noCloth marks a pixel without cloth.
const noCloth = math.MaxUint32

func (m *Map) pixelCells(places []cellPosition) []pixelCell {
	out := make([]pixelCell, len(places))
	for i, p := range places {
		if p.u != p.u {
			out[i].lowest = noCloth
			continue
		}
		u, fu := between(p.u, m.nu, false)
		v, fv := between(p.v, m.nv, m.shape.isRope)
		t, ft := between(p.t, cellsPerColumn, false)
		out[i] = pixelCell{uint32((t*(m.nv+1)+v)*(m.nu+1) + u), fu, fv, ft}
	}
	return out
}

// pixelRun is a run of adjacent pixels: from up to, and without, to.
type pixelRun struct{ from, to int32 }

// findRuns lists the pixels that show cloth.
func findRuns(pixels []pixelCell) (runs []pixelRun) {
	for i, p := range pixels {
		switch last := len(runs) - 1; {
		case p.lowest == noCloth:
		case last >= 0 && int(runs[last].to) == i:
			runs[last].to++
		default:
			runs = append(runs, pixelRun{int32(i), int32(i + 1)})
		}
	}
	return runs
}

// between returns the lower of the two cells that a coordinate lies between and the weight of the
// upper. Cell i has its middle at i+0.5; around a ring the last is beside the first.
func between(x float32, n int, ring bool) (i int, weight uint8) {
	x -= 0.5
	if x < 0 {
		if !ring {
			return 0, 0
		}
		x += float32(n)
	}
	i = min(int(x), n-1)
	return i, uint8(min((x-float32(i))*(mostWeights+1), mostWeights))
}

// cells works out the colour of every cell. They are good until the map's next cloth is painted.
func (c *DyedCloth) cells(wet bool) []lanes {
	m := c.Map
	r := &m.reused
	if r.paint.painter == nil || r.paint.wet != wet || !slices.Equal(r.paint.colours, c.Dyeing.Colours) {
		r.paint = newPaint(c.Dyeing.Colours, wet)
	}
	wide, plane := m.nu+1, (m.nu+1)*(m.nv+1)
	if r.painted == nil {
		r.painted = make([]lanes, plane*(cellsPerColumn+1))
	}
	for t := range cellsPerColumn {
		for v := range m.nv {
			c.paintRow(&r.paint, (t*m.nv+v)*m.nu, r.painted[t*plane+v*wide:][:m.nu])
		}
	}
	for _, x := range m.filling {
		r.painted[x.cell] = r.painted[x.from]
	}
	for t := range cellsPerColumn {
		for v := range m.nv {
			row := r.painted[t*plane+v*wide:][:wide]
			row[m.nu] = row[m.nu-1]
		}
		depth, last := r.painted[t*plane:][:plane], m.nv-1
		if m.shape.isRope {
			last = 0
		}
		copy(depth[m.nv*wide:], depth[last*wide:][:wide])
	}
	copy(r.painted[cellsPerColumn*plane:], r.painted[(cellsPerColumn-1)*plane:][:plane])
	return r.painted
}

// paintRow works out the colours of a row of cells, from cell first on.
func (c *DyedCloth) paintRow(p *paint, first int, out []lanes) {
	spread := c.Map.spreadCloth[first:][:len(out)]
	var dyes [maxColours][]float32
	for k := range c.dyeInCells {
		dyes[k] = c.dyeInCells[k][first:][:len(out)]
	}
	var amounts [maxColours]float32
	for i := range out {
		if spread[i] < hardlyAny {
			continue // no cloth near
		}
		count, last := 0, 0
		for k := range c.dyeInCells {
			x := dyes[k][i]
			amounts[k] = x
			if x > traceOfDye {
				count, last = count+1, k
			}
		}
		if step := int(amounts[last]*aloneSteps + 0.5); count < 2 && step < len(p.alone[last]) {
			out[i] = p.alone[last][step]
			continue
		}
		out[i] = p.mixColours(amounts[:len(c.dyeInCells)], count)
	}
}

// cellFilling is a cell without cloth and the one whose colour it takes.
type cellFilling struct{ cell, from int32 }

// findFilling says which neighbour lends its colour to a cell without cloth, above or below, or else
// beside: a picture blends between cells, and no cloth is no colour.
func (m *Map) findFilling() (list []cellFilling) {
	columns := m.nu * m.nv
	isEmpty := make([]bool, len(m.spreadCloth))
	for i, s := range m.spreadCloth {
		isEmpty[i] = s < hardlyAny
	}
	painted := func(i int) int32 { return int32((i/m.nu+i/columns)*(m.nu+1) + i%m.nu) }
	copyFrom := func(i, j int) {
		if isEmpty[i] && !isEmpty[j] {
			list, isEmpty[i] = append(list, cellFilling{painted(i), painted(j)}), false
		}
	}
	for i := columns; i < len(isEmpty); i++ {
		copyFrom(i, i-columns)
	}
	for i := len(isEmpty) - columns - 1; i >= 0; i-- {
		copyFrom(i, i+columns)
	}
	for i := 1; i < len(isEmpty); i++ {
		copyFrom(i, i-1)
	}
	for i := len(isEmpty) - 2; i >= 0; i-- {
		copyFrom(i, i+1)
	}
	return list
}

// draw looks up each pixel of a layer between its eight neighbouring cells.
func (c *DyedCloth) draw(cells []lanes, layer int, out []byte) {
	const opaque, half = 255 << 24, laneOnes << (sixteenth - 1)
	wide, plane := c.Map.nu+1, (c.Map.nu+1)*(c.Map.nv+1)
	clear(out)
	for _, run := range c.Map.clothRuns[layer] {
		row := out[4*run.from : 4*run.to]
		for i, p := range c.Map.pixels[layer][run.from:run.to] {
			near, u, v := cells[p.lowest:], lanes(p.u), lanes(p.v)
			x := blend(blend(near[0], near[1], u), blend(near[wide], near[wide+1], u), v)
			if p.t > 0 {
				far := near[plane:]
				x = blend(x, blend(blend(far[0], far[1], u), blend(far[wide], far[wide+1], u), v), lanes(p.t))
			}
			x += half
			binary.LittleEndian.PutUint32(row[4*i:], opaque|uint32(x>>sixteenth)&255|uint32(x>>(greenLane+sixteenth))&255<<8|uint32(x>>(blueLane+sixteenth))&255<<16)
		}
	}
}

// maxWhiteDye is the share of full dye below which cloth is called white.
const maxWhiteDye = 0.1

// meantToBeDyed says for each column whether a step puts dye on it and no binding keeps dye out.
func (c *DyedCloth) meantToBeDyed() []bool {
	if c.meant == nil {
		open, _ := c.Map.bound(c.Dyeing.Bindings)
		c.meant = make([]bool, len(open))
		for _, s := range c.Dyeing.Steps {
			for _, col := range c.Map.areaOf(s.Area).columns {
				c.meant[col] = open[col] >= 0.5
			}
		}
	}
	return c.meant
}

// WhiteShare returns the share of the cloth, 0 to 1, that stayed white where dye was meant to be: not that
// of sections without dye, nor under bindings.
func (c *DyedCloth) WhiteShare() float64 { return c.whiteWhere(true) }

// LeftWhite returns the share of the cloth that stayed white on purpose.
func (c *DyedCloth) LeftWhite() float64 { return c.whiteWhere(false) }

func (c *DyedCloth) whiteWhere(isMeant bool) float64 {
	white, columns, meant := 0., c.Map.nu*c.Map.nv, c.meantToBeDyed()
	sums := c.Map.reused.floats(&c.Map.reused.sums, columns)
	for t := range cellsPerColumn {
		clear(sums)
		for k := range c.dyeInCells {
			for i, x := range c.dyeInCells[k][t*columns:][:columns] {
				sums[i] += x
			}
		}
		for i, cloth := range c.Map.cloth[t*columns:][:columns] {
			if sums[i] < maxWhiteDye && meant[i] == isMeant {
				white += float64(cloth)
			}
		}
	}
	return white / c.Map.totalArea
}

// ColourShares returns for each colour the share of the cloth on which there is most of it.
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

// DyeVolume returns the mL of dye in the cloth.
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
