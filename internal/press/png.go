package press

import (
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"

	"coldbatch/internal/fault"
	"coldbatch/internal/sheet"
)

// maxPixels is the most dots a picture may have; each takes four bytes while it is drawn.
// It is a little more than an A4 page has at 600 dots per inch.
const maxPixels = 36e6

// PNG writes one page as a picture of dpi dots per inch. With mono each dot is black or
// white, as a label printer burns it. A picture that would be too large is an Input fault.
func PNG(w io.Writer, p sheet.Page, dpi int, mono bool) error {
	scale := float64(dpi) / 25.4
	if dots := p.Width * scale * p.Height * scale; dots > maxPixels {
		return fault.New(fault.Input, "a page of %.0f × %.0f mm at %d dots per inch would be too large a picture", p.Width, p.Height, dpi).
			WithHint("use fewer dots per inch, or a PDF, which is sharp on any printer")
	}
	bounds := image.Rect(0, 0, int(math.Round(p.Width*scale)), int(math.Round(p.Height*scale)))
	c := canvas{img: image.NewRGBA(bounds), scale: scale, faces: map[string]*sfnt.Font{}}
	draw.Draw(c.img, bounds, image.White, image.Point{}, draw.Src)
	for _, a := range p.Areas {
		c.fillPolygon(a.Ink, a.Points)
	}
	for _, s := range p.Strokes {
		c.drawStroke(s)
	}
	for _, code := range p.Codes {
		c.drawCode(code)
	}
	for _, t := range p.Texts {
		if err := c.drawText(t); err != nil {
			return err
		}
	}
	e := png.Encoder{CompressionLevel: png.BestSpeed}
	if !mono {
		return e.Encode(w, c.img)
	}
	bits := image.NewPaletted(bounds, color.Palette{color.White, color.Black})
	for i := range bits.Pix {
		if q := c.img.Pix[4*i:]; int(q[0])+int(q[1])+int(q[2]) < 3*128 {
			bits.Pix[i] = 1
		}
	}
	return e.Encode(w, bits)
}

// canvas draws with lengths in mm.
type canvas struct {
	img   *image.RGBA
	scale float64 // dots per mm
	ras   vector.Rasterizer
	faces map[string]*sfnt.Font
	buf   sfnt.Buffer
}

// fillShape fills the shape that f draws within box. f gets the box's corner, in dots, and
// draws relative to it.
func (c *canvas) fillShape(ink sheet.Ink, box image.Rectangle, f func(x, y float64)) {
	box = box.Intersect(c.img.Bounds())
	if box.Empty() {
		return
	}
	c.ras.Reset(box.Dx(), box.Dy())
	f(float64(box.Min.X), float64(box.Min.Y))
	c.ras.Draw(c.img, box, image.NewUniform(color.RGBA{ink[0], ink[1], ink[2], 255}), image.Point{})
}

// fillPolygon fills a polygon.
func (c *canvas) fillPolygon(ink sheet.Ink, points []sheet.Point) {
	low, high := points[0], points[0]
	for _, p := range points {
		low, high = sheet.Point{X: min(low.X, p.X), Y: min(low.Y, p.Y)}, sheet.Point{X: max(high.X, p.X), Y: max(high.Y, p.Y)}
	}
	box := image.Rect(int(low.X*c.scale)-1, int(low.Y*c.scale)-1, int(high.X*c.scale)+2, int(high.Y*c.scale)+2)
	c.fillShape(ink, box, func(x, y float64) {
		for i, p := range points {
			at := [2]float32{float32(p.X*c.scale - x), float32(p.Y*c.scale - y)}
			if i == 0 {
				c.ras.MoveTo(at[0], at[1])
			} else {
				c.ras.LineTo(at[0], at[1])
			}
		}
		c.ras.ClosePath()
	})
}

// drawStroke draws each piece of a line as a rectangle, a little longer at corners so that
// they close.
func (c *canvas) drawStroke(s sheet.Stroke) {
	points := s.Points
	if s.Closed {
		points = append(points[:len(points):len(points)], points[0])
	}
	half := max(s.Width, 0.8/c.scale) / 2
	corner := 0.0
	if len(points) > 2 {
		corner = half * 0.5
	}
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		n := math.Hypot(b.X-a.X, b.Y-a.Y)
		if n == 0 {
			continue
		}
		ux, uy := (b.X-a.X)/n, (b.Y-a.Y)/n
		step := n
		if s.Dash > 0 {
			step = s.Dash
		}
		for at := 0.0; at < n; at += 2 * step {
			from, to := at-corner, min(at+step, n)+corner
			p, q := sheet.Point{X: a.X + ux*from, Y: a.Y + uy*from}, sheet.Point{X: a.X + ux*to, Y: a.Y + uy*to}
			ox, oy := -uy*half, ux*half
			c.fillPolygon(s.Ink, []sheet.Point{{X: p.X + ox, Y: p.Y + oy}, {X: q.X + ox, Y: q.Y + oy}, {X: q.X - ox, Y: q.Y - oy}, {X: p.X - ox, Y: p.Y - oy}})
		}
	}
}

// drawCode draws the modules on whole dots.
func (c *canvas) drawCode(code sheet.CodeBox) {
	at := func(v float64) int { return int(math.Round(v * c.scale)) }
	for y, row := range code.Rows {
		for x := range len(row) {
			if row[x] != '1' {
				continue
			}
			box := image.Rect(at(code.X+float64(x)*code.Module), at(code.Y+float64(y)*code.Module), at(code.X+float64(x+1)*code.Module), at(code.Y+float64(y+1)*code.Module))
			draw.Draw(c.img, box, image.Black, image.Point{}, draw.Src)
		}
	}
}

// drawText fills the outlines of the letters of t.
func (c *canvas) drawText(t sheet.PlacedText) error {
	f, err := c.loadFace(t.Face, t.Bold)
	if err != nil {
		return err
	}
	em := fixed.Int26_6(math.Round(t.Size * c.scale * 64))
	x, y := t.X*c.scale, t.Y*c.scale
	size := int(math.Ceil(t.Size*c.scale)) + 1
	for _, r := range t.Text {
		g, err := f.GlyphIndex(&c.buf, r)
		if err != nil {
			return err
		}
		outline, err := f.LoadGlyph(&c.buf, g, em, nil)
		if err != nil {
			return err
		}
		box := image.Rect(int(x)-size, int(y)-2*size, int(x)+3*size, int(y)+size)
		c.fillShape(t.Ink, box, func(ox, oy float64) {
			to := func(p fixed.Point26_6) (float32, float32) {
				return float32(x - ox + float64(p.X)/64*t.Squeeze), float32(y - oy + float64(p.Y)/64)
			}
			for _, s := range outline {
				ax, ay := to(s.Args[0])
				switch s.Op {
				case sfnt.SegmentOpMoveTo:
					c.ras.ClosePath()
					c.ras.MoveTo(ax, ay)
				case sfnt.SegmentOpLineTo:
					c.ras.LineTo(ax, ay)
				case sfnt.SegmentOpQuadTo:
					bx, by := to(s.Args[1])
					c.ras.QuadTo(ax, ay, bx, by)
				case sfnt.SegmentOpCubeTo:
					bx, by := to(s.Args[1])
					dx, dy := to(s.Args[2])
					c.ras.CubeTo(ax, ay, bx, by, dx, dy)
				}
			}
			c.ras.ClosePath()
		})
		advance, err := f.GlyphAdvance(&c.buf, g, em, font.HintingNone)
		if err != nil {
			return err
		}
		x += float64(advance) / 64 * t.Squeeze
	}
	return nil
}

func (c *canvas) loadFace(face int, bold bool) (*sfnt.Font, error) {
	key := sheet.FontFaces[face]
	if bold {
		key += " bold"
	}
	if f := c.faces[key]; f != nil {
		return f, nil
	}
	file, err := fontFile(face, bold)
	if err != nil {
		return nil, err
	}
	f, err := sfnt.Parse(file)
	c.faces[key] = f
	return f, err
}
