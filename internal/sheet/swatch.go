package sheet

import "math"

// Colour is one colour on a label. Hatch is its hatching, one of eight, for printers without
// colour; it is the same on all labels of a batch.
type Colour struct {
	CapLetters string `json:"caps"`
	Word       string `json:"word"`
	RGB        string `json:"rgb"` // "#b5372a"
	Hatch      int    `json:"hatch"`
}

// HatchCount says how many hatchings there are.
const HatchCount = 8

// drawSwatch draws a piece of cloth with a pinked edge, w wide and h high. On a mono
// printer it is white with its hatching; in colour the hatching is a darker or
// lighter tone of the same colour, so that a black and white copy still tells colours apart.
func (p *painter) drawSwatch(x, y, w, h float64, c Colour, mono bool) {
	if !p.isDrawing {
		return
	}
	ground, thread := whiteInk, blackInk
	if !mono {
		ground = parseInk(c.RGB)
		thread = hatchTone(ground)
	}
	rim := max(0.12, h*0.025)
	edge := PinkedEdge(x+rim/2, y+rim/2, w-rim, h-rim, 5)
	p.page.Areas = append(p.page.Areas, FilledArea{Points: edge, Ink: ground})
	tooth := h / 10
	in := rectangle{x + tooth, y + tooth, x + w - tooth, y + h - tooth}
	step := min(h/5, 1.7)
	line := step * 0.3
	if mono {
		line = max(step*0.22, 0.1)
	}
	p.drawHatch(in, c.Hatch, step, line, thread)
	p.page.Strokes = append(p.page.Strokes, Stroke{Points: edge, Width: rim, Closed: true, Ink: blackInk})
}

// PinkedEdge is the outline of cloth cut with pinking shears, in a box w wide and h high;
// down says how many teeth a side has.
func PinkedEdge(x, y, w, h float64, down int) []Point {
	across := int(math.Round(w / h * float64(down)))
	tx, ty := w/float64(2*across+2), h/float64(2*down+2)
	out := []Point{{x + tx, y + ty}}
	side := func(n int, dx, dy, ox, oy float64) {
		at := out[len(out)-1]
		for range n {
			out = append(out, Point{at.X + dx + ox, at.Y + dy + oy}, Point{at.X + 2*dx, at.Y + 2*dy})
			at = out[len(out)-1]
		}
	}
	side(across, tx, 0, 0, -ty)
	side(down, 0, ty, tx, 0)
	side(across, -tx, 0, 0, ty)
	side(down, 0, -ty, -tx, 0)
	return out[:len(out)-1]
}

type rectangle struct{ x0, y0, x1, y1 float64 }

// drawHatch fills r with hatching n: slanted, level, slanted back, upright, crossed,
// lattice, dotted, or dense.
func (p *painter) drawHatch(r rectangle, n int, step, line float64, ink Ink) {
	n = (n%HatchCount + HatchCount) % HatchCount
	along := func(dx, dy, step float64) { p.drawParallels(r, dx, dy, step, line, ink) }
	switch n {
	case 0:
		along(1, -1, step)
	case 1:
		along(1, 0, step)
	case 2:
		along(1, 1, step*1.6)
	case 3:
		along(0, 1, step)
	case 4:
		along(1, 0, step*1.5)
		along(0, 1, step*1.5)
	case 5:
		along(1, -1, step*1.5)
		along(1, 1, step*1.5)
	case 6:
		for row, y := 0, r.y0+step*0.6; y < r.y1-step*0.3; row, y = row+1, y+step {
			for x := r.x0 + step*(0.5+float64(row%2)*0.5); x < r.x1-step*0.3; x += step {
				p.fillRectangle(x-line, y-line, 2*line, 2*line, ink)
			}
		}
	case 7:
		along(1, -1, step*0.55)
	}
}

// drawParallels draws lines of one direction across r, step apart.
func (p *painter) drawParallels(r rectangle, dx, dy, step, line float64, ink Ink) {
	n := math.Sqrt(dx*dx + dy*dy)
	nx, ny := -dy/n, dx/n // across the lines
	cx, cy := (r.x0+r.x1)/2, (r.y0+r.y1)/2
	reach := (math.Abs(nx)*(r.x1-r.x0) + math.Abs(ny)*(r.y1-r.y0)) / 2
	for k := -math.Floor(reach / step); k*step <= reach; k++ {
		px, py := cx+nx*k*step, cy+ny*k*step
		from, to := math.Inf(-1), math.Inf(1)
		// Liang and Barsky 1984: the part of a line within a rectangle.
		clip := func(d, low, high float64) bool {
			if d == 0 {
				return low < 0 && high > 0
			}
			a, b := low/d, high/d
			from, to = max(from, min(a, b)), min(to, max(a, b))
			return true
		}
		if clip(dx, r.x0-px, r.x1-px) && clip(dy, r.y0-py, r.y1-py) && from < to {
			p.drawStroke(line, ink, false, Point{px + dx*from, py + dy*from}, Point{px + dx*to, py + dy*to})
		}
	}
}

// parseInk reads a colour such as "#b5372a"; anything else returns a middle grey.
func parseInk(s string) Ink {
	out := Ink{128, 128, 128}
	if len(s) != 7 || s[0] != '#' {
		return out
	}
	var v [6]uint8
	for i := range v {
		c := s[i+1] | 0x20
		switch {
		case c >= '0' && c <= '9':
			v[i] = c - '0'
		case c >= 'a' && c <= 'f':
			v[i] = c - 'a' + 10
		default:
			return out
		}
	}
	return Ink{v[0]<<4 | v[1], v[2]<<4 | v[3], v[4]<<4 | v[5]}
}

// hatchTone is a thread of the cloth's own colour: darker, or lighter on a dark cloth.
func hatchTone(c Ink) Ink {
	// Relative luminance without linearisation is enough to choose a side (judgement).
	bright := (3*int(c[0]) + 6*int(c[1]) + int(c[2])) / 10
	var out Ink
	for i, v := range c {
		if bright > 90 {
			out[i] = uint8(int(v) * 62 / 100)
		} else {
			out[i] = uint8(int(v) + (255-int(v))*38/100)
		}
	}
	return out
}
