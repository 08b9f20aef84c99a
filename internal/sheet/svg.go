package sheet

import (
	"strconv"
	"strings"
)

// SVG draws p, one user unit to a millimetre. It has no style and no script, so
// a strict content security policy allows it. Every line of text has a fixed width,
// whatever fonts the reader has.
func (p Page) SVG() string {
	w := svgBuilder{}
	w.write(`<svg xmlns="http://www.w3.org/2000/svg" width="`, p.Width, `mm" height="`, p.Height, `mm" viewBox="0 0 `, p.Width, " ", p.Height, `" font-family="Atkinson Hyperlegible Next, sans-serif">`)
	w.write(`<path fill="#fff" d="M0 0h`, p.Width, "v", p.Height, `H0z"/>`)
	for _, a := range p.Areas {
		w.write(`<path fill="`, a.Ink, `" d="`, a.Points, `z"/>`)
	}
	for _, s := range p.Strokes {
		w.write(`<path fill="none" stroke="`, s.Ink, `" stroke-width="`, s.Width, `"`)
		if s.Dash > 0 {
			w.write(` stroke-dasharray="`, s.Dash, `"`)
		}
		w.write(` d="`, s.Points)
		if s.Closed {
			w.write("z")
		}
		w.write(`"/>`)
	}
	for _, c := range p.Codes {
		w.write(`<path shape-rendering="crispEdges" transform="translate(`, c.X, " ", c.Y, `) scale(`, c.Module, `)" d="`)
		c.writeDarkRuns(&w.Builder, 0)
		w.write(`"/>`)
	}
	for _, t := range p.Texts {
		w.write(`<text font-size="`, t.Size, `" textLength="`, t.Width, `" lengthAdjust="spacingAndGlyphs" xml:space="preserve"`)
		if t.Bold {
			w.write(` font-weight="700"`)
		}
		if t.Ink != blackInk {
			w.write(` fill="`, t.Ink, `"`)
		}
		if t.Squeeze == 1 {
			w.write(` x="`, t.X, `" y="`, t.Y, `">`)
		} else {
			w.write(` transform="translate(`, t.X, " ", t.Y, `) scale(`, t.Squeeze, ` 1)">`)
		}
		w.writeEscaped(t.Text)
		w.write("</text>")
	}
	w.write("</svg>")
	return w.String()
}

type svgBuilder struct{ strings.Builder }

func (w *svgBuilder) write(parts ...any) {
	for _, p := range parts {
		switch p := p.(type) {
		case string:
			w.WriteString(p)
		case float64:
			w.writeNumber(p)
		case Ink:
			const hex = "0123456789abcdef"
			w.WriteByte('#')
			for _, v := range p {
				w.WriteByte(hex[v>>4])
				w.WriteByte(hex[v&15])
			}
		case []Point:
			for i, a := range p {
				if i == 0 {
					w.WriteByte('M')
				} else {
					w.WriteByte('L')
				}
				w.writeNumber(a.X)
				w.WriteByte(' ')
				w.writeNumber(a.Y)
			}
		}
	}
}

func (w *svgBuilder) writeEscaped(s string) {
	for _, r := range s {
		switch r {
		case '&':
			w.WriteString("&amp;")
		case '<':
			w.WriteString("&lt;")
		case '>':
			w.WriteString("&gt;")
		default:
			w.WriteRune(r)
		}
	}
}

// writeNumber writes v to a ten-thousandth.
func (w *svgBuilder) writeNumber(v float64) {
	s := strconv.FormatFloat(v, 'f', 4, 64)
	w.WriteString(strings.TrimRight(strings.TrimRight(s, "0"), "."))
}

// writeDarkRuns writes the dark modules of m as a path, one unit a module: each run in a row is one
// rectangle.
func (m Matrix) writeDarkRuns(b *strings.Builder, from int) {
	for y, row := range m.Rows {
		for x := 0; x < len(row); x++ {
			if row[x] != '1' {
				continue
			}
			run := 1
			for x+run < len(row) && row[x+run] == '1' {
				run++
			}
			b.WriteString("M" + strconv.Itoa(x+from) + " " + strconv.Itoa(y+from) + "h" + strconv.Itoa(run) + "v1h-" + strconv.Itoa(run) + "z")
			x += run
		}
	}
}
