package sheet

import (
	"math"
	"slices"

	"coldbatch/internal/fault"
)

// Options describe how a label is printed. DPI is that of the printer; modules of codes
// are whole dots of it. BlackAndWhite is for a printer that prints only black.
type Options struct {
	DPI           int  `json:"dpi"`
	BlackAndWhite bool `json:"mono"`
}

// Omitted is what was left out of a label: parts without room, in words, and characters that
// no font has, drawn as □.
type Omitted struct {
	DroppedParts      []string `json:"dropped"`
	UnknownCharacters string   `json:"unknown"`
}

// What LayOut accepts, in mm and dots per inch.
const (
	minWidth, maxWidth   = 25, 420
	minHeight, maxHeight = 12, 420
	minDPI, maxDPI       = 150, 2400
)

// LayOut draws t on a label of width by height mm, 25 to 420 by 12 to 420. The number is at
// least 12 mm high if that fits, and 25 mm from 105 by 74 mm on. Texts shrink to 2.1 mm, then
// parts are dropped, then everything shrinks. LayOut returns code Input for a size or a
// resolution out of range.
func LayOut(t LabelText, width, height float64, o Options) (Page, Omitted, error) {
	if !(width >= minWidth && width <= maxWidth && height >= minHeight && height <= maxHeight) {
		return Page{}, Omitted{}, fault.New(fault.Input, "a label of %g by %g mm is not accepted", width, height).
			WithHint("%d to %d mm wide, %d to %d mm high", minWidth, maxWidth, minHeight, maxHeight)
	}
	if o.DPI < minDPI || o.DPI > maxDPI {
		return Page{}, Omitted{}, fault.New(fault.Input, "a resolution of %d dots per inch is not accepted", o.DPI).
			WithHint("%d to %d; label printers have 203 or 300, laser printers 600", minDPI, maxDPI)
	}
	page := Page{Width: width, Height: height}
	l := layout{w: width, h: height, o: o, isPortrait: height > width*1.1, painter: painter{&page, true}}
	left := Omitted{DroppedParts: []string{}}
	l.t, left.UnknownCharacters = t.plainTexts()
	l.drawEdge()
	coded, err := l.drawCodes()
	if err != nil {
		return Page{}, Omitted{}, err
	}
	if !coded && t.Address != "" {
		left.DroppedParts = append(left.DroppedParts, "the code")
	}
	left.DroppedParts = append(left.DroppedParts, l.fitTexts()...)
	l.isDrawing = true
	l.placeBlocks()
	return page, left, nil
}

// layout is one label being laid out. Its column is where text goes: x0, y0 to x1, y1.
type layout struct {
	painter
	t              LabelText
	o              Options
	w, h           float64
	isPortrait     bool // higher than wide
	outlineInset   float64
	x0, y0, x1, y1 float64
	idUnderCode    bool // the id is under the code
	hasLargeSwatch bool // the one colour, as a bottle has, is a large piece of cloth where a code would be

	textSize      float64 // size of text
	numberHeight  float64 // height of the number
	blockGap      float64 // between blocks
	gapCount      int     // how many gaps flow left
	timeInline    bool    // lead and time on one line
	coloursBeside bool    // colours beside the number
	isTight       bool    // small gaps, and the time little larger than the other texts
}

// drawEdge draws the outline of a paper tag, cut at the corners of the side of its
// hole, where there is room for one, and sets the column.
func (l *layout) drawEdge() {
	w, h := l.w, l.h
	short := min(w, h)
	if l.isPortrait && (w < 40 || h < 60) || !l.isPortrait && (w < 66 || h < 34) {
		l.outlineInset = 0
		m := max(0.8, short*0.028)
		l.x0, l.y0, l.x1, l.y1 = m+0.4, m, w-m-0.4, h-m
		return
	}
	l.outlineInset = short * 0.027
	corner, hole := short*0.075, min(2.8, max(1.4, short*0.036))
	line := max(0.3, short*0.006)
	at := l.outlineInset + max(corner*0.8, hole+short*0.025)
	pad := max(1, short*0.03)
	rim := at + hole + pad
	if l.isPortrait {
		l.drawStroke(line, blackInk, true, Point{l.outlineInset, l.outlineInset + corner}, Point{l.outlineInset + corner*1.3, l.outlineInset}, Point{w - l.outlineInset - corner*1.3, l.outlineInset}, Point{w - l.outlineInset, l.outlineInset + corner},
			Point{w - l.outlineInset, h - l.outlineInset}, Point{l.outlineInset, h - l.outlineInset})
		l.strokeCircle(w/2, at, hole, line)
		l.x0, l.y0, l.x1, l.y1 = l.outlineInset+pad, rim, w-l.outlineInset-pad, h-l.outlineInset-pad
		return
	}
	l.drawStroke(line, blackInk, true, Point{l.outlineInset + corner, l.outlineInset}, Point{w - l.outlineInset, l.outlineInset}, Point{w - l.outlineInset, h - l.outlineInset}, Point{l.outlineInset + corner, h - l.outlineInset},
		Point{l.outlineInset, h - l.outlineInset - corner*1.3}, Point{l.outlineInset, l.outlineInset + corner*1.3})
	l.strokeCircle(at, h/2, hole, line)
	l.x0, l.y0, l.x1, l.y1 = rim, l.outlineInset+pad, w-l.outlineInset-pad, h-l.outlineInset-pad
}

func (p *painter) strokeCircle(x, y, r, line float64) {
	const c, s = 0.984807753012208, 0.17364817766693 // cosine and sine of 10°
	points := make([]Point, 36)
	for i, dx, dy := 0, r, 0.0; i < len(points); i++ {
		points[i] = Point{x + dx, y + dy}
		dx, dy = dx*c-dy*s, dx*s+dy*c
	}
	p.drawStroke(line, blackInk, true, points...)
}

// minColumn is the least width of a text column beside a code: a number of two digits
// at 12 mm.
const minColumn = 23.8

// drawCodes draws the code with the id under it, and makes the column narrower by their room. On
// a large label it draws the code in two corners, so that one splash cannot spoil both.
func (l *layout) drawCodes() (bool, error) {
	if l.t.Address == "" {
		l.hasLargeSwatch = len(l.t.Colours) == 1 && l.t.Number != "" && !l.isPortrait
		return false, nil
	}
	rim := l.outlineInset + max(0.4, l.outlineInset*0.3) // a quiet zone is white: it may reach the outline
	id := min(3.1, max(2.3, min(l.w, l.h)*0.07))
	idRoom := 0.0
	if l.t.TypedID != "" {
		idRoom = id * 1.05
	}
	wide, high := l.w-2*rim, l.h-2*rim
	if l.isPortrait {
		two := l.w >= 55 && l.h >= 90
		side := min(wide, high*0.42-idRoom)
		if two {
			side = min(wide/2, high*0.4-idRoom)
		}
		m, module, ok, err := fitCode(l.t.Address, side, l.o.DPI)
		if !ok || err != nil {
			return false, err
		}
		side = float64(m.Size+2*QuietZone) * module
		top := l.h - rim - idRoom - side
		if two {
			l.drawCode(m, module, rim, top, id)
			l.drawCode(m, module, l.w-rim-side, top, id)
		} else {
			l.drawCode(m, module, (l.w-side)/2, top, id)
		}
		l.y1 = top - 0.2
		return true, nil
	}
	two := l.w >= 95 && l.h >= 66
	side := high - idRoom
	switch {
	case two:
		side = high/2 - idRoom
	case side < 24.6: // every dot counts: the id goes into the column
		side, idRoom = high, 0
	}
	side = min(side, max(l.w*0.36, 24.6), l.w-rim-l.x0-minColumn)
	m, module, ok, err := fitCode(l.t.Address, side, l.o.DPI)
	if !ok || err != nil {
		return false, err
	}
	side = float64(m.Size+2*QuietZone) * module
	x := l.w - rim - side
	if idRoom == 0 {
		id = 0
	}
	if two {
		l.drawCode(m, module, x, rim, id)
		l.drawCode(m, module, x, l.h-rim-idRoom-side, id)
	} else {
		l.drawCode(m, module, x, (l.h-side-idRoom)/2, id)
	}
	l.x1 = x - 0.4
	return true, nil
}

// drawCode draws one code whose quiet zone begins at x, y, and the id under it at size
// id, 0 for none. It moves it to the grid of dots.
func (l *layout) drawCode(m Matrix, module, x, y, id float64) {
	dot := mmPerInch / float64(l.o.DPI)
	x, y = math.Floor(x/dot+1e-6)*dot, math.Floor(y/dot+1e-6)*dot
	side := float64(m.Size+2*QuietZone) * module
	l.page.Codes = append(l.page.Codes, CodeBox{X: x + QuietZone*module, Y: y + QuietZone*module, Module: module, Matrix: m, Text: l.t.Address})
	if id == 0 || l.t.TypedID == "" || !hasCapitalHeight(l.t.TypedID) {
		return
	}
	l.idUnderCode = true
	w := textWidth(l.t.TypedID, true)
	id = min(id, side/w)
	l.drawText(x+(side-w*id)/2, y+side+id*0.75, id, true, blackInk, 1, l.t.TypedID)
}

// fitTexts chooses the size of texts and drops what does not fit. It returns what it dropped,
// in words.
func (l *layout) fitTexts() (left []string) {
	l.isDrawing = false
	base := min(l.h, l.w*0.62)
	if l.isPortrait {
		base = min(l.w, l.h*0.62)
	}
	most := min(4.6, max(2.6, base*0.075))
	least := max(2.1, most*0.7)
	height := max(12, (l.y1-l.y0)*0.36)
	switch {
	case l.isPortrait:
		height = min(26, max(12, (l.y1-l.y0)*0.36))
	case l.w >= 105 && l.h >= 74:
		height = 25.5
	default:
		height = min(25, height)
	}
	if l.t.Address == "" { // no bag: what is in it counts more than its letters
		height = min(26, max(12, (l.y1-l.y0)*0.26))
	}
	height = min(height, (l.y1-l.y0)*0.8)
	l.numberHeight = height
	full := l.t
	var gone []int
	room := l.hasRoom(least)
	for drop := 1; drop < dropCount && !room; drop++ {
		for !room && l.t.hasPart(drop) {
			l.t = l.t.withoutPart(drop)
			room = l.hasRoom(least)
			if len(gone) == 0 || gone[len(gone)-1] != drop {
				gone = append(gone, drop)
			}
		}
	}
	if !room { // what must stand there shrinks until it fits
		for l.numberHeight > 0.5 && !l.fits() {
			l.numberHeight, l.textSize = l.numberHeight*0.93, l.textSize*0.95
		}
		most, least = l.textSize, l.textSize
	}
	// What was dropped in vain comes back, the most important first.
	for _, drop := range slices.Backward(gone) {
		was := l.t
		l.t = l.t.withPart(drop, full)
		if !l.hasRoom(least) {
			l.t = was
			left = append(left, full.dropName(drop))
		}
	}
	l.chooseTextSize(most, least)
	slices.Reverse(left)
	return left
}

// hasRoom says whether the label fits at the smallest size of text, with small gaps.
func (l *layout) hasRoom(least float64) bool {
	l.textSize, l.isTight = least, true
	return l.arrangeColours(false) || l.arrangeColours(true)
}

// chooseTextSize chooses the largest size of text that fits: first with the time on a line of
// its own, then with its lead before it, then all of it closer.
func (l *layout) chooseTextSize(most, least float64) {
	const steps = 5
	for _, l.isTight = range []bool{false, true} {
		for _, inline := range []bool{false, true} {
			for i := range steps {
				l.textSize = least + (most-least)*float64(steps-1-i)/(steps-1) // the last is exactly least, which is known to fit
				if l.arrangeColours(inline) {
					return
				}
			}
		}
	}
}

// arrangeColours tries the colours below the other texts, then beside the number.
func (l *layout) arrangeColours(inline bool) bool {
	l.timeInline, l.coloursBeside = inline, false
	if l.fits() {
		return true
	}
	l.coloursBeside = true
	return len(l.t.Colours) > 0 && l.fits()
}

// fits tries the sizes as they are; where they fit it shares out what is left.
func (l *layout) fits() bool {
	l.blockGap = l.textSize * 0.38
	if l.isTight {
		l.blockGap = l.textSize * 0.2
	}
	spare := l.y1 - l.placeBlocks()
	if spare < 0 {
		return false
	}
	if l.gapCount > 0 {
		l.blockGap += min(spare/float64(l.gapCount), l.textSize*1.1)
	}
	return true
}
