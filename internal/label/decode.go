package label

import (
	"encoding/binary"

	"coldbatch/internal/fault"
	"coldbatch/internal/zone"
)

// Decode reads a code in either case. What is not a whole, unharmed code is
// refused in one sentence, code Input, with an empty Label. A code of a newer
// version gives code Newer and a Label with the fields whose places are fixed
// for ever: number, letter, blank, token, closed, offset and ready.
func Decode(code string) (Label, error) {
	if !isCode(code) {
		return Label{}, foreign()
	}
	all := fromText(code)
	body := all[:len(all)-sumBits]
	sum := reader{left: all[len(body):]}
	if sum.take(sumBits) != uint64(body.crc()) {
		return Label{}, foreign()
	}
	r := &reader{left: body}
	v := r.take(4)
	l := r.fixed()
	if v >= 1 && v <= version {
		switch {
		case !l.Blank:
			r.rest(&l, v)
		case v > 1:
			r.must(r.take(5) == forPiece)
			l.Tag = true
		}
		r.end()
	}
	if v == 0 || r.bad {
		return Label{}, foreign()
	}
	if v > version {
		return l, fault.New(fault.Newer, "this label was printed by a newer version of the program").
			WithHint("update the app to see all that it says")
	}
	return l, nil
}

func foreign() error {
	return fault.New(fault.Input, "this is not the code of a bag's label, or not all of it").
		WithHint("scan the label again, or type the number or the id that is printed on it")
}

// reader takes fields off a row of bits. It remembers in bad that a field ran
// past the end or held what no label has; what it gives then means nothing.
type reader struct {
	left bits
	bad  bool
}

func (r *reader) take(n int) uint64 {
	if n > len(r.left) {
		r.left, r.bad = nil, true
		return 0
	}
	var v uint64
	for _, bit := range r.left[:n] {
		v = v<<1 | uint64(bit)
	}
	r.left = r.left[n:]
	return v
}

func (r *reader) flag() bool { return r.take(1) == 1 }

// must marks the code as bad where good is false.
func (r *reader) must(good bool) {
	if !good {
		r.bad = true
	}
}

// end wants nothing left but the zeros that fill up the last character.
func (r *reader) end() {
	r.must(len(r.left) < 5 && r.take(len(r.left)) == 0)
}

// fixed reads the fields whose places hold in every version.
func (r *reader) fixed() Label {
	l := Label{Blank: r.flag(), Number: int(r.take(10))}
	letter := int(r.take(5))
	r.must(letter <= len(Letters))
	r.must(l.Number != 0 || letter == 0 && !l.Blank)
	if letter > 0 && !r.bad {
		l.Letter = Letters[letter-1 : letter]
	}
	binary.BigEndian.PutUint64(l.Token[:], r.take(64))
	if l.Blank {
		return l
	}
	closed := int64(r.take(25))
	l.Offset = r.offset()
	ready := int64(r.take(15))
	r.must(closed != 0 || ready == 0)
	if closed != 0 {
		l.Closed = instant(epoch + closed)
	}
	if ready != 0 {
		l.Ready = instant(epoch + closed + ready)
	}
	return l
}

func (r *reader) offset() int {
	q := int(r.take(7)) + minOffset
	r.must(q <= maxOffset)
	return q * quarter
}

// rest reads what version v, 1 or 2, adds.
func (r *reader) rest(l *Label, v uint64) {
	early, late := int64(r.take(6)), int64(r.take(8))
	after := minutes(l.Ready) - minutes(l.Closed)
	r.must(l.Ready != 0 || early == noEarly && late == noLate)
	if early != noEarly {
		l.Early = l.Ready.Add(-zone.Span(early*after/parts) * zone.Minute)
	}
	if late != noLate {
		l.Late = l.Ready.Add(zone.Span(late*after/parts) * zone.Minute)
	}
	l.Celsius = float64(int(r.take(8))+coldest) / 2
	l.Class = int(r.take(2))
	l.Piece = int(r.take(4))
	l.Fold = int(r.take(5))
	colours := int(r.take(4))
	r.must(colours <= MaxColours)
	changes, pairs := r.flag(), r.flag()
	same := v > 1 && r.flag()
	r.must(!same || colours > 1)
	if changes {
		l.OffsetNext = r.offset()
		after := int64(r.take(12))
		r.must(l.Closed != 0 && after != 0)
		l.OffsetFrom = instant((minutes(l.Closed)/15 + after) * 15)
	}
	two := false
	for range colours {
		if r.bad {
			return
		}
		c := r.colour(pairs)
		if same {
			c.Sixteenths = equalShare(colours)
		} else {
			c.Sixteenths = int(r.take(4)) + 1
		}
		two = two || len(c.Caps) == 2
		l.Colours = append(l.Colours, c)
	}
	r.must(two == pairs)
	if v > 1 {
		r.names(l.Colours)
	}
}

// names reads names up to what fills up the last character.
func (r *reader) names(colours []Colour) {
	name := ""
	for i := 0; len(r.left) >= 5; i++ {
		r.must(i < len(colours))
		name = ""
		for s := r.take(5); s != 0; s = r.take(5) {
			if r.must(int(s) <= len(signs)); r.bad {
				return
			}
			name += signs[s-1 : s]
		}
		if r.bad {
			return
		}
		colours[i].Name = name
		r.must(len(r.left) >= 5 || name != "")
	}
}

// colour reads one colour but for its share.
func (r *reader) colour(pairs bool) Colour {
	var c Colour
	first := byte(r.take(5))
	var second byte
	if pairs {
		r.must(first != 0)
		first--
		second = byte(r.take(5))
	}
	r.must(first < 26 && second <= 26)
	c.Caps = string('A' + first)
	if second != 0 {
		c.Caps += string('A' + second - 1)
	}
	for i := range c.RGB {
		c.RGB[i] = byte(r.take(4) * 17)
	}
	return c
}
