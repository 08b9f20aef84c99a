package fold

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func mustGarment(t testing.TB, name string) Garment {
	t.Helper()
	g, err := NewGarment(name)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func mustMap(t testing.TB, g Garment, f Fold, size int) *Map {
	t.Helper()
	m, err := NewMap(g, f, size)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func mustColours(t testing.TB, names ...string) (list []Colour) {
	t.Helper()
	for _, n := range names {
		c, err := NewColour(n)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, c)
	}
	return list
}

func mustApplyDye(t testing.TB, m *Map, colours []Colour, fill float64) *DyedCloth {
	t.Helper()
	d, err := NewDyeApplication(m.Fold, colours, fill)
	if err != nil {
		t.Fatal(err)
	}
	c, err := m.ApplyDye(d)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// The cloth in the bundle is the cloth of the outline, whose area the shoelace formula
// gives, and the picture has that many pixels but for its edge.
func TestAreaIsKept(t *testing.T) {
	for i, name := range []string{"tee-xl", "scarf", "apron", "square-60"} {
		g := mustGarment(t, name)
		for _, k := range Kinds {
			if i > 0 && k != Spiral && k != Crumple {
				continue // a fold does not ask for the garment's outline
			}
			m := mustMap(t, g, Fold{Kind: k, Seed: 2}, 192)
			sum, pixels := 0., 0.
			for _, c := range m.cloth {
				sum += float64(c)
			}
			for layer := range m.pixels {
				for _, p := range m.pixels[layer] {
					if p.lowest != noCloth {
						pixels++
					}
				}
			}
			want := g.Area() * float64(g.Layers)
			if math.Abs(sum/want-1) > 0.001 {
				t.Errorf("%s %s: cells hold %.2f cm² of %.2f", name, k, sum, want)
			}
			if drawn := pixels * m.Scale * m.Scale; math.Abs(drawn/want-1) > 0.02 {
				t.Errorf("%s %s: the picture has %.1f cm², the outline %.1f", name, k, drawn, want)
			}
		}
	}
	if got := mustGarment(t, "60x90").Area(); got != 5400 {
		t.Errorf("60 × 90 cm are %g cm²", got)
	}
}

// Dye laid is dye in the cloth and dye run off, in every fold, with bindings and creases.
func TestDyeIsKept(t *testing.T) {
	colours := mustColours(t, "rust", "deep yellow", "blue-green", "navy")
	var maps []*Map
	for i, k := range Kinds {
		f := Fold{Kind: k, Seed: uint32(i), Center: Point{0.3 - 0.05*float64(i), 0.04 * float64(i)}, Turns: 0.4 + 0.3*float64(i), Pleats: 2 + 2*i}
		maps = append(maps, mustMap(t, mustGarment(t, "child-tee"), f, 64))
	}
	rapid.Check(t, func(rt *rapid.T) {
		m := maps[rapid.IntRange(0, len(maps)-1).Draw(rt, "map")] // a failure would print a whole map
		d, err := NewDyeApplication(m.Fold, colours[:rapid.IntRange(1, 4).Draw(rt, "colours")], 1)
		if err != nil {
			rt.Fatal(err)
		}
		for i := range d.Steps {
			d.Steps[i].Fill = rapid.Float64Range(0, 2).Draw(rt, "fill")
			d.Steps[i].Crease = rapid.Float64Range(0, 1).Draw(rt, "crease")
		}
		c, err := m.ApplyDye(d)
		if err != nil {
			rt.Fatal(err)
		}
		laid, off := 0., 0.
		for _, s := range c.Steps {
			laid, off = laid+s.ML, off+s.RunOff
		}
		if got := c.DyeVolume() + off; math.Abs(got-laid) > 0.001*laid+1e-6 {
			rt.Fatalf("%.3f mL laid, %.3f in the cloth and %.3f run off", laid, c.DyeVolume(), off)
		}
		if off < -1e-3*laid-1e-6 || !c.IsFinite() {
			rt.Fatalf("%.3f mL run off, finite %v", off, c.IsFinite())
		}
	})
}

// With dye on both sides white falls to nothing as there is more of it.
func TestWhiteFalls(t *testing.T) {
	colours := mustColours(t, "navy", "rust")
	for _, k := range Kinds {
		m := mustMap(t, mustGarment(t, "tee-m"), Fold{Kind: k, Seed: 1}, 96)
		last := 1.0001
		for _, fill := range []float64{0, 0.3, 0.6, 0.9, 1.3} {
			c := mustApplyDye(t, m, colours, fill)
			if w := c.WhiteShare(); w > last+1e-9 {
				t.Errorf("%s: %.4f white at %.1f, %.4f with less dye", k, w, fill, last)
			} else {
				last = w
			}
		}
		if last > 0.005 {
			t.Errorf("%s: %.3f stays white with more dye than it takes", k, last)
		}
	}
}

// A wedge of a spiral is one arm: round a ring of the opened cloth each of n colours
// comes up once.
func TestSpiralArms(t *testing.T) {
	spiral := mustMap(t, mustGarment(t, "square-60"), Fold{Kind: Spiral, Seed: 4}, 192)
	for n := 2; n <= 6; n++ {
		names := []string{"red", "yellow", "blue", "green", "violet", "black"}[:n]
		m := spiral
		c := mustApplyDye(t, m, mustColours(t, names...), 1.1)
		for _, radius := range []float64{14, 20, 26} {
			if got := c.countArms(radius); got != n {
				t.Errorf("%d wedges give %d arms at %g cm", n, got, radius)
			}
		}
	}
}

// countArms counts the runs of one colour around a ring about the middle, short ones left out.
func (c *DyedCloth) countArms(radius float64) int {
	m := c.Map
	const steps = 720
	var around [steps]int
	for i := range around {
		theta := 2 * math.Pi * float64(i) / steps
		px := int(float64(m.Size)/2 + radius*math.Cos(theta)/m.Scale)
		py := int(float64(m.Size)/2 + radius*math.Sin(theta)/m.Scale)
		around[i] = c.colourAt(m.pixels[0][py*m.Size+px])
	}
	runs, length := 0, 0
	var order []int
	for i := 1; i <= steps; i++ {
		if i < steps && around[i] == around[i-1] {
			length++
			continue
		}
		if length > 12 {
			order = append(order, around[i-1])
		}
		length = 0
	}
	for i, k := range order {
		if i == 0 || k != order[i-1] {
			runs++
		}
	}
	if len(order) > 1 && order[0] == order[len(order)-1] {
		runs--
	}
	return runs
}

// colourAt returns the colour with the most dye at a pixel, in the cell nearest to it.
func (c *DyedCloth) colourAt(p pixelCell) int {
	wide, deep := c.Map.nu+1, c.Map.nv+1
	nearest := func(i int, weight uint8, n int) int { return min(i+int(weight>>7), n-1) }
	u := nearest(int(p.lowest)%wide, p.u, c.Map.nu)
	v := nearest(int(p.lowest)/wide%deep, p.v, c.Map.nv)
	i := (nearest(int(p.lowest)/wide/deep, p.t, cellsPerColumn)*c.Map.nv+v)*c.Map.nu + u
	most, at := float32(0), -1
	for k := range c.dyeInCells {
		if c.dyeInCells[k][i] > most {
			most, at = c.dyeInCells[k][i], k
		}
	}
	return at
}

// Radial pleats of n come out n-fold: turned by a part, the map is the same.
func TestRadialIsNFold(t *testing.T) {
	for _, n := range []int{2, 5, 8} {
		_, at := Fold{Kind: RadialPleats, Pleats: n}.radial(mustGarment(t, "square-60"), Point{30, 30}, noise{1})
		for _, p := range []Point{{8, 3}, {-4, 11}, {2, -17}} {
			sin, cos := math.Sincos(2 * math.Pi / float64(n))
			a, b := at(30+p.X, 30+p.Y, 0), at(30+p.X*cos-p.Y*sin, 30+p.X*sin+p.Y*cos, 0)
			if math.Hypot(a.u-b.u, a.v-b.v) > 1.1 { // but for the sway of a hand
				t.Errorf("%d parts: %v lies at %.2f, %.2f and turned at %.2f, %.2f", n, p, a.u, a.v, b.u, b.v)
			}
		}
	}
}

// An accordion of n pleats shows n mirrored repeats.
func TestAccordionRepeats(t *testing.T) {
	for _, n := range []int{2, 7, 12} {
		g := mustGarment(t, "square-60")
		_, at := Fold{Kind: Accordion, Pleats: n}.accordion(g, 0, 1, noise{1})
		turns, rising := 0, true
		last := at(30, 0.01, 0).u
		for y := 0.1; y < 60; y += 0.1 {
			u := at(30, y, 0).u
			if (u > last) != rising && math.Abs(u-last) > 0.02 {
				turns, rising = turns+1, !rising
			}
			last = u
		}
		if turns != n-1 {
			t.Errorf("%d pleats turn %d times", n, turns)
		}
	}
}

// A ring of a spiral's disc between shares r₁ and r₂ of its radius holds r₂² − r₁² of a round cloth.
func TestRingShares(t *testing.T) {
	outline := make([]Point, 180)
	for i := range outline {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 180)
		outline[i] = Point{40 + 40*cos, 40 + 40*sin}
	}
	g := Garment{Name: "round", Words: "round", Outline: outline, Layers: 1, Density: jerseyDensity}
	m := mustMap(t, g, Fold{Kind: Spiral, Seed: 9}, 512)
	for _, ring := range [][2]float64{{0, 0.5}, {0.5, 0.75}, {0.75, 1}} {
		want := ring[1]*ring[1] - ring[0]*ring[0]
		got := float64(m.areaOf(BundleArea{Shape: "ring", From: ring[0], To: ring[1]}).cloth) / m.totalArea
		if math.Abs(got-want) > 0.03 {
			t.Errorf("ring %v holds %.3f of the cloth, want %.3f", ring, got, want)
		}
	}
}

// Scrunched cloth has a crease every centimetre or two, wherever one looks (judgement, no
// source). A crease is where the way over the bundle turns as one goes along the cloth.
func TestCrumpleIsCreasedAllOver(t *testing.T) {
	g := mustGarment(t, "square-60")
	const step, rows = 0.05, 12
	for seed := range uint32(4) {
		_, to := Fold{Kind: Crumple, Seed: seed}.fold(g)
		creases := 0
		for row := range rows {
			y := 2.5 + 5*float64(row)
			before, from, hasBefore := Point{}, to(0, y, 0), false
			for x := step; x < 60; x += step {
				next := to(x, y, 0)
				way := Point{(next.u - from.u) / step, (next.v - from.v) / step}
				if hasBefore && math.Hypot(way.X-before.X, way.Y-before.Y) > 0.5 {
					creases++
				}
				before, from, hasBefore = way, next, true
			}
		}
		if apart := rows * 60 / float64(creases); !(apart > 0.8 && apart < 2.2) {
			t.Errorf("seed %d: a crease every %.1f cm", seed, apart)
		}
	}
}

// White is what stays so where dye was meant to be; a section without dye, and cloth under a binding, is left white.
func TestLeftWhite(t *testing.T) {
	for _, d := range []Design{
		{Name: "x", Fold: Fold{Kind: Spiral}, Dye: 1.3, A: []int{0, NoColour, 0, 0}, B: []int{0, NoColour, 0, 0}},
		{Name: "x", Fold: Fold{Kind: Rings}, Dye: 1.3, A: []int{0, 0, 0, 0}, Bound: true},
	} {
		d.Colours = []DesignColour{blue}
		full, err := d.FullColours()
		if err != nil {
			t.Fatal(err)
		}
		m := mustMap(t, mustGarment(t, "square-60"), d.Fold, 128)
		c, err := m.ApplyDye(d.DyeApplication(full, 1))
		if err != nil {
			t.Fatal(err)
		}
		if white, left := c.WhiteShare(), c.LeftWhite(); white > 0.01 || left < 0.02 || left > 0.35 {
			t.Errorf("%s: %.3f white and %.3f left so", d.Fold.Kind, white, left)
		}
	}
}

// Spots lie on the face and apart from one another, dye on them reaches no more than they cover, and all of it is kept.
func TestSpots(t *testing.T) {
	for _, k := range []Kind{Flat, Spiral, Crumple, Accordion} {
		m := mustMap(t, mustGarment(t, "tea-towel"), Fold{Kind: k, Seed: 1}, 96)
		for n := 1; n <= MaxSections; n++ {
			list := m.shape.spots(n)
			for i, p := range list {
				if !(p.r > 0 && p.x-p.r >= -1e-9 && p.x+p.r <= m.shape.width+1e-9 && p.y-p.r >= -1e-9 && p.y+p.r <= m.shape.height+1e-9) {
					t.Errorf("%s: spot %d of %d, %+v, is off the face of %.1f × %.1f cm", k, i+1, n, p, m.shape.width, m.shape.height)
				}
				for _, q := range list[:i] {
					if math.Hypot(p.x-q.x, p.y-q.y) < p.r+q.r {
						t.Errorf("%s: two of %d spots overlap: %+v %+v", k, n, p, q)
					}
				}
			}
		}
		d := Design{Name: "x", Garment: "tea-towel", Fold: m.Fold, Shape: "spot", Dye: 1, A: []int{0, 0, 0}, B: []int{0, 0, 0}, Colours: []DesignColour{blue}}
		full, err := d.FullColours()
		if err != nil || d.Check() != nil {
			t.Fatal(err, d.Check())
		}
		c, err := m.ApplyDye(d.DyeApplication(full, 1))
		if err != nil {
			t.Fatal(err)
		}
		if dyed := c.ColourShares()[0]; !(dyed > 0.15 && dyed < 0.8) {
			t.Errorf("%s: three spots dye %.2f of the cloth", k, dyed)
		}
		if face, err := d.Face(); err != nil || len(face.Sections) != 3 {
			t.Errorf("%s: %+v, %v", k, face, err)
		}
	}
}

// The same seed folds alike, another seed otherwise.
func TestSeed(t *testing.T) {
	g := mustGarment(t, "square-60")
	at := func(seed uint32) string {
		_, to := Fold{Kind: Crumple, Seed: seed}.crumple(g, noise{seed})
		s := ""
		for i := range 20 {
			p := to(float64(i)*3, float64(i*7%60), 0)
			s += fmt.Sprintf("%.3f %.3f %.3f ", p.u, p.v, p.t)
		}
		return s
	}
	if first, again := at(5), at(5); first != again || first == at(6) {
		t.Error("a crumple does not follow its seed")
	}
}

// A measure that is left out is the usual one, and each measure is used: another one folds
// otherwise. The usual numbers are common practice, no source.
func TestUsualMeasures(t *testing.T) {
	g := mustGarment(t, "square-60")
	places := func(f Fold) (s string) {
		_, to := f.fold(g)
		for i := range 20 {
			p := to(float64(i)*3, float64(i*7%60), 0)
			s += fmt.Sprintf("%.3f %.3f %.3f ", p.u, p.v, p.t)
		}
		return s
	}
	for _, row := range []struct{ left, usual, other Fold }{
		{Fold{Kind: Spiral}, Fold{Kind: Spiral, Turns: 1.5}, Fold{Kind: Spiral, Turns: 2}},
		{Fold{Kind: Accordion}, Fold{Kind: Accordion, Pleats: 10}, Fold{Kind: Accordion, Pleats: 5}},
		{Fold{Kind: RadialPleats}, Fold{Kind: RadialPleats, Pleats: 8}, Fold{Kind: RadialPleats, Pleats: 6}},
		{Fold{Kind: FoldedSquare}, Fold{Kind: FoldedSquare, Pleats: 5}, Fold{Kind: FoldedSquare, Pleats: 4}},
		{Fold{Kind: FoldedCorners}, Fold{Kind: FoldedCorners, Pleats: 5}, Fold{Kind: FoldedCorners, Pleats: 4}},
	} {
		got := places(row.left)
		if got != places(row.usual) {
			t.Errorf("%s without a measure is not folded as %+v", row.left.Kind, row.usual)
		}
		if got == places(row.other) {
			t.Errorf("%+v is folded as usual", row.other)
		}
	}
}

// A value out of range is refused; one at the end of the range works.
func TestRefusesAndEdges(t *testing.T) {
	for _, name := range []string{"", "tee", "square-4", "square-401", "60x", "x60", "axb", "NaNx3", "60x90x3", "square-Inf", "5x400"} {
		if g, err := NewGarment(name); err == nil {
			t.Errorf("%q gave %+v", name, g)
		}
	}
	g := mustGarment(t, "square-60")
	nan := math.NaN()
	for _, f := range []Fold{{}, {Kind: "knot"}, {Kind: Spiral, Turns: 5}, {Kind: Spiral, Turns: nan}, {Kind: Spiral, Turns: -1},
		{Kind: Rings, Center: Point{0.6, 0}}, {Kind: Rings, Center: Point{nan, 0}}, {Kind: Accordion, Pleats: 1}, {Kind: RadialPleats, Pleats: 25}} {
		if _, err := NewMap(g, f, 64); err == nil {
			t.Errorf("%+v was folded", f)
		}
	}
	colours := mustColours(t, "red")
	for _, k := range Kinds {
		for _, f := range []Fold{{Kind: k, Center: Point{0.5, -0.5}, Turns: 4, Pleats: 24}, {Kind: k, Center: Point{-0.5, 0.5}, Turns: 0.25, Pleats: 2}} {
			for _, name := range []string{"square-5", "400x40"} {
				c := mustApplyDye(t, mustMap(t, mustGarment(t, name), f, 64), colours, 1)
				if w := c.WhiteShare(); !c.IsFinite() || !(w >= 0 && w <= 1) {
					t.Errorf("%s %+v: white %g", name, f, w)
				}
			}
		}
	}
	if _, err := NewColour("glaucous"); err == nil {
		t.Error("a word nobody explained is a colour")
	}
	m := mustMap(t, g, Fold{Kind: Flat}, 64)
	for _, s := range []DyeStep{{Colour: 1, Side: SideA}, {Side: "c"}, {Side: SideA, Fill: nan}, {Side: SideA, Fill: 3}, {Side: SideA, Crease: -1}} {
		if _, err := m.ApplyDye(&DyeApplication{Colours: colours, Steps: []DyeStep{s}}); err == nil {
			t.Errorf("%+v was laid", s)
		}
	}
}

// Half the dye on one side leaves white inside, and turning it over is offered and helps.
func TestRemedies(t *testing.T) {
	m := mustMap(t, mustGarment(t, "tee-l"), Fold{Kind: Spiral, Seed: 1}, 256)
	d, err := NewDyeApplication(m.Fold, mustColours(t, "navy"), 1)
	if err != nil {
		t.Fatal(err)
	}
	d.Steps = d.Steps[:1] // side A alone, half full
	c, err := m.ApplyDye(d)
	if err != nil {
		t.Fatal(err)
	}
	if w := c.WhiteShare(); w < 0.3 || w > 0.6 {
		t.Errorf("%.2f stays white", w)
	}
	remedies := c.Remedies()
	if len(remedies) < 2 {
		t.Fatalf("%v", remedies)
	}
	for _, remedy := range remedies {
		if remedy.WhiteShare >= c.WhiteShare() || remedy.Words == "" {
			t.Errorf("%+v does not help against %.3f white", remedy, c.WhiteShare())
		}
	}
	if full := mustApplyDye(t, m, mustColours(t, "navy"), 1.2).Remedies(); full != nil {
		t.Errorf("a piece without white has remedies: %v", full)
	}
}
