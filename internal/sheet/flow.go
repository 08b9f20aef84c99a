package sheet

import "strings"

// placeBlocks places the blocks of the column one below the other, drawing or only measuring, and
// returns where they end. Warning, id and caution are at the foot.
func (l *layout) placeBlocks() (end float64) {
	l.gaps = 0
	y, rest := l.number(l.y0)
	y = l.time(y)
	y = l.lines(y, l.body*0.95, false, 2, l.t.Condition)
	y = l.lines(y, l.body*1.12, true, 2, rest.piece)
	if len(rest.colours) > 0 {
		y = l.block(y)
		y, _ = l.colours(l.x0, y, rest.colours)
	}
	y = l.lines(y, l.body*0.95, false, 3, strings.Join(rest.smallTexts, " · "))
	y = l.writingLines(y)
	if !l.draw {
		return l.drawFoot(y, rest.typedID)
	}
	l.draw = false
	foot := l.drawFoot(y, rest.typedID) - y
	l.draw = true
	if y > l.y0 {
		y = l.y1 - foot
	}
	return l.drawFoot(y, rest.typedID)
}

// block begins a block: it adds the gap before it, except before the first.
func (l *layout) block(y float64) float64 {
	if y <= l.y0 {
		return y
	}
	l.gaps++
	return y + l.gap
}

// unplacedTexts has the texts that did not fit beside the number.
type unplacedTexts struct {
	piece      string
	colours    []Colour
	smallTexts []string
	typedID    string
}

// number draws the number, underlined so that 6 is not read as 9, and beside it the texts
// that fit there.
func (l *layout) number(y float64) (float64, unplacedTexts) {
	r := unplacedTexts{piece: l.t.Piece, colours: l.t.Colours}
	for _, s := range []string{l.t.Closed, l.t.Fold, l.t.Batch} {
		if s != "" {
			r.smallTexts = append(r.smallTexts, s)
		}
	}
	if !l.idUnderCode {
		r.typedID = l.t.Typed
	}
	cloth := l.cloth && len(r.colours) == 1
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
	digits, end := l.digits, l.x1
	if l.isTight && r.typedID != "" && !cloth { // narrowed, so that the id stands beside it
		if e := end - textWidth(r.typedID, true)*l.body - l.body*0.85; e-l.x0 > natural*digits/capital*0.72 {
			end = e
		}
	}
	at := func() float64 { return (end - l.x0) / (natural * digits / capital) }
	if at() < 0.66 && digits > 12 {
		digits = max(12, digits*at()/0.66)
	}
	if at() < 0.5 {
		digits *= at() / 0.5
	}
	squeeze := min(1, at())
	size, base := digits/capital, digits
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
	x += l.text(x, y+base, size, true, black, squeeze, figures)
	x += l.text(x, y+base, size*small, true, black, squeeze, letter)
	x -= bearing * size * squeeze
	l.bar(l.x0, y+under, x-l.x0, line, black)
	end = l.x1
	if cloth {
		high := bottom - y
		end = l.x1 - high*1.13 - l.body*0.5
		l.swatch(l.x1-high*1.13, y, high*1.13, high, l.t.Colours[0], l.o.Mono)
	}
	l.drawBeside(x+l.body*0.8, end, y, bottom, &r)
	return bottom, r
}

// hasCapitalHeight says whether nothing in s rises above a capital or drops below the line.
func hasCapitalHeight(s string) bool {
	return strings.Trim(s, "-0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ") == ""
}

// drawBeside draws the texts that fit to the right of the number, from x to end and top to
// bottom, without breaking a word.
func (l *layout) drawBeside(x, end, top, bottom float64, r *unplacedTexts) {
	if end-x < l.body*5 {
		return
	}
	set := func(y *float64, limit, size float64, bold bool, s string) bool {
		lines, whole := wrapText(s, bold, (end-x)/size, 2)
		next := *y + float64(len(lines))*size*leading
		if !whole || next > limit || len(lines) > 1 && !strings.Contains(s, lines[0]+" ") {
			return false
		}
		for i, s := range lines {
			l.text(x, *y+size*(ascent+float64(i)*leading), size, bold, black, 1, s)
		}
		*y = next + l.body*0.15
		return true
	}
	if r.typedID != "" {
		if at := bottom - l.body*leading; textWidth(r.typedID, true)*l.body <= end-x && set(&at, at+l.body*leading, l.body, true, r.typedID) {
			r.typedID, bottom = "", bottom-l.body*(leading+0.2)
		}
	}
	y := top
	if r.piece != "" && set(&y, bottom, l.body*1.12, true, r.piece) {
		r.piece = ""
	}
	if l.aside && len(r.colours) > 0 {
		draw := l.draw
		l.draw = false
		foot, whole := l.colours(x, y, r.colours)
		if l.draw = draw; whole && foot <= bottom {
			l.colours(x, y, r.colours)
			y = foot + l.body*0.25
			r.colours = nil
		}
	}
	for len(r.smallTexts) > 0 && set(&y, bottom, l.body*0.95, false, r.smallTexts[0]) {
		r.smallTexts = r.smallTexts[1:]
	}
}

// leading is the height of a line and ascent the height of the baseline below its top, as
// shares of the size.
const (
	leading = 1.18
	ascent  = 0.86
)

// lines draws s in at most most lines.
func (l *layout) lines(y, size float64, bold bool, most int, s string) float64 {
	if s == "" {
		return y
	}
	y = l.block(y)
	room := (l.x1 - l.x0) / size
	if w := textWidth(s, bold); w > room && w*0.84 <= room { // narrowed rather than broken
		l.text(l.x0, y+size*ascent, size, bold, black, room/w, s)
		return y + size*leading
	}
	set, _ := wrapText(s, bold, room, most)
	for i, s := range set {
		l.text(l.x0, y+size*(ascent+float64(i)*leading), size, bold, black, 1, s)
	}
	return y + size*leading*float64(len(set))
}

// time draws when the bag is ready, as large as the line allows.
func (l *layout) time(y float64) float64 {
	if l.t.Time == "" {
		return l.lines(y, l.body*1.3, true, 2, l.t.Lead)
	}
	room, before := l.x1-l.x0, 0.0
	if l.inline && l.t.Lead != "" {
		before = textWidth(l.t.Lead, false)*l.body + l.body*0.5
		room -= before
	}
	time := l.t.Time
	size := room / textWidth(time, true)
	if size < l.body*1.7 && l.t.Short != "" {
		time = l.t.Short
		size = room / textWidth(time, true)
	}
	if size < l.body*1.2 && before > 0 { // no room for both on one line
		before, room = 0, l.x1-l.x0
		size = room / textWidth(time, true)
	}
	if l.isTight {
		size = min(size, l.body*1.7)
	}
	size = min(size, l.body*2.5)
	squeeze := 1.0
	if size < l.body { // a strange, long time: narrowed, then smaller
		squeeze = max(0.6, size/l.body)
		size = min(l.body, room/(textWidth(time, true)*squeeze))
	}
	if before > 0 {
		y = l.block(y)
		l.text(l.x0, y+size*0.8, l.body, false, black, 1, l.t.Lead)
		l.text(l.x0+before, y+size*0.8, size, true, black, squeeze, time)
		return y + size
	}
	if l.t.Lead != "" {
		y = l.lines(y, l.body, false, 1, l.t.Lead)
	} else {
		y = l.block(y)
	}
	l.text(l.x0, y+size*0.8, size, true, black, squeeze, time)
	return y + size
}

// colours draws swatches with letters and words from x, as many in a row as fit, and returns
// where they end and whether all words fit.
func (l *layout) colours(x, y float64, colours []Colour) (end float64, whole bool) {
	whole = true
	high := l.body * 1.5
	if len(colours) > 4 {
		high = l.body * 1.25
	}
	wideOne := high * 1.15
	x0 := x
	for i, c := range colours {
		room := l.x1 - x0 - wideOne - l.body*0.4
		caps := c.Caps
		if set, whole := wrapText(caps, true, room/l.body, 1); !whole {
			caps = set[0]
		}
		room -= textWidth(caps, true) * l.body
		word := c.Word
		if word != "" {
			if room -= l.body * 0.35; room > l.body*2 {
				set, fits := wrapText(word, false, room/l.body, 1)
				word, whole = set[0], whole && fits
			} else {
				word, whole = "", false
			}
		}
		w := wideOne + l.body*0.4 + textWidth(caps, true)*l.body
		if word != "" {
			w += l.body*0.35 + textWidth(word, false)*l.body
		}
		if i > 0 && x+w > l.x1 {
			x, y = x0, y+high*1.14
		}
		l.swatch(x, y, wideOne, high, c, l.o.Mono)
		base := y + high/2 + l.body*capital/2
		at := x + wideOne + l.body*0.4
		at += l.text(at, base, l.body, true, black, 1, caps)
		if word != "" {
			l.text(at+l.body*0.35, base, l.body, false, black, 1, word)
		}
		x += w + l.body*0.9
	}
	return y + high, whole
}

// writingLines draws lines to write on, each with its title.
func (l *layout) writingLines(y float64) float64 {
	size := l.body * 0.95
	for _, s := range l.t.Lines {
		y = l.block(y) + max(4.6, l.body*1.5)
		room := (l.x1 - l.x0) * 0.6 / size
		squeeze := 1.0
		if w := textWidth(s, false); w > room {
			squeeze = max(0.8, room/w)
		}
		x := l.x0
		if set, _ := wrapText(s, false, room/squeeze, 1); len(set) > 0 {
			x += l.text(x, y-size*0.25, size, false, black, squeeze, set[0]) + size*0.4
		}
		l.stroke(0.2, black, false, Point{x, y - 0.1}, Point{l.x1, y - 0.1})
	}
	return y
}

// drawFoot draws the warning, the id if it is not under a code, and the caution.
func (l *layout) drawFoot(y float64, typed string) float64 {
	if s := strings.ToUpper(l.t.Warn); s != "" {
		y = l.block(y)
		size := l.body * 1.35
		high := size * 1.5
		squeeze := min(1, (l.x1-l.x0-size)/(textWidth(s, true)*size))
		l.bar(l.x0, y, l.x1-l.x0, high, black)
		l.text(l.x0+size*0.5, y+high/2+size*capital/2, size, true, white, squeeze, s)
		y += high
	}
	y = l.lines(y, l.body, true, 1, typed)
	return l.lines(y, l.body*0.92, false, 4, l.t.Caution)
}
