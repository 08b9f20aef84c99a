package fold

// faceBox is a part of the face's columns: u from u0 up to u1, v from v0 up to v1.
type faceBox struct{ u0, u1, v0, v1 int }

func (m *Map) wholeFace() faceBox { return faceBox{0, m.nu, 0, m.nv} }

// boxOf returns the smallest box that holds all of a layer that is not 0, and by more columns around it.
func (m *Map) boxOf(layer []float32, by int) faceBox {
	b := faceBox{m.nu, 0, m.nv, 0}
	for v := range m.nv {
		row := layer[v*m.nu:][:m.nu]
		first, last := -1, -1
		for u, x := range row {
			if x != 0 {
				if first < 0 {
					first = u
				}
				last = u
			}
		}
		if first >= 0 {
			b = faceBox{min(b.u0, first), max(b.u1, last+1), min(b.v0, v), v + 1}
		}
	}
	return faceBox{max(b.u0-by, 0), min(b.u1+by, m.nu), max(b.v0-by, 0), min(b.v1+by, m.nv)}
}

// blur spreads what a box of a layer holds by a box of half-width r, twice each way. It keeps the sum, since
// it mirrors at the edges of the box: these are edges of the face, or 2r columns around them hold nothing.
func (m *Map) blur(layer []float32, in faceBox, r int) {
	width, height := in.u1-in.u0, in.v1-in.v0
	if width <= 0 || height <= 0 {
		return
	}
	for range 2 {
		if width > 1 {
			for v := in.v0; v < in.v1; v++ {
				m.blurRow(layer[v*m.nu+in.u0:][:width], min(r, width-1))
			}
		}
		if height > 1 {
			m.blurColumns(layer, in, min(r, height-1))
		}
	}
}

// blurRow is a running mean of 2r+1 values, mirrored at the ends; r is less than their number.
func (m *Map) blurRow(x []float32, r int) {
	n := len(x)
	line := m.reused.floats(&m.reused.line, n+2*r+1) // value i at i+r, what is mirrored on both sides
	copy(line[r:], x)
	for i := range r {
		line[r-1-i] = x[i]
		line[n+r+i] = x[n-1-i]
	}
	line[n+2*r] = 0
	sum := float32(0)
	for _, v := range line[:2*r+1] {
		sum += v
	}
	scale := 1 / float32(2*r+1)
	enters := line[2*r+1:][:n]
	leaves := line[:n]
	for i := range x {
		x[i] = sum * scale
		sum += enters[i] - leaves[i]
	}
}

// blurColumns does the same down all columns of a box at once, row after row; r is less than the rows.
func (m *Map) blurColumns(layer []float32, in faceBox, r int) {
	width, height := in.u1-in.u0, in.v1-in.v0
	before := m.reused.floats(&m.reused.rows, width*height)
	for v := range height {
		copy(before[v*width:][:width], layer[(in.v0+v)*m.nu+in.u0:])
	}
	mirrored := func(v int) []float32 {
		if v < 0 {
			v = -1 - v
		} else if v >= height {
			v = 2*height - 1 - v
		}
		return before[v*width:][:width]
	}
	sums := m.reused.floats(&m.reused.sums, width)
	clear(sums)
	for v := -r; v <= r; v++ {
		for u, x := range mirrored(v) {
			sums[u] += x
		}
	}
	scale := 1 / float32(2*r+1)
	for v := range height {
		row := layer[(in.v0+v)*m.nu+in.u0:][:width]
		enters, leaves := before[:width], before[:width]
		if v < height-1 {
			enters, leaves = mirrored(v+r+1), mirrored(v-r)
		}
		for u, sum := range sums {
			row[u] = sum * scale
			sums[u] = sum + enters[u] - leaves[u]
		}
	}
}
