package label

import (
	"encoding/binary"

	"coldbatch/internal/fault"
	"coldbatch/internal/zone"
)

// Decode reads a code in either case. It returns code Input and an empty Label for a code
// that is incomplete or damaged. For a code of a newer version it returns code Newer and a
// Label with the fields whose positions are the same in every version: number, letter,
// blank, token, closed, offset and ready.
func Decode(code string) (Label, error) {
	if !isCode(code) {
		return Label{}, noLabelFault()
	}
	all := bitsFromText(code)
	body := all[:len(all)-crcBits]
	sum := reader{unread: all[len(body):]}
	if sum.takeBits(crcBits) != uint64(body.crc()) {
		return Label{}, noLabelFault()
	}
	r := &reader{unread: body}
	v := r.takeBits(4)
	l := r.readFixedPart()
	if v >= 1 && v <= newestVersion {
		switch {
		case !l.IsBlank:
			r.readRest(&l, v)
		case v > 1:
			r.require(r.takeBits(5) == purposePiece)
			l.IsPieceTag = true
		}
		r.requireEnd()
	}
	if v == 0 || r.isBad {
		return Label{}, noLabelFault()
	}
	if v > newestVersion {
		return l, fault.New(fault.Newer, "this label was printed by a newer version of the program").
			WithHint("update the app to see all that it says")
	}
	return l, nil
}

func noLabelFault() error {
	return fault.New(fault.Input, "this is not the code of a bag's label, or part of it is missing").
		WithHint("scan the label again, or type the number or the id that is printed on it")
}

// reader reads fields from bits. isBad says that a field was cut off or had a value that no
// label has; what the reader returns is then meaningless.
type reader struct {
	unread bitString
	isBad  bool
}

func (r *reader) takeBits(n int) uint64 {
	if n > len(r.unread) {
		r.unread, r.isBad = nil, true
		return 0
	}
	var v uint64
	for _, bit := range r.unread[:n] {
		v = v<<1 | uint64(bit)
	}
	r.unread = r.unread[n:]
	return v
}

func (r *reader) readFlag() bool { return r.takeBits(1) == 1 }

// require marks the code as bad if isGood is false.
func (r *reader) require(isGood bool) {
	if !isGood {
		r.isBad = true
	}
}

// requireEnd requires that only the zeros that fill up the last character are left.
func (r *reader) requireEnd() {
	r.require(len(r.unread) < 5 && r.takeBits(len(r.unread)) == 0)
}

// readFixedPart reads the fields whose positions are the same in every version.
func (r *reader) readFixedPart() Label {
	l := Label{IsBlank: r.readFlag(), Number: int(r.takeBits(10))}
	letter := int(r.takeBits(5))
	r.require(letter <= len(Letters))
	r.require(l.Number != 0 || letter == 0 && !l.IsBlank)
	if letter > 0 && !r.isBad {
		l.Letter = Letters[letter-1 : letter]
	}
	binary.BigEndian.PutUint64(l.Token[:], r.takeBits(64))
	if l.IsBlank {
		return l
	}
	closed := int64(r.takeBits(25))
	l.OffsetSeconds = r.readOffset()
	ready := int64(r.takeBits(15))
	r.require(closed != 0 || ready == 0)
	if closed != 0 {
		l.ClosedAt = instantOfMinutes(epochMinutes + closed)
	}
	if ready != 0 {
		l.ReadyAt = instantOfMinutes(epochMinutes + closed + ready)
	}
	return l
}

func (r *reader) readOffset() int {
	q := int(r.takeBits(7)) + minOffset
	r.require(q <= maxOffset)
	return q * quarterHourSeconds
}

// readRest reads the other fields of version v, 1 or 2.
func (r *reader) readRest(l *Label, v uint64) {
	early, late := int64(r.takeBits(6)), int64(r.takeBits(8))
	after := minutesSince1970(l.ReadyAt) - minutesSince1970(l.ClosedAt)
	r.require(l.ReadyAt != 0 || early == noEarliestReady && late == noLatestReady)
	if early != noEarliestReady {
		l.EarliestReady = l.ReadyAt.Add(-zone.Span(early*after/readyParts) * zone.Minute)
	}
	if late != noLatestReady {
		l.LatestReady = l.ReadyAt.Add(zone.Span(late*after/readyParts) * zone.Minute)
	}
	l.Celsius = float64(int(r.takeBits(8))+minHalfDegrees) / 2
	l.ClassCode = int(r.takeBits(2))
	l.PieceCode = int(r.takeBits(4))
	l.FoldCode = int(r.takeBits(5))
	colours := int(r.takeBits(4))
	r.require(colours <= MaxColours)
	changes, pairs := r.readFlag(), r.readFlag()
	same := v > 1 && r.readFlag()
	r.require(!same || colours > 1)
	if changes {
		l.NextOffsetSeconds = r.readOffset()
		after := int64(r.takeBits(12))
		r.require(l.ClosedAt != 0 && after != 0)
		l.NextOffsetFrom = instantOfMinutes((minutesSince1970(l.ClosedAt)/15 + after) * 15)
	}
	two := false
	for range colours {
		if r.isBad {
			return
		}
		c := r.readColour(pairs)
		if same {
			c.ShareSixteenths = equalShare(colours)
		} else {
			c.ShareSixteenths = int(r.takeBits(4)) + 1
		}
		two = two || len(c.CapLetters) == 2
		l.Colours = append(l.Colours, c)
	}
	r.require(two == pairs)
	if v > 1 {
		r.readNames(l.Colours)
	}
}

// readNames reads the names of colours, up to the bits that fill up the last character.
func (r *reader) readNames(colours []Colour) {
	name := ""
	for i := 0; len(r.unread) >= 5; i++ {
		r.require(i < len(colours))
		name = ""
		for s := r.takeBits(5); s != 0; s = r.takeBits(5) {
			if r.require(int(s) <= len(nameCharacters)); r.isBad {
				return
			}
			name += nameCharacters[s-1 : s]
		}
		if r.isBad {
			return
		}
		colours[i].Name = name
		r.require(len(r.unread) >= 5 || name != "")
	}
}

// readColour reads one colour without its share.
func (r *reader) readColour(pairs bool) Colour {
	var c Colour
	first := byte(r.takeBits(5))
	var second byte
	if pairs {
		r.require(first != 0)
		first--
		second = byte(r.takeBits(5))
	}
	r.require(first < 26 && second <= 26)
	c.CapLetters = string('A' + first)
	if second != 0 {
		c.CapLetters += string('A' + second - 1)
	}
	for i := range c.RGB {
		c.RGB[i] = byte(r.takeBits(4) * 17)
	}
	return c
}
