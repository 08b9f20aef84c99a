package press

import (
	"io"
	"math"
	"strconv"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"coldbatch/internal/sheet"
)

// pointsPerMM says how many points, of 1/72 inch, are in a millimetre (PDF, ISO 32000,
// 8.3.2.3).
const pointsPerMM = 72 / 25.4

// PDF writes pages as a PDF, each in its own size; at is the date of the document. The
// modules of codes are rectangles and text is text, so no part of it is a bitmap.
func PDF(w io.Writer, title string, at time.Time, pages []sheet.Page) error {
	f := fpdf.New("P", "mm", "A4", "")
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	f.SetCatalogSort(true)
	f.SetCreationDate(at)
	f.SetModificationDate(at)
	f.SetTitle(title, true)
	f.SetCreator("coldbatch", true)
	added := map[string]bool{}
	var d pdfDrawing
	for _, p := range pages {
		f.AddPageFormat("P", fpdf.SizeType{Wd: p.Width, Ht: p.Height})
		d.beginPage(p)
		f.RawWriteStr(string(d.out))
		for _, t := range p.Texts {
			if err := writeText(f, added, t); err != nil {
				return err
			}
		}
	}
	return f.Output(w)
}

// writeText adds one line of text to the page. added holds the fonts added so far.
func writeText(f *fpdf.Fpdf, added map[string]bool, t sheet.PlacedText) error {
	family, style := sheet.FontFaces[t.Face], ""
	if t.Bold {
		style = "B"
	}
	if !added[family+style] {
		file, err := fontFile(t.Face, t.Bold)
		if err != nil {
			return err
		}
		f.AddUTF8FontFromBytes(family, style, file)
		added[family+style] = true
	}
	f.SetFont(family, style, t.Size*pointsPerMM)
	f.SetTextColor(int(t.Ink[0]), int(t.Ink[1]), int(t.Ink[2]))
	if t.Squeeze != 1 {
		f.RawWriteStr(strconv.FormatFloat(t.Squeeze*100, 'f', 3, 64) + " Tz")
	}
	f.Text(t.X, t.Y, t.Text)
	if t.Squeeze != 1 {
		f.RawWriteStr("100 Tz")
	}
	return f.Error()
}

// pdfDrawing is the content of a page without its texts, as PDF operators.
type pdfDrawing struct {
	out    []byte
	height float64
}

func (d *pdfDrawing) beginPage(p sheet.Page) {
	d.out, d.height = d.out[:0], p.Height
	d.writeLine("q 1 j")
	for _, a := range p.Areas {
		d.writeInk(a.Ink)
		d.writeLine("rg")
		d.writePath(a.Points)
		d.writeLine("h f")
	}
	for _, s := range p.Strokes {
		d.writeInk(s.Ink)
		d.writeLine("RG")
		d.writeNumber(s.Width * pointsPerMM)
		d.writeLine("w")
		if s.Dash > 0 {
			d.writeLine("[")
			d.writeNumber(s.Dash * pointsPerMM)
			d.writeLine("] 0 d")
		}
		d.writePath(s.Points)
		if s.Closed {
			d.writeLine("h")
		}
		d.writeLine("S")
		if s.Dash > 0 {
			d.writeLine("[] 0 d")
		}
	}
	d.writeLine("0 0 0 rg")
	for _, c := range p.Codes {
		d.drawCode(c)
	}
	d.writeLine("Q")
}

// drawCode draws each run of dark modules as a rectangle, and all of them as one path, so
// that no light seam shows between rows.
func (d *pdfDrawing) drawCode(c sheet.CodeBox) {
	for y, row := range c.Rows {
		for x := 0; x < len(row); x++ {
			if row[x] != '1' {
				continue
			}
			run := 1
			for x+run < len(row) && row[x+run] == '1' {
				run++
			}
			d.writePoint(sheet.Point{X: c.X + float64(x)*c.Module, Y: c.Y + float64(y+1)*c.Module})
			d.writeNumber(float64(run) * c.Module * pointsPerMM)
			d.writeNumber(c.Module * pointsPerMM)
			d.writeLine("re")
			x += run
		}
	}
	d.writeLine("f")
}

func (d *pdfDrawing) writePath(points []sheet.Point) {
	for i, p := range points {
		d.writePoint(p)
		if i == 0 {
			d.writeLine("m")
		} else {
			d.writeLine("l")
		}
	}
}

func (d *pdfDrawing) writePoint(p sheet.Point) {
	d.writeNumber(p.X * pointsPerMM)
	d.writeNumber((d.height - p.Y) * pointsPerMM)
}

func (d *pdfDrawing) writeInk(i sheet.Ink) {
	for _, v := range i {
		d.writeNumber(float64(v) / 255)
	}
}

func (d *pdfDrawing) writeLine(s string) {
	d.out = append(d.out, s...)
	d.out = append(d.out, '\n')
}

// writeNumber writes v to a ten-thousandth of a point, without trailing zeros.
func (d *pdfDrawing) writeNumber(v float64) {
	n := int64(math.Round(v * 1e4))
	if n < 0 {
		d.out = append(d.out, '-')
		n = -n
	}
	d.out = strconv.AppendInt(d.out, n/1e4, 10)
	if rest := n % 1e4; rest != 0 {
		digits := [5]byte{'.', byte('0' + rest/1000), byte('0' + rest/100%10), byte('0' + rest/10%10), byte('0' + rest%10)}
		end := 5
		for digits[end-1] == '0' {
			end--
		}
		d.out = append(d.out, digits[:end]...)
	}
	d.out = append(d.out, ' ')
}
