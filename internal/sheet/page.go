package sheet

// Page is a drawing, in mm from its upper left corner. Areas lie at the bottom,
// then strokes, codes, and texts at the top.
type Page struct {
	Width, Height float64
	Areas         []FilledArea
	Strokes       []Stroke
	Codes         []CodeBox
	Texts         []PlacedText
}

// Ink is a colour, red, green and blue.
type Ink [3]uint8

var (
	blackInk = Ink{}
	whiteInk = Ink{255, 255, 255}
)

// Point is a place on a page.
type Point struct{ X, Y float64 }

// FilledArea is a filled polygon.
type FilledArea struct {
	Points []Point
	Ink    Ink
}

// Stroke is a line through points, with its width. Closed joins the last with the
// first; Dash is the length of a dash and of the gap after it, 0 for none.
type Stroke struct {
	Points []Point
	Width  float64
	Dash   float64
	Closed bool
	Ink    Ink
}

// CodeBox is a QR code: X, Y is the corner of its first module, Module the side of
// one. Nothing else is drawn in the quiet zone around it.
type CodeBox struct {
	X, Y, Module float64
	Matrix
	Text string // what it says
}

// PlacedText is one line in one face: X, Y is where its baseline begins. Size is that of
// the face, in mm, and Width what the line takes; both hold before Squeeze, the
// share of its width to which it is narrowed, is applied.
type PlacedText struct {
	X, Y, Size, Width, Squeeze float64
	Face                       int // index into FontFaces
	Bold                       bool
	Ink                        Ink
	Text                       string
}

// FontFaces are the faces of texts by the names of their files, without the weight.
var FontFaces = [...]string{"atkinson-hyperlegible-next-latin", "atkinson-hyperlegible-next-latin-ext", "noto-sans-greek-cyrillic"}

// painter draws on a page, or only measures if isDrawing is false.
type painter struct {
	page      *Page
	isDrawing bool
}

// drawText draws s, one line as plainTexts returns it, from x
// along the baseline y, and returns its width. size is the font size: capitals are 0.668 of it high.
func (p *painter) drawText(x, y, size float64, bold bool, ink Ink, squeeze float64, s string) float64 {
	if !p.isDrawing {
		return textWidth(s, bold) * size * squeeze
	}
	begin := x
	for s != "" {
		face, n, w := fontRun(s, bold)
		if face < 0 {
			p.drawMissingGlyph(x, y, size, squeeze, ink)
			w = missingGlyphWidth
		} else {
			k := faceScale(face)
			p.page.Texts = append(p.page.Texts, PlacedText{X: x, Y: y, Size: size * k, Width: w * size, Squeeze: squeeze, Face: face, Bold: bold, Ink: ink, Text: s[:n]})
		}
		x += w * size * squeeze
		s = s[n:]
	}
	return x - begin
}

// fontRun returns the first characters of s that have the same font: the font, their number
// of bytes, and their width at size 1. A character that no font has is a run of its own with
// face −1.
func fontRun(s string, bold bool) (face, n int, width float64) {
	face = -1
	for i, r := range s {
		f, w, ok := findGlyph(r, bold)
		if !ok {
			f = -1
		}
		if i > 0 && (f != face || f < 0) {
			return face, i, width
		}
		face = f
		if ok {
			width += float64(w) / 1000 * faceScale(f)
		}
	}
	return face, len(s), width
}

// drawMissingGlyph draws □ for a character that no font has.
func (p *painter) drawMissingGlyph(x, y, size, squeeze float64, ink Ink) {
	side := missingGlyphWidth - 0.12
	p.strokeRectangle(x+0.06*size*squeeze, y-side*size, side*size*squeeze, side*size, size*0.05, ink)
}

// strokeRectangle strokes a rectangle.
func (p *painter) strokeRectangle(x, y, w, h, line float64, ink Ink) {
	p.drawStroke(line, ink, true, Point{x, y}, Point{x + w, y}, Point{x + w, y + h}, Point{x, y + h})
}

func (p *painter) drawStroke(line float64, ink Ink, closed bool, points ...Point) {
	if p.isDrawing {
		p.page.Strokes = append(p.page.Strokes, Stroke{Points: points, Width: line, Closed: closed, Ink: ink})
	}
}

// fillRectangle fills a rectangle.
func (p *painter) fillRectangle(x, y, w, h float64, ink Ink) {
	if p.isDrawing {
		p.page.Areas = append(p.page.Areas, FilledArea{Points: []Point{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}, Ink: ink})
	}
}
