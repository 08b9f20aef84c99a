package label

import (
	"encoding/binary"
	"math"
	"strings"

	"coldbatch/internal/fault"
)

// Encode writes l as a code of 20 characters for a blank, 38 to 71 for a bag
// with up to eight colours, up to 12 more in the weeks when the clocks change
// and where caps have two letters. A value outside what Label states is refused
// by name, code Input; so is a blank with times, goods or colours. What else a
// blank is given, the offset say, is left out.
func Encode(l Label) (string, error) {
	w := &writer{}
	w.identity(l)
	if l.Blank {
		w.nothing(l)
	} else {
		w.times(l)
		w.goods(l)
	}
	if w.fault != nil {
		return "", w.fault
	}
	for (len(w.bits)+sumBits)%5 != 0 {
		w.put(0, 1)
	}
	w.put(uint64(w.crc()), sumBits)
	return w.text(), nil
}

// writer is a row of bits that remembers the first value it could not take.
type writer struct {
	bits
	fault *fault.Fault
}

func (w *writer) refuse(format string, args ...any) {
	if w.fault == nil {
		w.fault = fault.New(fault.Input, format, args...)
	}
}

func (w *writer) flag(set bool) {
	var bit uint64
	if set {
		bit = 1
	}
	w.put(bit, 1)
}

// field adds v, counted from least, in n bits.
func (w *writer) field(what string, v, least, most, n int) {
	if v < least || v > most {
		w.refuse("%s %d does not fit a label, which takes %d to %d", what, v, least, most)
	}
	w.put(uint64(v-least), n)
}

// identity writes what a blank has too: version, number, letter and token.
func (w *writer) identity(l Label) {
	if l.Number == 0 && (l.Blank || l.Letter != "") {
		w.refuse("a blank label, or one with a phone's letter, needs a number")
	}
	letter := 0
	if l.Letter != "" {
		letter = 1 + strings.Index(Letters, l.Letter)
		if len(l.Letter) > 1 || letter == 0 {
			w.refuse("phone letter %q is not one of %s", l.Letter, Letters)
		}
	}
	w.put(version, 4)
	w.flag(l.Blank)
	w.field("bag number", l.Number, 0, MaxNumber, 10)
	w.put(uint64(letter), 5)
	w.put(binary.BigEndian.Uint64(l.Token[:]), 64)
}

// nothing refuses a blank that has what it cannot keep.
func (w *writer) nothing(l Label) {
	if l.Closed != 0 || l.Ready != 0 || l.Piece != 0 || l.Fold != 0 || len(l.Colours) != 0 {
		w.refuse("a blank label holds a number and a token alone")
	}
}

// times writes closed, offset and ready, the last of the fixed places, and then
// the range.
func (w *writer) times(l Label) {
	closed, ready := int64(0), int64(0)
	if l.Closed != 0 {
		closed = minutes(l.Closed) - epoch
		if closed < 1 || closed > maxClosed {
			w.refuse("the closing time does not fit a label, which takes the years 2025 to 2088")
		}
	}
	if l.Ready != 0 {
		ready = minutes(l.Ready) - minutes(l.Closed)
		if closed == 0 || ready < 1 {
			w.refuse("a bag cannot be ready before it is closed")
		}
		if ready > maxReady {
			ready = 0
		}
	}
	w.put(uint64(closed), 25)
	w.offset(l.Offset)
	w.put(uint64(ready), 15)
	early, late := int64(noEarly), int64(noLate)
	if ready != 0 && l.Early != 0 {
		early = w.parts("early", minutes(l.Ready)-minutes(l.Early), ready, noEarly)
		if l.Early < l.Closed {
			w.refuse("the early time lies before the bag was closed")
		}
	}
	if ready != 0 && l.Late != 0 {
		late = w.parts("late", minutes(l.Late)-minutes(l.Ready), ready, noLate)
	}
	w.put(uint64(early), 6)
	w.put(uint64(late), 8)
}

// offset writes the seconds east of UTC.
func (w *writer) offset(seconds int) {
	if seconds%quarter != 0 {
		w.refuse("offset %d s from UTC does not fit a label, which takes quarter hours", seconds)
	}
	w.field("offset in quarter hours", seconds/quarter, minOffset, maxOffset, 7)
}

// parts gives by, the minutes between ready and one end of its range, in parts
// of ready, rounded outwards; none where that does not fit.
func (w *writer) parts(end string, by, ready, none int64) int64 {
	if by < 0 {
		w.refuse("the %s time lies on the wrong side of the ready time", end)
		return none
	}
	return min((by*parts+ready-1)/ready, none)
}

// goods writes what is in the bag and how the cure was reckoned.
func (w *writer) goods(l Label) {
	halves := math.Round(2 * l.Celsius)
	if !(halves >= coldest && halves <= coldest+255) {
		w.refuse("an assumed temperature of %g °C does not fit a label, which takes −20 to 107.5 °C", l.Celsius)
		halves = coldest
	}
	w.put(uint64(halves-coldest), 8)
	w.field("dye class", l.Class, Unknown, Monochlorotriazine, 2)
	w.field("kind of piece", l.Piece, 0, 15, 4)
	w.field("fold", l.Fold, 0, 31, 5)
	w.field("number of colours", len(l.Colours), 0, MaxColours, 4)
	pairs := false
	for _, c := range l.Colours {
		pairs = pairs || len(c.Caps) == 2
	}
	w.flag(l.OffsetFrom != 0)
	w.flag(pairs)
	if l.OffsetFrom != 0 {
		w.change(l)
	}
	for _, c := range l.Colours {
		w.colour(c, pairs)
	}
}

// change writes the offset that holds later and from when.
func (w *writer) change(l Label) {
	w.offset(l.OffsetNext)
	m := minutes(l.OffsetFrom)
	after := m/15 - minutes(l.Closed)/15
	if l.Closed == 0 || m%15 != 0 || after < 1 || after > maxQuarters {
		w.refuse("the change of clocks does not fit a label, which takes one on a quarter hour within six weeks of closing")
	}
	w.put(uint64(after), 12)
}

// colour writes one colour, its caps in two letters where pairs is set.
func (w *writer) colour(c Colour, pairs bool) {
	if !goodCaps(c.Caps) {
		w.refuse("caps %q do not fit a label, which takes one or two letters A to Z", c.Caps)
		return
	}
	// One letter counts from 0; with a second, which may be none, both count from 1.
	if pairs {
		w.put(uint64(c.Caps[0]-'A')+1, 5)
		var second uint64
		if len(c.Caps) == 2 {
			second = uint64(c.Caps[1]-'A') + 1
		}
		w.put(second, 5)
	} else {
		w.put(uint64(c.Caps[0]-'A'), 5)
	}
	for _, v := range c.RGB {
		w.put((uint64(v)*15+127)/255, 4)
	}
	w.field("a share in sixteenths of", c.Sixteenths, 1, 16, 4)
}

func goodCaps(s string) bool {
	for i := range len(s) {
		if s[i] < 'A' || s[i] > 'Z' {
			return false
		}
	}
	return len(s) == 1 || len(s) == 2
}
