package label

import (
	"encoding/binary"
	"math"
	"strings"

	"coldbatch/internal/fault"
)

// Encode returns l as a code: 20 characters for a blank, 21 for the tag of a piece, 38 to 71
// for a bag with up to eight colours, and up to 12 more if the clocks change during the cure
// or caps have two letters. It leaves out names. It returns code Input and names the value
// if a value is outside what Label states, or a blank has times, goods or colours. It
// ignores other values of a blank, such as the offset.
func Encode(l Label) (string, error) { return encode(l, 0) }

// EncodeNamed is Encode with the names of the colours, in order, as long as they are in Latin
// letters and the address at host needs no larger QR code with them.
func EncodeNamed(host string, l Label) (string, error) {
	code, err := encode(l, 0)
	if err != nil {
		return "", err
	}
	return encode(l, maxCodeLength(host, code))
}

// qrCapacityQ says how many characters of the alphanumeric mode the versions 1 to 6 of a QR
// code hold at error correction level Q (ISO/IEC 18004:2015, table 7, from memory).
var qrCapacityQ = [...]int{16, 29, 47, 67, 87, 108}

// maxCodeLength returns how long a code may be so that its address needs no larger version
// of the QR code than that of code; 0 if code needs a version above 6.
func maxCodeLength(host, code string) int {
	rest := len("HTTPS://") + len(host) + len(addressPath)
	for _, holds := range qrCapacityQ {
		if rest+len(code) <= holds {
			return holds - rest
		}
	}
	return 0
}

// encode returns l as a code, with the names that fit into room characters.
func encode(l Label, room int) (string, error) {
	v := 1
	if l.IsPieceTag || hasEqualShares(l.Colours) {
		v = 2
	}
	w := writeFields(l, v)
	if w.fault == nil && !l.IsBlank {
		if n := writeFields(l, 2); n.writeNames(l.Colours, 5*room-crcBits-len(n.bitString)) {
			w = n
		}
	}
	if w.fault != nil {
		return "", w.fault
	}
	for (len(w.bitString)+crcBits)%5 != 0 {
		w.put(0, 1)
	}
	w.put(uint64(w.crc()), crcBits)
	return w.text(), nil
}

// writeFields writes l in version v, without names and checksum.
func writeFields(l Label, v int) *writer {
	w := &writer{version: v}
	w.writeIdentity(l)
	switch {
	case !l.IsBlank:
		w.writeTimes(l)
		w.writeGoods(l)
	case l.IsPieceTag:
		w.refuseBagFields(l)
		w.put(purposePiece, 5)
	default:
		w.refuseBagFields(l)
	}
	return w
}

// hasEqualShares says whether the colours have equal shares, each rounded.
func hasEqualShares(colours []Colour) bool {
	for _, c := range colours {
		if c.ShareSixteenths != equalShare(len(colours)) {
			return false
		}
	}
	return len(colours) > 1
}

func equalShare(colours int) int { return (16 + colours/2) / colours }

// writer appends fields to bits and remembers the first value that does not fit.
type writer struct {
	bitString
	version int
	fault   *fault.Fault
}

func (w *writer) refuse(format string, args ...any) {
	if w.fault == nil {
		w.fault = fault.New(fault.Input, format, args...)
	}
}

func (w *writer) writeFlag(set bool) {
	var bit uint64
	if set {
		bit = 1
	}
	w.put(bit, 1)
}

// writeField appends v − least in n bits.
func (w *writer) writeField(what string, v, least, most, n int) {
	if v < least || v > most {
		w.refuse("%s %d does not fit a label, which takes %d to %d", what, v, least, most)
	}
	w.put(uint64(v-least), n)
}

// writeIdentity writes what every label has: version, number, letter and token.
func (w *writer) writeIdentity(l Label) {
	if l.Number == 0 && (l.IsBlank || l.Letter != "") {
		w.refuse("a blank label, or one with a phone's letter, needs a number")
	}
	letter := 0
	if l.Letter != "" {
		letter = 1 + strings.Index(Letters, l.Letter)
		if len(l.Letter) > 1 || letter == 0 {
			w.refuse("phone letter %q is not one of %s", l.Letter, Letters)
		}
	}
	if l.IsPieceTag && !l.IsBlank {
		w.refuse("the tag of a piece has only a number and a token, like a blank")
	}
	w.put(uint64(w.version), 4)
	w.writeFlag(l.IsBlank)
	w.writeField("bag number", l.Number, 0, MaxNumber, 10)
	w.put(uint64(letter), 5)
	w.put(binary.BigEndian.Uint64(l.Token[:]), 64)
}

// refuseBagFields refuses a blank that has fields of a bag.
func (w *writer) refuseBagFields(l Label) {
	if l.ClosedAt != 0 || l.ReadyAt != 0 || l.PieceCode != 0 || l.FoldCode != 0 || len(l.Colours) != 0 {
		w.refuse("a blank label has only a number and a token")
	}
}

// writeTimes writes closed, offset and ready, which end the fixed positions, and then the range.
func (w *writer) writeTimes(l Label) {
	closed, ready := int64(0), int64(0)
	if l.ClosedAt != 0 {
		closed = minutesSince1970(l.ClosedAt) - epochMinutes
		if closed < 1 || closed > maxClosed {
			w.refuse("the closing time does not fit a label, which takes the years 2025 to 2088")
		}
	}
	if l.ReadyAt != 0 {
		ready = minutesSince1970(l.ReadyAt) - minutesSince1970(l.ClosedAt)
		if closed == 0 || ready < 1 {
			w.refuse("a bag cannot be ready before it is closed")
		}
		if ready > maxReady {
			ready = 0
		}
	}
	w.put(uint64(closed), 25)
	w.writeOffset(l.OffsetSeconds)
	w.put(uint64(ready), 15)
	early, late := int64(noEarliestReady), int64(noLatestReady)
	if ready != 0 && l.EarliestReady != 0 {
		early = w.partsOfReady("early", minutesSince1970(l.ReadyAt)-minutesSince1970(l.EarliestReady), ready, noEarliestReady)
		if l.EarliestReady < l.ClosedAt {
			w.refuse("the early time is before the bag was closed")
		}
	}
	if ready != 0 && l.LatestReady != 0 {
		late = w.partsOfReady("late", minutesSince1970(l.LatestReady)-minutesSince1970(l.ReadyAt), ready, noLatestReady)
	}
	w.put(uint64(early), 6)
	w.put(uint64(late), 8)
}

// writeOffset writes the seconds east of UTC.
func (w *writer) writeOffset(seconds int) {
	if seconds%quarterHourSeconds != 0 {
		w.refuse("offset %d s from UTC does not fit a label, which takes quarter hours", seconds)
	}
	w.writeField("offset in quarter hours", seconds/quarterHourSeconds, minOffset, maxOffset, 7)
}

// partsOfReady converts by, the minutes between ready and one end of its range, into 64ths of
// ready, rounded up. It returns none where that does not fit.
func (w *writer) partsOfReady(end string, by, ready, none int64) int64 {
	if by < 0 {
		w.refuse("the %s time is on the wrong side of the ready time", end)
		return none
	}
	return min((by*readyParts+ready-1)/ready, none)
}

// writeGoods writes what is in the bag, and the temperature that the ready time assumes.
func (w *writer) writeGoods(l Label) {
	halves := math.Round(2 * l.Celsius)
	if !(halves >= minHalfDegrees && halves <= minHalfDegrees+255) {
		w.refuse("an assumed temperature of %g °C does not fit a label, which takes −20 to 107.5 °C", l.Celsius)
		halves = minHalfDegrees
	}
	w.put(uint64(halves-minHalfDegrees), 8)
	w.writeField("dye class", l.ClassCode, ClassUnknown, ClassMonochlorotriazine, 2)
	w.writeField("kind of piece", l.PieceCode, 0, 15, 4)
	w.writeField("fold", l.FoldCode, 0, 31, 5)
	w.writeField("number of colours", len(l.Colours), 0, MaxColours, 4)
	pairs := false
	for _, c := range l.Colours {
		pairs = pairs || len(c.CapLetters) == 2
	}
	w.writeFlag(l.NextOffsetFrom != 0)
	w.writeFlag(pairs)
	same := w.version > 1 && hasEqualShares(l.Colours)
	if w.version > 1 {
		w.writeFlag(same)
	}
	if l.NextOffsetFrom != 0 {
		w.writeClockChange(l)
	}
	for _, c := range l.Colours {
		w.writeColour(c, pairs)
		if !same {
			w.writeField("a share in sixteenths of", c.ShareSixteenths, 1, 16, 4)
		}
	}
}

// writeClockChange writes the offset after the clocks change, and when they do.
func (w *writer) writeClockChange(l Label) {
	w.writeOffset(l.NextOffsetSeconds)
	m := minutesSince1970(l.NextOffsetFrom)
	after := m/15 - minutesSince1970(l.ClosedAt)/15
	if l.ClosedAt == 0 || m%15 != 0 || after < 1 || after > maxQuarters {
		w.refuse("the change of clocks does not fit a label, which takes one on a quarter hour within six weeks of closing")
	}
	w.put(uint64(after), 12)
}

// writeColour writes one colour without its share; with pairs its caps have two letters.
func (w *writer) writeColour(c Colour, pairs bool) {
	if !areValidCaps(c.CapLetters) {
		w.refuse("cap letters %q do not fit a label: use one or two letters, A to Z", c.CapLetters)
		return
	}
	// One letter counts from 0; with a second, which may be none, both count from 1.
	if pairs {
		w.put(uint64(c.CapLetters[0]-'A')+1, 5)
		var second uint64
		if len(c.CapLetters) == 2 {
			second = uint64(c.CapLetters[1]-'A') + 1
		}
		w.put(second, 5)
	} else {
		w.put(uint64(c.CapLetters[0]-'A'), 5)
	}
	for _, v := range c.RGB {
		w.put((uint64(v)*15+127)/255, 4)
	}
}

func areValidCaps(s string) bool {
	for i := range len(s) {
		if s[i] < 'A' || s[i] > 'Z' {
			return false
		}
	}
	return len(s) == 1 || len(s) == 2
}

// writeNames writes the names that fit into room bits, and says whether any did.
func (w *writer) writeNames(colours []Colour, room int) bool {
	var row bitString
	last := 0
	for _, c := range colours {
		name, good := encodeName(c.Name)
		if good && len(row)+len(name)+5 <= room {
			row = append(row, name...)
			last = len(row) + 5
		}
		row.put(0, 5)
	}
	w.bitString = append(w.bitString, row[:last]...)
	return last > 0
}

// nameCharacters are the characters of names from 1 on.
const nameCharacters = "abcdefghijklmnopqrstuvwxyz -'"

// encodeName returns a name in bits; ok is false if it is empty or has a character that
// names cannot have.
func encodeName(name string) (b bitString, ok bool) {
	for _, c := range strings.ToLower(name) {
		i := strings.IndexRune(nameCharacters, c)
		if i < 0 {
			return nil, false
		}
		b.put(uint64(i+1), 5)
	}
	return b, len(b) > 0
}
