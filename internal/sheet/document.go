package sheet

import "strconv"

// Document is text in blocks, to print on sheets of paper.
type Document struct {
	Title, Sub string
	Blocks     []Block
	Footer     string // at the foot of each page, before the number of the page
}

// Block is rows under a heading.
type Block struct {
	Heading string
	Rows    []Row
}

// Row is a label with a text beside it, and swatches in front of the text. Without a label the
// text begins at the margin.
type Row struct {
	Label, Text string
	Colours     []Colour
}

// Measures of a document in mm: Size is that of a text, as painter.drawText takes it.
const (
	documentMargin = 16.0
	labelColumn    = 34.0
	columnGap      = 3.0
	titleSize      = 8.0
	headingSize    = 4.6
	textSize       = 3.7
	lineHeight     = 5.1
	blockGap       = 5.0
	rowGap         = 1.4
	swatchWidth    = 7.0
	swatchGap      = 1.5
)

// Pages lays the document out on pages of that width and height in mm. A heading stays with its
// first row, and a row is divided only if it is longer than a page.
func (d Document) Pages(width, height float64) []Page {
	l := documentWriter{width: width, height: height}
	l.addPage()
	l.y += titleSize * capHeight
	l.drawLines(documentMargin, width-2*documentMargin, titleSize, titleSize*1.25, true, d.Title)
	if d.Sub != "" {
		l.drawLines(documentMargin, width-2*documentMargin, textSize, lineHeight, false, d.Sub)
	}
	for _, b := range d.Blocks {
		for i, r := range b.Rows {
			need := l.rowHeight(r)
			if i == 0 {
				need += blockGap + headingSize*2
			}
			if l.y+need > l.bottom() && need < l.bottom()-l.top() {
				l.addPage()
			}
			if i == 0 {
				l.drawHeading(b.Heading)
			}
			l.drawRow(r)
		}
	}
	for i := range l.pages {
		p := painter{page: &l.pages[i], isDrawing: true}
		number := "page " + strconv.Itoa(i+1) + " of " + strconv.Itoa(len(l.pages))
		p.drawText(width-documentMargin-textWidth(number, false)*textSize, height-documentMargin/2, textSize, false, blackInk, 1, number)
		footer, _ := wrapText(cleanLine(d.Footer), false, (width-3*documentMargin)/textSize-textWidth(number, false), 1)
		for _, line := range footer {
			p.drawText(documentMargin, height-documentMargin/2, textSize, false, blackInk, 1, line)
		}
	}
	return l.pages
}

// documentWriter fills pages from the top; y is the baseline of the line that was written last.
type documentWriter struct {
	width, height, y float64
	pages            []Page
}

func (l *documentWriter) top() float64 { return documentMargin }

func (l *documentWriter) bottom() float64 { return l.height - documentMargin*1.2 }

func (l *documentWriter) painter() *painter {
	return &painter{page: &l.pages[len(l.pages)-1], isDrawing: true}
}

func (l *documentWriter) addPage() {
	l.pages = append(l.pages, Page{Width: l.width, Height: l.height})
	l.y = l.top()
}

// drawLines writes a text in as many lines as it takes, and goes on to the next page where one is full.
func (l *documentWriter) drawLines(x, width, size, height float64, bold bool, text string) {
	lines, _ := wrapText(cleanLine(text), bold, width/size, maxLines)
	for i, line := range lines {
		if i > 0 || size == textSize {
			l.y += height
		}
		if l.y > l.bottom() {
			l.addPage()
			l.y += height
		}
		l.painter().drawText(x, l.y, size, bold, blackInk, 1, line)
	}
}

// maxLines is more than any text has: one of 10,000 letters fills some 200.
const maxLines = 10_000

func (l *documentWriter) drawHeading(text string) {
	l.y += blockGap + headingSize*capHeight
	p := l.painter()
	p.drawText(documentMargin, l.y, headingSize, true, blackInk, 1, cleanLine(text))
	l.y += 1.4
	p.drawStroke(0.25, blackInk, false, Point{documentMargin, l.y}, Point{l.width - documentMargin, l.y})
	l.y += 0.6
}

// textColumn returns where the text of a row begins, and how wide it may be.
func (l *documentWriter) textColumn(r Row) (x, width float64) {
	x = documentMargin
	if r.Label != "" {
		x += labelColumn + columnGap
	}
	x += float64(len(r.Colours)) * (swatchWidth + swatchGap)
	return x, max(30, l.width-documentMargin-x)
}

func (l *documentWriter) rowHeight(r Row) float64 {
	_, width := l.textColumn(r)
	lines, _ := wrapText(cleanLine(r.Text), false, width/textSize, maxLines)
	labels, _ := wrapText(cleanLine(r.Label), true, labelColumn/textSize, maxLines)
	return float64(max(1, len(lines), len(labels)))*lineHeight + rowGap
}

func (l *documentWriter) drawRow(r Row) {
	x, width := l.textColumn(r)
	begin, page := l.y, len(l.pages)
	for i, c := range r.Colours {
		at := x - float64(len(r.Colours)-i)*(swatchWidth+swatchGap)
		l.painter().drawSwatch(at, l.y+lineHeight-textSize*capHeight-0.5, swatchWidth, textSize*capHeight+1, c, false)
	}
	l.drawLines(documentMargin, labelColumn, textSize, lineHeight, true, r.Label)
	end := l.y
	if len(l.pages) == page {
		l.y = begin
	}
	l.drawLines(x, width, textSize, lineHeight, false, r.Text)
	if len(l.pages) == page {
		l.y = max(l.y, end)
	}
	l.y += rowGap
}
