package fold

import "math"

// The grid of a bundle: columns across its face, cells down through each.
const (
	fewestAcross   = 64 // columns along a side of a square face, for a picture of 384 pixels or less
	mostAcross     = 80 // for one of 512 or more: dye creeps over two columns and more
	pixelsAcross   = 6.4
	minColumnWidth = 0.2 // cm: finer than dye creeps is of no use
	cellsPerColumn = 14
)

// Map says for every point of a garment where it lies in the bundle. It depends on the
// garment and the fold and not on dye, so it is made once while a thumb changes dye.
type Map struct {
	Garment Garment
	Fold    Fold
	Size    int     // pixels along each side of the picture
	Scale   float64 // cm of cloth a pixel

	shape       bundleShape
	nu, nv      int
	cell        float64        // cm of face a column, both ways
	pixels      [2][]pixelCell // of the front and the back
	clothRuns   [2][]pixelRun  // the pixels that show cloth, of both
	cloth       []float32      // cm² of cloth in each cell, [t][v][u]
	spreadCloth []float32      // cloth as spread creepDistance
	filling     []cellFilling  // of the cells without cloth, in the order in which they are filled
	ease        []uint8        // by column: how loosely it is packed, a step of easeSteps
	totalArea   float64        // cm² of cloth

	reused reused
}

// cellPosition is a place in units of cells; a NaN u is no cloth.
type cellPosition struct{ u, v, t float32 }

// NewMap works out the map for a picture of size × size pixels, 32 to 2048, of the
// garment with a margin around it. The fold must pass Check.
func NewMap(g Garment, f Fold, size int) (*Map, error) {
	if err := f.Check(); err != nil {
		return nil, err
	}
	size = min(max(size, 32), 2048)
	s, at := f.fold(g)
	m := &Map{Garment: g, Fold: f, Size: size, shape: s}
	across := min(max(float64(size)/pixelsAcross, fewestAcross), mostAcross, float64(size))
	m.cell = max(math.Sqrt(s.width*s.height)/across, minColumnWidth)
	m.nu = max(int(math.Ceil(s.width/m.cell)), 1)
	m.nv = max(int(math.Ceil(s.height/m.cell)), 1)
	m.cloth = make([]float32, m.nu*m.nv*cellsPerColumn)
	low, high := g.bounds()
	m.Scale = max(high.X-low.X, high.Y-low.Y) * 1.06 / float64(size)
	left := (low.X+high.X)/2 - m.Scale*float64(size)/2
	top := (low.Y+high.Y)/2 - m.Scale*float64(size)/2
	var places [2][]cellPosition
	for layer := range g.Layers {
		places[layer] = m.mapPixels(at, layer, left, top)
	}
	m.countCloth(places)
	for layer := range g.Layers {
		m.pixels[layer] = m.pixelCells(places[layer])
		m.clothRuns[layer] = findRuns(m.pixels[layer])
	}
	m.findEase()
	m.spreadCloth = append([]float32(nil), m.cloth...)
	for k := range cellsPerColumn {
		m.blur(m.spreadCloth[k*m.nu*m.nv:][:m.nu*m.nv], m.wholeFace(), m.radius())
	}
	m.filling = m.findFilling()
	return m, nil
}

// GarmentSize returns the garment's width and height as shares of the picture.
func (m *Map) GarmentSize() Point {
	low, high := m.Garment.bounds()
	side := m.Scale * float64(m.Size)
	return Point{(high.X - low.X) / side, (high.Y - low.Y) / side}
}

// mapPixels maps the pixels of one layer and counts their cloth.
func (m *Map) mapPixels(at foldMap, layer int, left, top float64) []cellPosition {
	pixels := make([]cellPosition, m.Size*m.Size)
	none := cellPosition{u: float32(math.NaN())}
	var cross []float64
	for row := range m.Size {
		line := pixels[row*m.Size:][:m.Size]
		y := top + (float64(row)+0.5)*m.Scale
		cross = m.Garment.outlineCrossings(y, cross)
		next, inside := 0, false
		for i := range line {
			x := left + (float64(i)+0.5)*m.Scale
			for next < len(cross) && cross[next] <= x {
				inside = !inside
				next++
			}
			if !inside {
				line[i] = none
				continue
			}
			p := at(x, y, layer)
			line[i] = cellPosition{
				float32(min(max(p.u/m.cell, 0), float64(m.nu)-1e-3)),
				float32(min(max(p.v/m.cell, 0), float64(m.nv)-1e-3)),
				float32(min(max(p.t, 0), 1)),
			}
		}
	}
	return pixels
}

// fineDepths is in how many depths cloth is counted.
const fineDepths = 64

// neighbourhoodRadius says how far around a column the layers are counted, in cm.
const neighbourhoodRadius = 1.2

// countCloth replaces each pixel's depth by the share of cloth that lies above it in its
// column, in units of cells, and counts the cloth of each cell. Where fewer layers lie,
// as under a sleeve, dye meets just those.
func (m *Map) countCloth(places [2][]cellPosition) {
	const fine = fineDepths
	above := make([]float32, fine*m.nu*m.nv) // by fine depth and column
	each := func(do func(p *cellPosition, column int)) {
		for layer := range places {
			for i := range places[layer] {
				if p := &places[layer][i]; p.u == p.u {
					do(p, int(p.v)*m.nu+int(p.u))
				}
			}
		}
	}
	depth := func(p *cellPosition) int { return min(int(p.t*fine), fine-1) }
	each(func(p *cellPosition, column int) { above[depth(p)*m.nu*m.nv+column]++ })
	for k := range fine { // a column holds few pixels; its neighbourhood is like it
		m.blur(above[k*m.nu*m.nv:][:m.nu*m.nv], m.wholeFace(), max(int(neighbourhoodRadius/m.cell), 1))
	}
	for column := range m.nu * m.nv {
		sum := float32(0)
		for k := range fine {
			sum += above[k*m.nu*m.nv+column]
			above[k*m.nu*m.nv+column] = sum
		}
		for k := range fine {
			above[k*m.nu*m.nv+column] /= max(sum, 1e-9)
		}
	}
	pixels := 0.
	each(func(*cellPosition, int) { pixels++ })
	m.totalArea = m.Garment.Area() * float64(m.Garment.Layers)
	area := float32(m.totalArea / pixels) // the outline's area, whatever pixels its edge took
	each(func(p *cellPosition, column int) {
		k := depth(p)
		low, high := float32(0), above[k*m.nu*m.nv+column]
		if k > 0 {
			low = above[(k-1)*m.nu*m.nv+column]
		}
		share := low + (high-low)*(p.t*fine-float32(k))
		p.t = min(max(share, 0), 1) * (cellsPerColumn - 1e-3)
		m.cloth[int(p.t)*m.nu*m.nv+column] += area
	})
}

// creepDistance says how far dye liquor creeps in the cloth, as a standard deviation in cm.
const creepDistance = 0.55 // 5–8 mm, judgement; thickened dye creeps less

// radius returns the half-width in cells of the box that, applied twice, spreads by creepDistance.
func (m *Map) radius() int {
	// A box of half-width r has the variance r(r+1)/3 cells²; two add up.
	cells := creepDistance / m.cell
	return max(int(math.Round((math.Sqrt(1+6*cells*cells)-1)/2)), 1)
}
