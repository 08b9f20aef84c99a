package journal

import (
	"strconv"
	"strings"

	"coldbatch/internal/zone"
)

// Facts are read by the thousand, and nearly all stand there as Author.Write wrote
// them: the envelope's fields in their one order, without spaces, the body last.
// scanFact reads that form in one go, many times faster than encoding/json reads any
// other. It keeps raw. ok is false where that is not quite of that form, though it
// may well be a fact.
func scanFact(raw []byte) (f Fact, ok bool) {
	s := scanner{string(raw), 0, true} // every text of the fact is a part of this one
	s.expect(`{"id":`)
	f.ID = ID(s.plainString())
	s.expect(`,"stamp":`)
	stamp := s.plainString()
	s.expect(`,"device":`)
	f.Device = ID(s.plainString())
	s.expect(`,"scope":`)
	f.Scope = Scope(s.plainString())
	s.expect(`,"subject":`)
	f.Subject = ID(s.plainString())
	s.expect(`,"kind":`)
	f.Kind = s.plainString()
	s.expect(`,"v":`)
	f.Version = int(s.number())
	s.expect(`,"need":`)
	f.Need = int(s.number())
	s.expect(`,"at":`)
	f.At = zone.Instant(s.number())
	s.expect(`,"tz":`)
	f.TZ = s.plainString()
	if s.accept(`,"clock":{"offset":`) {
		f.Clock = &Clock{Offset: zone.Span(s.number())}
		s.expect(`,"age":`)
		f.Clock.Age = zone.Span(s.number())
		s.expect(`}`)
	}
	s.expect(`,"body":`)
	from := s.at
	s.value(0)
	to := s.at
	s.expect(`}`)
	if !s.ok || s.at != len(raw) || f.Stamp.read(stamp) != nil {
		return f, false
	}
	f.Body, f.raw = raw[from:to:to], raw
	return f, true
}

// scanner reads a text from start to end. ok becomes false where the text does not have
// what a method asks for.
type scanner struct {
	text string
	at   int
	ok   bool
}

// accept says whether word stands next, and goes past it.
func (s *scanner) accept(word string) bool {
	if !s.ok || !strings.HasPrefix(s.text[s.at:], word) {
		return false
	}
	s.at += len(word)
	return true
}

func (s *scanner) expect(word string) { s.ok = s.accept(word) }

// next gives the character that stands next, 0 at the end.
func (s *scanner) next() byte {
	if !s.ok || s.at == len(s.text) {
		return 0
	}
	return s.text[s.at]
}

// plainString gives a string of plain ASCII without escapes.
func (s *scanner) plainString() string {
	s.expect(`"`)
	from, to := s.at, s.at
	for to < len(s.text) && plainASCII[s.text[to]] {
		to++
	}
	s.at = to
	s.expect(`"`)
	return s.text[from:to]
}

// plainASCII is what stands for itself in a JSON string (RFC 8259, section 7) and is ASCII.
var plainASCII = func() (p [256]bool) {
	for c := ' '; c <= '~'; c++ {
		p[c] = c != '"' && c != '\\'
	}
	return p
}()

// number gives a whole number of up to 15 digits.
func (s *scanner) number() int64 {
	from := s.at
	for c := s.next(); c == '-' || c >= '0' && c <= '9'; c = s.next() {
		s.at++
	}
	t := s.text[from:s.at]
	v, err := strconv.ParseInt(t, 10, 64)
	// Only as it would be written: no leading zeros, no -0.
	s.ok = s.ok && err == nil && len(t) <= 15 && (t[0] != '0' || v == 0 && len(t) == 1) && (t[0] != '-' || t[1] != '0')
	return v
}

// maxDepth is how deep a body may be nested to be read here; encoding/json reads on.
const maxDepth = 20

// value goes past any JSON value that has no space between its parts (RFC 8259).
func (s *scanner) value(depth int) {
	switch c := s.next(); {
	case depth > maxDepth:
		s.ok = false
	case c == '{' || c == '[':
		s.members(c == '{', depth+1)
	case c == '"':
		s.string()
	case c == '-' || c >= '0' && c <= '9':
		s.decimal()
	default:
		s.ok = s.accept("true") || s.accept("false") || s.accept("null")
	}
}

// members goes past an object or an array, from the bracket that stands next to the
// one that closes it.
func (s *scanner) members(named bool, depth int) {
	end := byte(']')
	if named {
		end = '}'
	}
	s.at++
	if s.next() == end {
		s.at++
		return
	}
	for s.ok {
		if named {
			s.string()
			s.expect(`:`)
		}
		s.value(depth)
		switch s.next() {
		case ',':
			s.at++
		case end:
			s.at++
			return
		default:
			s.ok = false
		}
	}
}

// string goes past a string with any characters and escapes.
func (s *scanner) string() {
	s.expect(`"`)
	for s.ok {
		for s.at < len(s.text) && plainASCII[s.text[s.at]] {
			s.at++
		}
		c := s.next()
		if s.ok = c >= ' '; !s.ok { // also at the end
			return
		}
		s.at++
		switch c {
		case '"':
			return
		case '\\':
			s.escape()
		}
	}
}

func (s *scanner) escape() {
	c := s.next()
	if s.ok = c != 0 && strings.IndexByte(`"\/bfnrtu`, c) >= 0; !s.ok {
		return
	}
	s.at++
	for i := 0; i < 4 && c == 'u'; i++ {
		x := s.next()
		if s.ok = x >= '0' && x <= '9' || x >= 'a' && x <= 'f' || x >= 'A' && x <= 'F'; !s.ok {
			return
		}
		s.at++
	}
}

// decimal goes past a number.
func (s *scanner) decimal() {
	s.accept("-")
	if !s.accept("0") {
		s.digits()
	}
	if s.accept(".") {
		s.digits()
	}
	if s.accept("e") || s.accept("E") {
		_ = s.accept("+") || s.accept("-")
		s.digits()
	}
}

// digits goes past one or more.
func (s *scanner) digits() {
	from := s.at
	for c := s.next(); c >= '0' && c <= '9'; c = s.next() {
		s.at++
	}
	s.ok = s.ok && s.at > from
}
