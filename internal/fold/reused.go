package fold

import "slices"

// reused is what a map keeps from one change of dye to the next: a thumb makes many of them, and most of what a
// picture needs stays the same. Answers do not depend on it. A map is for one goroutine at a time.
type reused struct {
	areas    map[BundleArea]*area
	bindings []Binding // of open and perCloth
	open     []float32
	perCloth []float32
	cells    [][]float32 // free grids of one value for each cell
	paint    paint
	painted  []lanes
	line     []float32 // for blur
	rows     []float32
	sums     []float32
	others   []cellToFill
	isDyed   []bool // by column, for the cloth that is dyed now
}

// maxAreas says how many areas are kept.
const maxAreas = 64

// floats returns n values of unknown content in a buffer that is kept.
func (r *reused) floats(buffer *[]float32, n int) []float32 {
	if cap(*buffer) < n {
		*buffer = make([]float32, n)
	}
	return (*buffer)[:n]
}

// area is what the search for the reach of a front needs of an area.
type area struct {
	columns []int32
	cloth   float32                            // cm² under the columns
	empty   [easeSteps][cellsPerColumn]float32 // the same, by ease and depth
}

// areaOf returns the columns of an area and the cloth under them.
func (m *Map) areaOf(a BundleArea) *area {
	r := &m.reused
	if known, ok := r.areas[a]; ok {
		return known
	}
	if r.areas == nil || len(r.areas) >= maxAreas {
		r.areas = map[BundleArea]*area{}
	}
	x := &area{columns: m.columns(a)}
	for k := range cellsPerColumn {
		cloth := m.cloth[k*m.nu*m.nv:][:m.nu*m.nv]
		for _, col := range x.columns {
			x.cloth += cloth[col]
			x.empty[m.ease[col]][k] += cloth[col]
		}
	}
	r.areas[a] = x
	return x
}

// bound returns Map.openness and Map.perCloth for bindings.
func (m *Map) bound(bindings []Binding) (open, perCloth []float32) {
	r := &m.reused
	if r.open == nil || !slices.Equal(bindings, r.bindings) {
		r.bindings, r.open = slices.Clone(bindings), m.openness(bindings)
		r.perCloth = m.perCloth(bindings, r.open)
	}
	return r.open, r.perCloth
}

// newCells returns a grid with a value in each cell.
func (m *Map) newCells(value float32) []float32 {
	r := &m.reused
	var grid []float32
	if n := len(r.cells); n > 0 {
		grid, r.cells = r.cells[n-1], r.cells[:n-1]
	} else {
		grid = make([]float32, len(m.cloth))
	}
	if value == 0 {
		clear(grid)
		return grid
	}
	for i := range grid {
		grid[i] = value
	}
	return grid
}

// Release returns the memory of c back to its map, for the next cloth. c is of no use afterwards.
func (c *DyedCloth) Release() {
	c.Map.reused.cells = append(c.Map.reused.cells, c.dyeInCells...)
	c.dyeInCells = nil
}
