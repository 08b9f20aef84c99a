package sheet

import "strings"

// placeBlocks places the blocks of the column one below the other, drawing or only measuring, and
// returns where they end. Warning, id and caution are at the foot.
func (l *layout) placeBlocks() (end float64) {
	l.gapCount = 0
	y, rest := l.drawNumber(l.y0)
	y = l.drawTime(y)
	y = l.drawLines(y, l.textSize*0.95, false, 2, l.t.Condition)
	y = l.drawLines(y, l.textSize*1.12, true, 2, rest.piece)
	if len(rest.colours) > 0 {
		y = l.startBlock(y)
		y, _ = l.drawColours(l.x0, y, rest.colours)
	}
	y = l.drawLines(y, l.textSize*0.95, false, 3, strings.Join(rest.smallTexts, " · "))
	y = l.drawWritingLines(y)
	if !l.isDrawing {
		return l.drawFoot(y, rest.typedID)
	}
	l.isDrawing = false
	foot := l.drawFoot(y, rest.typedID) - y
	l.isDrawing = true
	if y > l.y0 {
		y = l.y1 - foot
	}
	return l.drawFoot(y, rest.typedID)
}

// startBlock begins a block: it adds the gap before it, except before the first.
func (l *layout) startBlock(y float64) float64 {
	if y <= l.y0 {
		return y
	}
	l.gapCount++
	return y + l.blockGap
}

// unplacedTexts has the texts that did not fit beside the number.
type unplacedTexts struct {
	piece      string
	colours    []Colour
	smallTexts []string
	typedID    string
}

// drawNumber draws the number, underlined so that 6 is not read as 9, and beside it the texts
// that fit there.
func (l *layout) drawNumber(y float64) (float64, unplacedTexts) {
	r := unplacedTexts{piece: l.t.Piece, colours: l.t.Colours}
	for _, s := range []string{l.t.ClosedText, l.t.Fold, l.t.Batch} {
		if s != "" {
			r.smallTexts = append(r.smallTexts, s)
		}
	}
	if !l.idUnderCode {
		r.typedID = l.t.TypedID
	}
	cloth := l.hasLargeSwatch && len(r.colours) == 1
	if cloth {
		r.colours = nil
	}
	if textWidth(l.t.Number, true) < 0.1 { // none, or only an accent
		return y, r
	}
	figures := strings.TrimRight(l.t.Number, "ABCDEFGHIJKLMNOPQRSTUVWXYZ")
	letter := l.t.Number[len(figures):]
	if figures == "" {
		figures, letter = letter, ""
	}
	const small, bearing = 0.62, 0.03 // of a letter; the white beside a figure
	natural := textWidth(figures, true) + textWidth(letter, true)*small - bearing
	digits, end := l.numberHeight, l.x1
	if l.isTight && r.typedID != "" && !cloth { // narrowed, so that the id stands beside it
		if e := end - textWidth(r.typedID, true)*l.textSize - l.textSize*0.85; e-l.x0 > natural*digits/capHeight*0.72 {
			end = e
		}
	}
	at := func() float64 { return (end - l.x0) / (natural * digits / capHeight) }
	if at() < 0.66 && digits > 12 {
		digits = max(12, digits*at()/0.66)
	}
	if at() < 0.5 {
		digits *= at() / 0.5
	}
	squeeze := min(1, at())
	size, base := digits/capHeight, digits
	if !hasCapitalHeight(figures) { // room for accents and tails: no bag's number has them
		size, base = size*0.6, base*0.85
	}
	line := max(0.3, digits*0.055)
	under := digits * 1.09
	if l.isTight {
		under = digits * 1.07
	}
	bottom := y + under + line
	x := l.x0 - bearing*size*squeeze
	x += l.drawText(x, y+base, size, true, blackInk, squeeze, figures)
	x += l.drawText(x, y+base, size*small, true, blackInk, squeeze, letter)
	x -= bearing * size * squeeze
	l.fillRectangle(l.x0, y+under, x-l.x0, line, blackInk)
	end = l.x1
	if cloth {
		high := bottom - y
		end = l.x1 - high*1.13 - l.textSize*0.5
		l.drawSwatch(l.x1-high*1.13, y, high*1.13, high, l.t.Colours[0], l.o.BlackAndWhite)
	}
	l.drawBeside(x+l.textSize*0.8, end, y, bottom, &r)
	return bottom, r
}

// hasCapitalHeight says whether nothing in s rises above a capital or drops below the line.
func hasCapitalHeight(s string) bool {
	return strings.Trim(s, "-0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ") == ""
}

// drawBeside draws the texts that fit to the right of the number, from x to end and top to
// bottom, without breaking a word.
func (l *layout) drawBeside(x, end, top, bottom float64, r *unplacedTexts) {
	if end-x < l.textSize*5 {
		return
	}
	set := func(y *float64, limit, size float64, bold bool, s string) bool {
		lines, whole := wrapText(s, bold, (end-x)/size, 2)
		next := *y + float64(len(lines))*size*lineSpacing
		if !whole || next > limit || len(lines) > 1 && !strings.Contains(s, lines[0]+" ") {
			return false
		}
		for i, s := range lines {
			l.drawText(x, *y+size*(ascentShare+float64(i)*lineSpacing), size, bold, blackInk, 1, s)
		}
		*y = next + l.textSize*0.15
		return true
	}
	if r.typedID != "" {
		if at := bottom - l.textSize*lineSpacing; textWidth(r.typedID, true)*l.textSize <= end-x && set(&at, at+l.textSize*lineSpacing, l.textSize, true, r.typedID) {
			r.typedID, bottom = "", bottom-l.textSize*(lineSpacing+0.2)
		}
	}
	y := top
	if r.piece != "" && set(&y, bottom, l.textSize*1.12, true, r.piece) {
		r.piece = ""
	}
	if l.coloursBeside && len(r.colours) > 0 {
		draw := l.isDrawing
		l.isDrawing = false
		foot, whole := l.drawColours(x, y, r.colours)
		if l.isDrawing = draw; whole && foot <= bottom {
			l.drawColours(x, y, r.colours)
			y = foot + l.textSize*0.25
			r.colours = nil
		}
	}
	for len(r.smallTexts) > 0 && set(&y, bottom, l.textSize*0.95, false, r.smallTexts[0]) {
		r.smallTexts = r.smallTexts[1:]
	}
}

// leading is the height of a line and ascent the height of the baseline below its top, as
// shares of the size.
const (
	lineSpacing = 1.18
	ascentShare = 0.86
)

// drawLines draws s in at most most lines.
func (l *layout) drawLines(y, size float64, bold bool, most int, s string) float64 {
	if s == "" {
		return y
	}
	y = l.startBlock(y)
	room := (l.x1 - l.x0) / size
	if w := textWidth(s, bold); w > room && w*0.84 <= room { // narrowed rather than broken
		l.drawText(l.x0, y+size*ascentShare, size, bold, blackInk, room/w, s)
		return y + size*lineSpacing
	}
	set, _ := wrapText(s, bold, room, most)
	for i, s := range set {
		l.drawText(l.x0, y+size*(ascentShare+float64(i)*lineSpacing), size, bold, blackInk, 1, s)
	}
	return y + size*lineSpacing*float64(len(set))
}

// drawTime draws when the bag is ready, as large as the line allows.
func (l *layout) drawTime(y float64) float64 {
	if l.t.Time == "" {
		return l.drawLines(y, l.textSize*1.3, true, 2, l.t.TimeLead)
	}
	room, before := l.x1-l.x0, 0.0
	if l.timeInline && l.t.TimeLead != "" {
		before = textWidth(l.t.TimeLead, false)*l.textSize + l.textSize*0.5
		room -= before
	}
	time := l.t.Time
	size := room / textWidth(time, true)
	if size < l.textSize*1.7 && l.t.ShortTime != "" {
		time = l.t.ShortTime
		size = room / textWidth(time, true)
	}
	if size < l.textSize*1.2 && before > 0 { // no room for both on one line
		before, room = 0, l.x1-l.x0
		size = room / textWidth(time, true)
	}
	if l.isTight {
		size = min(size, l.textSize*1.7)
	}
	size = min(size, l.textSize*2.5)
	squeeze := 1.0
	if size < l.textSize { // a strange, long time: narrowed, then smaller
		squeeze = max(0.6, size/l.textSize)
		size = min(l.textSize, room/(textWidth(time, true)*squeeze))
	}
	if before > 0 {
		y = l.startBlock(y)
		l.drawText(l.x0, y+size*0.8, l.textSize, false, blackInk, 1, l.t.TimeLead)
		l.drawText(l.x0+before, y+size*0.8, size, true, blackInk, squeeze, time)
		return y + size
	}
	if l.t.TimeLead != "" {
		y = l.drawLines(y, l.textSize, false, 1, l.t.TimeLead)
	} else {
		y = l.startBlock(y)
	}
	l.drawText(l.x0, y+size*0.8, size, true, blackInk, squeeze, time)
	return y + size
}

// drawColours draws swatches with letters and words from x, as many in a row as fit, and returns
// where they end and whether all words fit.
func (l *layout) drawColours(x, y float64, colours []Colour) (end float64, whole bool) {
	whole = true
	high := l.textSize * 1.5
	if len(colours) > 4 {
		high = l.textSize * 1.25
	}
	wideOne := high * 1.15
	x0 := x
	for i, c := range colours {
		room := l.x1 - x0 - wideOne - l.textSize*0.4
		caps := c.CapLetters
		if set, whole := wrapText(caps, true, room/l.textSize, 1); !whole {
			caps = set[0]
		}
		room -= textWidth(caps, true) * l.textSize
		word := c.Word
		if word != "" {
			if room -= l.textSize * 0.35; room > l.textSize*2 {
				set, fits := wrapText(word, false, room/l.textSize, 1)
				word, whole = set[0], whole && fits
			} else {
				word, whole = "", false
			}
		}
		w := wideOne + l.textSize*0.4 + textWidth(caps, true)*l.textSize
		if word != "" {
			w += l.textSize*0.35 + textWidth(word, false)*l.textSize
		}
		if i > 0 && x+w > l.x1 {
			x, y = x0, y+high*1.14
		}
		l.drawSwatch(x, y, wideOne, high, c, l.o.BlackAndWhite)
		base := y + high/2 + l.textSize*capHeight/2
		at := x + wideOne + l.textSize*0.4
		at += l.drawText(at, base, l.textSize, true, blackInk, 1, caps)
		if word != "" {
			l.drawText(at+l.textSize*0.35, base, l.textSize, false, blackInk, 1, word)
		}
		x += w + l.textSize*0.9
	}
	return y + high, whole
}

// drawWritingLines draws lines to write on, each with its title.
func (l *layout) drawWritingLines(y float64) float64 {
	size := l.textSize * 0.95
	for _, s := range l.t.Lines {
		y = l.startBlock(y) + max(4.6, l.textSize*1.5)
		room := (l.x1 - l.x0) * 0.6 / size
		squeeze := 1.0
		if w := textWidth(s, false); w > room {
			squeeze = max(0.8, room/w)
		}
		x := l.x0
		if set, _ := wrapText(s, false, room/squeeze, 1); len(set) > 0 {
			x += l.drawText(x, y-size*0.25, size, false, blackInk, squeeze, set[0]) + size*0.4
		}
		l.drawStroke(0.2, blackInk, false, Point{x, y - 0.1}, Point{l.x1, y - 0.1})
	}
	return y
}

// drawFoot draws the warning, the id if it is not under a code, and the caution.
func (l *layout) drawFoot(y float64, typed string) float64 {
	if s := strings.ToUpper(l.t.Warning); s != "" {
		y = l.startBlock(y)
		size := l.textSize * 1.35
		high := size * 1.5
		squeeze := min(1, (l.x1-l.x0-size)/(textWidth(s, true)*size))
		l.fillRectangle(l.x0, y, l.x1-l.x0, high, blackInk)
		l.drawText(l.x0+size*0.5, y+high/2+size*capHeight/2, size, true, whiteInk, squeeze, s)
		y += high
	}
	y = l.drawLines(y, l.textSize, true, 1, typed)
	return l.drawLines(y, l.textSize*0.92, false, 4, l.t.Caution)
}
