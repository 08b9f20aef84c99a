package fold

import (
	"math"
	"slices"

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
	Shape    string  // "all", "wedge", "ring", "stripe", "band", "frame", "point", "patch" or "spot"
	From, To float64 // shares: of a turn for a wedge, of the radius or the rope for a ring, of the width for a stripe, of the height for a band; of all spots for a spot
}

// DyeStep is one go with a bottle.
type DyeStep struct {
	Area    BundleArea
	Side    Side
	Section int     // number of the section, from 1
	Colour  int     // index into DyeApplication.Colours
	Fill    float64 // dye as a share of what the section's cloth takes, 0 to 2
	Crease  float64 // share of the dye that is squeezed into the creases, 0 to 1
}

// Binding is a place along a rope where a binding keeps dye out, in shares of its length.
type Binding struct{ From, To float64 }

// DyedCloth is a bundle with dye in it.
type DyedCloth struct {
	Map    *Map
	Dyeing *DyeApplication
	Steps  []StepResult

	meant      []bool      // what meantToBeDyed gave
	dyeInCells [][]float32 // for each colour, the dye in each cell, as a share of what the cell's cloth takes
}

// StepResult is the result of one step.
type StepResult struct {
	ML     float64 // laid
	RunOff float64 // mL that the cloth could not take
}

// dyeFrontWidth is the width of the zone in which cloth is partly wetted, as a share of the
// bundle's depth: ±0.1 (judgement; the trial had ±0.07, and its white lines were hard).
const dyeFrontWidth = 0.2

// capacity returns the mL that 1 cm² of one layer takes when it was wrung before: full
// less wrung, of package goods.
func (g Garment) capacity() float64 {
	return g.Density * (goods.HeldWhenFull.Value - goods.HeldAfterWringing.Value)
}

// capacity returns the mL that 1 cm² of the cloth takes, by what results taught.
func (c *DyedCloth) capacity() float64 { return c.Map.Garment.capacity() / c.Dyeing.effect() }

// ApplyDye puts the design's dye on the bundle, step after step. Where a cell is full, what
// came first stays. The design must fit the map: a step with a colour it lacks, an
// unknown shape or side, or a share out of range is a *fault.Fault of code Input.
func (m *Map) ApplyDye(d *DyeApplication) (*DyedCloth, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	c := &DyedCloth{Map: m, Dyeing: d}
	room := m.newCells(1)
	open, perCloth := m.bound(d.Bindings)
	r := &m.reused
	r.isDyed = slices.Grow(r.isDyed[:0], m.nu*m.nv)[:m.nu*m.nv]
	for i, o := range open {
		r.isDyed[i] = o != 1
	}
	c.dyeInCells = make([][]float32, len(d.Colours))
	for k := range c.dyeInCells {
		c.dyeInCells[k] = m.newCells(0)
	}
	for _, s := range d.Steps {
		area := m.areaOf(s.Area)
		into := c.dyeInCells[s.Colour]
		want := s.Fill * float64(area.cloth)
		creases := m.fillColumns(into, room, open, area, want*s.Crease, evenProfile)
		rest := m.fillColumns(into, room, open, area, want*(1-s.Crease), m.frontProfile(s.Side))
		c.Steps = append(c.Steps, StepResult{want * c.capacity(), (want - creases - rest) * c.capacity()})
	}
	m.reused.cells = append(m.reused.cells, room)
	for k := range c.dyeInCells {
		m.moveDyeOutward(c.dyeInCells[k])
		m.spreadSideways(c.dyeInCells[k], perCloth)
	}
	return c, nil
}

// depthProfile returns how full a cell at depth t, 0 to 1 from side A, is when a front has
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
// are full, and returns how much went in. Where cloth is packed loosely, dye goes deeper.
func (m *Map) fillColumns(into, room, open []float32, area *area, want float64, f depthProfile) float64 {
	if want <= 0 {
		return 0
	}
	cells := m.cellsToFill(room, open, area)
	var full [easeSteps][cellsPerColumn]float32
	level := func(reach float64) (sum float64) {
		for e := range full {
			for k := range cellsPerColumn {
				full[e][k] = f((float64(k)+0.5)/cellsPerColumn, reach*easeOf(e))
				sum += float64(cells.empty[e][k] * full[e][k])
			}
		}
		for _, c := range cells.others {
			x := full[c.ease][c.depth] * c.open
			if x > c.room { // min is a call as wasm, and this is done very often
				x = c.room
			}
			sum += float64(c.cloth * x)
		}
		return sum
	}
	reach, most := -dyeFrontWidth, (1+dyeFrontWidth/2)/easeOf(0)
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
		into, room := into[k*m.nu*m.nv:][:m.nu*m.nv], room[k*m.nu*m.nv:][:m.nu*m.nv]
		for _, col := range area.columns {
			x, most := full[m.ease[col]][k]*open[col], room[col]
			if x > most {
				x = most
			}
			x *= scale
			into[col] += x
			room[col] = most - x
		}
	}
	return got * float64(scale)
}

// cellsToFill is what the search for the reach of a front needs of some columns. Cells that are
// empty and not under a binding take dye alike, so their cloth is added up by ease and depth;
// cells that are full are left out. An area that no dye was put on before is known as a whole.
type cellsToFill struct {
	empty  [easeSteps][cellsPerColumn]float32
	others []cellToFill
}

type cellToFill struct {
	cloth, open, room float32
	ease, depth       uint8
}

func (m *Map) cellsToFill(room, open []float32, area *area) (out cellsToFill) {
	r := &m.reused
	hasDye := false
	for _, col := range area.columns {
		hasDye = hasDye || r.isDyed[col]
		r.isDyed[col] = true
	}
	if !hasDye {
		out.empty = area.empty
		return out
	}
	out.others = r.others[:0]
	for k := range cellsPerColumn {
		cloth, room := m.cloth[k*m.nu*m.nv:][:m.nu*m.nv], room[k*m.nu*m.nv:][:m.nu*m.nv]
		for _, col := range area.columns {
			switch space := room[col]; {
			case space <= 0:
			case space == 1 && open[col] == 1:
				out.empty[m.ease[col]][k] += cloth[col]
			default:
				out.others = append(out.others, cellToFill{cloth[col], open[col], space, m.ease[col], uint8(k)})
			}
		}
	}
	r.others = out.others
	return out
}

// easeSteps is the number of steps in which packing is counted, maxEase how much farther dye
// goes where it is loosest, and less far where it is tightest (judgement).
const (
	easeSteps = 8
	maxEase   = 0.22
)

func easeOf(step int) float64 { return 1 - maxEase + 2*maxEase*float64(step)/(easeSteps-1) }

// findEase says for each column how loosely it is packed.
func (m *Map) findEase() {
	n := noise{m.Fold.Seed + 77}
	m.ease = make([]uint8, m.nu*m.nv)
	for v := range m.nv {
		for u := range m.nu {
			x, y := (float64(u)+0.5)*m.cell, (float64(v)+0.5)*m.cell
			loose := 0.5 + 0.42*n.valueAt(x/2.2, y/2.2) + 0.22*n.valueAt(x/0.9+40, y/0.9)
			m.ease[v*m.nu+u] = uint8(min(max(loose, 0), 1)*(easeSteps-1) + 0.5)
		}
	}
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

// outerExcess says how much more dye the outermost cloth holds than the middle of the bundle, as a share:
// cloth takes dye out of the liquor that soaks through it (judgement).
const outerExcess = 0.5

// moveDyeOutward moves dye of each column outward, from the middle to the faces, and keeps its sum.
func (m *Map) moveDyeOutward(x []float32) {
	columns := m.nu * m.nv
	r := &m.reused
	var weight [cellsPerColumn]float32
	for k := range weight {
		t := (float64(k) + 0.5) / cellsPerColumn
		if m.shape.isRope {
			weight[k] = float32(1 + outerExcess*(0.5-t))
		} else {
			weight[k] = float32(1 + outerExcess*(math.Abs(2*t-1)-0.5))
		}
	}
	before, after := r.floats(&r.rows, columns), r.floats(&r.sums, columns)
	clear(before)
	clear(after)
	for k, w := range weight {
		cloth, dye := m.cloth[k*columns:][:columns], x[k*columns:][:columns]
		for i, v := range dye {
			before[i] += cloth[i] * v
			after[i] += cloth[i] * v * w
		}
	}
	for i, sum := range after {
		if sum > 0 {
			before[i] /= sum
		}
	}
	for k, w := range weight {
		dye := x[k*columns:][:columns]
		for i, v := range dye {
			dye[i] = v * w * before[i]
		}
	}
}

// hardlyAny is cloth in cm² that counts as none.
const hardlyAny = 1e-5

// spreadSideways spreads one dye creepDistance: each cell gets the mean of the cloth around it, and the
// sum in each depth stays the same. perCloth is Map.perCloth. A cell without cloth gets the mean, too, for a picture
// to blend with. A binding holds creeping dye back.
func (m *Map) spreadSideways(x, perCloth []float32) {
	columns := m.nu * m.nv
	for k := range cellsPerColumn {
		layer, cloth := x[k*columns:][:columns], m.cloth[k*columns:][:columns]
		before := float32(0)
		for i, v := range layer {
			layer[i] = v * cloth[i]
			before += layer[i]
		}
		if before == 0 {
			clear(layer)
			continue
		}
		r := m.radius()
		in := m.boxOf(layer, 2*r)
		m.blur(layer, in, r)
		after := float32(0)
		for v := in.v0; v < in.v1; v++ {
			at := v*m.nu + in.u0
			n := in.u1 - in.u0
			layer, perCloth, cloth := layer[at:][:n], perCloth[k*columns+at:][:n], cloth[at:][:n]
			for i, share := range perCloth {
				x := layer[i] * share
				layer[i] = x
				after += x * cloth[i]
			}
		}
		if after <= 0 {
			continue
		}
		scale := before / after
		for i := range layer {
			layer[i] *= scale
		}
	}
}

// perCloth returns what to multiply the blurred dye of each cell by, so that it is a mean of the cloth around:
// 1 over the blurred cloth, where bindings keep it partly closed too; 0 where there is no cloth near.
func (m *Map) perCloth(bindings []Binding, open []float32) []float32 {
	columns := m.nu * m.nv
	out := append([]float32(nil), m.spreadCloth...)
	if len(bindings) > 0 {
		for i, c := range m.cloth {
			out[i] = c * open[i%columns]
		}
		for k := range cellsPerColumn {
			m.blur(out[k*columns:][:columns], m.wholeFace(), m.radius())
		}
	}
	for i, s := range out {
		out[i] = 0
		if s >= hardlyAny {
			out[i] = open[i%columns] / s
		}
	}
	return out
}

// openUnderBand is the share of dye that a tight band lets in, and bandEdge how far beside it, in cm,
// it still presses (judgement).
const (
	openUnderBand = 0.06
	bandEdge      = 1.1
)

// openness returns for each column the share of dye that bindings let in.
func (m *Map) openness(bands []Binding) []float32 {
	n := noise{m.Fold.Seed + 31}
	open := make([]float32, m.nu*m.nv)
	for v := range m.nv {
		for u := range m.nu {
			along := (float64(u) + 0.5) * m.cell
			around := (float64(v) + 0.5) * m.cell
			o := 1.
			for _, b := range bands { // no band presses alike all round, and its edge is soft
				middle, half := (b.From+b.To)/2*m.shape.width, (b.To-b.From)/2*m.shape.width
				off := math.Abs(along-middle) - half*(1+0.7*n.valueAt(around/1.6, middle))
				o = min(o, openUnderBand+(1-openUnderBand)*ramp(-0.35, bandEdge, off))
			}
			open[v*m.nu+u] = float32(o)
		}
	}
	return open
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
	case "frame":
		return within(m.edgeShare(u, v))
	case "point":
		return within((math.Hypot(u, v)*math.Cos(math.Atan2(v, u)) + pointSlant*v) / (m.shape.width * (1 + pointSlant*m.shape.height/m.shape.width) * 0.8))
	case "patch":
		return within(m.patchShare(u, v))
	case "spot":
		n := int(math.Round(1 / (a.To - a.From)))
		s := m.shape.spots(n)[min(int(math.Round(a.From*float64(n))), n-1)]
		return math.Hypot(u-s.x, v-s.y) <= s.r
	}
	return true
}

// pointSlant says how far a cut across radial pleats leans, so that a ring comes out in points.
const pointSlant = 1.4

// edgeShare returns how far in from the edge of a folded square or triangle a point lies, 0 at the edge and
// 1 in the middle.
func (m *Map) edgeShare(u, v float64) float64 {
	w := m.shape.width
	if m.Fold.Kind == FoldedCorners {
		inner := w * (1 - math.Sqrt2/2) // radius of the inscribed circle
		return min(max(min(u, v, (w-u-v)/math.Sqrt2)/inner, 0), 1)
	}
	return min(max(min(u, v, w-u, w-v)/(w/2), 0), 1)
}

// patchesAcross says how many patches a heap has across and along.
const patchesAcross = 6

// patchShare returns the share, 0 to 1, by which a patch of a heap is dealt to a section: side by side they differ
// (the R2 sequence of M. Roberts, from memory).
func (m *Map) patchShare(u, v float64) float64 {
	n := noise{m.Fold.Seed + 5}
	i := math.Floor(u/m.shape.width*patchesAcross + 0.45*n.valueAt(u/2.5, v/2.5))
	j := math.Floor(v/m.shape.height*patchesAcross + 0.45*n.valueAt(u/2.5+50, v/2.5))
	return patchDeal(i, j)
}

func patchDeal(i, j float64) float64 {
	share := 0.7548776662*i + 0.5698402910*j + 0.37
	return share - math.Floor(share)
}

// radiusShare returns how far from the fold's centre a point of the face lies, 0 to 1.
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
func (d *DyeApplication) check() error {
	if len(d.Colours) == 0 {
		return fault.New(fault.Input, "the design has no colour").WithHint("one to eight colours")
	}
	for i, s := range d.Steps {
		switch {
		case s.Colour < 0 || s.Colour >= len(d.Colours):
			return fault.New(fault.Input, "step %d uses colour %d, but the design has only %d", i+1, s.Colour+1, len(d.Colours))
		case s.Side != SideA && s.Side != SideB:
			return fault.New(fault.Input, "step %d: %q is not a side of the bundle", i+1, string(s.Side)).WithHint("a or b")
		case !(s.Fill >= 0 && s.Fill <= 2):
			return fault.New(fault.Input, "step %d: the dye amount, %g × what the cloth holds, is out of range", i+1, s.Fill).WithHint("0 to 2")
		case !(s.Crease >= 0 && s.Crease <= 1):
			return fault.New(fault.Input, "step %d: a share of %g into the creases is out of range", i+1, s.Crease).WithHint("0 to 1")
		}
	}
	return nil
}
