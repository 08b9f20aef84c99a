package fold

import (
	"math"

	"coldbatch/internal/fault"
	"coldbatch/internal/goods"
)

// Side is the face of the bundle that dye is put on.
type Side string

// The sides. A rope is dyed from all round, which is SideA.
const (
	SideA Side = "a"
	SideB Side = "b"
)

// BundleArea is a part of the bundle's face.
type BundleArea struct {
	Shape    string  // "all", "wedge", "ring", "stripe", "band" or "spot"
	From, To float64 // shares: of a turn for a wedge, of the radius or the rope for a ring, of the width for a stripe, of the height for a band
	U, V, R  float64 // of a spot: centre and radius as shares of the face's width
}

// DyeStep is one go with a bottle.
type DyeStep struct {
	Area   BundleArea
	Side   Side
	Colour int     // index into Design.Colours
	Fill   float64 // dye as a share of what the section's cloth takes, 0 to 2
	Crease float64 // share of the dye that is squeezed into the creases, 0 to 1
}

// Binding is a place along a rope where a binding keeps dye out, in shares of its length.
type Binding struct{ From, To float64 }

// DyedCloth is a bundle with dye in it.
type DyedCloth struct {
	Map    *Map
	Design *Design
	Steps  []StepResult

	dyeInCells [][]float32 // for each colour, the dye in each cell, as a share of what the cell's cloth takes
}

// StepResult is the result of one step.
type StepResult struct {
	ML     float64 // laid
	RunOff float64 // mL that the cloth could not take
}

// dyeFrontWidth is the width of the zone in which cloth is partly wetted, as a share of the
// bundle's depth: ±0.07 (judgement).
const dyeFrontWidth = 0.14

// capacity gives the mL that 1 cm² of one layer takes when it was wrung before: full
// less wrung, of package goods.
func (g Garment) capacity() float64 {
	return g.Density * (goods.HeldWhenFull.Value - goods.HeldAfterWringing.Value)
}

// ApplyDye puts the design's dye on the bundle, step after step. Where a cell is full, what
// came first stays. The design must fit the map: a step with a colour it lacks, an
// unknown shape or side, or a share out of range is a *fault.Fault of code Input.
func (m *Map) ApplyDye(d *Design) (*DyedCloth, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	c := &DyedCloth{Map: m, Design: d}
	room := make([]float32, len(m.cloth))
	for i := range room {
		room[i] = 1
	}
	open := m.openness(d.Bindings)
	c.dyeInCells = make([][]float32, len(d.Colours))
	for k := range c.dyeInCells {
		c.dyeInCells[k] = make([]float32, len(m.cloth))
	}
	for _, s := range d.Steps {
		columns := m.columns(s.Area)
		into := c.dyeInCells[s.Colour]
		want := s.Fill * float64(m.clothIn(columns))
		creases := m.fillColumns(into, room, open, columns, want*s.Crease, evenProfile)
		rest := m.fillColumns(into, room, open, columns, want*(1-s.Crease), m.frontProfile(s.Side))
		c.Steps = append(c.Steps, StepResult{want * m.Garment.capacity(), (want - creases - rest) * m.Garment.capacity()})
	}
	spread := m.spreadCloth
	if len(d.Bindings) > 0 {
		spread = m.spreadWithin(open)
	}
	for k := range c.dyeInCells {
		m.spreadSideways(c.dyeInCells[k], open, spread)
	}
	return c, nil
}

// depthProfile gives how full a cell at depth t, 0 to 1 from side A, is when a front has
// come as far as reach.
type depthProfile func(t, reach float64) float32

// evenProfile puts the same dye at every depth, as when dye is squeezed into the creases.
func evenProfile(_, reach float64) float32 { return float32(min(max(reach, 0), 1)) }

// frontProfile returns the profile of dye that soaks in from one side.
func (m *Map) frontProfile(side Side) depthProfile {
	return func(t, reach float64) float32 {
		if side == SideB {
			t = 1 - t
		}
		return float32(1 - ramp(reach-dyeFrontWidth/2, reach+dyeFrontWidth/2, t))
	}
}

// fillColumns fills the columns' cells until want (in cm² of cloth filled) is in them or they
// are full, and gives how much went in.
func (m *Map) fillColumns(into, room, open []float32, columns []int32, want float64, f depthProfile) float64 {
	if want <= 0 {
		return 0
	}
	var full [cellsPerColumn]float32
	level := func(reach float64) (sum float64) {
		for k := range cellsPerColumn {
			full[k] = f((float64(k)+0.5)/cellsPerColumn, reach)
		}
		for k := range cellsPerColumn {
			if full[k] == 0 {
				continue
			}
			base := k * m.nu * m.nv
			part := float32(0)
			for _, col := range columns {
				i := base + int(col)
				part += m.cloth[i] * min(full[k]*open[col], room[i])
			}
			sum += float64(part)
		}
		return sum
	}
	reach, most := -dyeFrontWidth/2, 1+dyeFrontWidth/2
	if level(most) <= want {
		reach = most
	} else {
		reach = findRoot(reach, most, func(reach float64) float64 { return level(reach) - want })
	}
	got := level(reach)
	scale := float32(1) // the last bits of the search, so that volume is kept
	if got > want {
		scale = float32(want / got)
	}
	for k := range cellsPerColumn {
		base := k * m.nu * m.nv
		for _, col := range columns {
			i := base + int(col)
			x := scale * min(full[k]*open[col], room[i])
			into[i] += x
			room[i] -= x
		}
	}
	return got * float64(scale)
}

// findRoot finds x between low and high at which f, which rises from below 0 to above it,
// is 0 or a little more, by false position (the Illinois rule).
func findRoot(low, high float64, f func(float64) float64) float64 {
	a, b := f(low), f(high)
	tolerance := 1e-3 * (b - a)
	for range 20 {
		x := low + (high-low)*a/(a-b)
		y := f(x)
		switch {
		case y >= 0 && y <= tolerance:
			return x
		case y < 0:
			low, a, b = x, y, b/2
		default:
			high, b, a = x, y, a/2
		}
	}
	return high
}

// spreadSideways spreads one dye sideways. What each cell holds is shared out by the cloth
// around it, so the volume stays the same; cells without cloth get the value of their
// neighbours, for a picture to blend with. A binding holds creeping dye back, too.
func (m *Map) spreadSideways(x, open, spread []float32) {
	columns := m.nu * m.nv
	for k := range cellsPerColumn {
		layer := x[k*columns:][:columns]
		used := false
		for i, v := range layer {
			if v == 0 {
				continue
			}
			used = true
			j := k*columns + i
			if m.cloth[j] == 0 {
				layer[i] = 0
				continue
			}
			layer[i] = v * m.cloth[j] / spread[j]
		}
		if !used {
			continue
		}
		m.blur(layer, m.radius())
		for i := range layer {
			layer[i] *= open[i]
		}
	}
}

// spreadWithin is spread for cloth that bindings keep partly closed.
func (m *Map) spreadWithin(open []float32) []float32 {
	columns := m.nu * m.nv
	out := make([]float32, len(m.cloth))
	for i, c := range m.cloth {
		out[i] = c * open[i%columns]
	}
	for k := range cellsPerColumn {
		m.blur(out[k*columns:][:columns], m.radius())
	}
	return out
}

// openness gives for each column the share of dye that bindings let in.
func (m *Map) openness(bands []Binding) []float32 {
	open := make([]float32, m.nu*m.nv)
	for v := range m.nv {
		for u := range m.nu {
			along := (float64(u) + 0.5) * m.cell / m.shape.width
			o := 1.
			for _, b := range bands {
				if along >= b.From && along <= b.To {
					o = 0.06 // a tight band lets a little in (judgement)
				}
			}
			open[v*m.nu+u] = float32(o)
		}
	}
	return open
}

// clothIn gives the cm² of cloth under columns.
func (m *Map) clothIn(columns []int32) (sum float32) {
	for k := range cellsPerColumn {
		for _, col := range columns {
			sum += m.cloth[k*m.nu*m.nv+int(col)]
		}
	}
	return sum
}

// columns lists the columns of an area.
func (m *Map) columns(a BundleArea) (list []int32) {
	for v := range m.nv {
		for u := range m.nu {
			if m.contains(a, (float64(u)+0.5)*m.cell, (float64(v)+0.5)*m.cell) {
				list = append(list, int32(v*m.nu+u))
			}
		}
	}
	return list
}

// contains says whether a point of the face, in cm, lies in the area.
func (m *Map) contains(a BundleArea, u, v float64) bool {
	du, dv := u-m.shape.width/2, v-m.shape.height/2
	within := func(share float64) bool { return share >= a.From && (share < a.To || a.To >= 1) }
	switch a.Shape {
	case "wedge":
		if m.Fold.Kind == DoubleSpiral {
			du = math.Mod(u, m.shape.width/2) - m.shape.width/4
		}
		share := math.Atan2(dv, du)/(2*math.Pi) + 1
		return within(share - math.Floor(share))
	case "ring":
		return within(m.radiusShare(u, v, du, dv))
	case "stripe":
		return within(u / m.shape.width)
	case "band":
		return within(v / m.shape.height)
	case "spot":
		return math.Hypot(u-a.U*m.shape.width, v-a.V*m.shape.height) <= a.R*m.shape.width
	}
	return true
}

// radiusShare gives how far from the fold's centre a point of the face lies, 0 to 1.
func (m *Map) radiusShare(u, v, du, dv float64) float64 {
	switch {
	case m.shape.isRope:
		return u / m.shape.width
	case m.Fold.Kind == RadialPleats:
		return math.Hypot(u, v) / m.shape.width
	case m.Fold.Kind == DoubleSpiral:
		return math.Hypot(math.Mod(u, m.shape.width/2)-m.shape.width/4, dv) / (m.shape.width / 4)
	}
	return math.Hypot(du, dv) / (max(m.shape.width, m.shape.height) / 2)
}

// check refuses a design that cannot be laid.
func (d *Design) check() error {
	if len(d.Colours) == 0 {
		return fault.New(fault.Input, "the design has no colour").WithHint("one to eight colours")
	}
	for i, s := range d.Steps {
		switch {
		case s.Colour < 0 || s.Colour >= len(d.Colours):
			return fault.New(fault.Input, "step %d uses colour %d of %d", i+1, s.Colour+1, len(d.Colours))
		case s.Side != SideA && s.Side != SideB:
			return fault.New(fault.Input, "step %d: %q is not a side of the bundle", i+1, string(s.Side)).WithHint("a or b")
		case !(s.Fill >= 0 && s.Fill <= 2):
			return fault.New(fault.Input, "step %d: %g times what the cloth takes is out of range", i+1, s.Fill).WithHint("0 to 2")
		case !(s.Crease >= 0 && s.Crease <= 1):
			return fault.New(fault.Input, "step %d: a share of %g into the creases is out of range", i+1, s.Crease).WithHint("0 to 1")
		}
	}
	return nil
}
