package journal

import (
	"strconv"
	"strings"

	"coldbatch/internal/zone"
)

// Facts are read by the thousand, and nearly all have the form in which Author.MakeFacts wrote
// them: the envelope's fields always in the same order, without spaces, the body last.
// parseFactFast reads that form in one go, many times faster than encoding/json. It keeps raw. ok is
// false if raw does not have exactly that form, although it may well be a fact.
func parseFactFast(raw []byte) (f Fact, ok bool) {
	s := jsonScanner{string(raw), 0, true} // every text of the fact is a part of this one
	s.expect(`{"id":`)
	f.ID = ID(s.readPlainString())
	s.expect(`,"stamp":`)
	stamp := s.readPlainString()
	s.expect(`,"device":`)
	f.Device = ID(s.readPlainString())
	s.expect(`,"scope":`)
	f.Scope = Scope(s.readPlainString())
	s.expect(`,"subject":`)
	f.Subject = ID(s.readPlainString())
	s.expect(`,"kind":`)
	f.Kind = s.readPlainString()
	s.expect(`,"v":`)
	f.Version = int(s.readInteger())
	s.expect(`,"need":`)
	f.NeededVersion = int(s.readInteger())
	s.expect(`,"at":`)
	f.At = zone.Instant(s.readInteger())
	s.expect(`,"tz":`)
	f.TZ = s.readPlainString()
	if s.accept(`,"clock":{"offset":`) {
		f.Clock = &Clock{Offset: zone.Span(s.readInteger())}
		s.expect(`,"age":`)
		f.Clock.Age = zone.Span(s.readInteger())
		s.expect(`}`)
	}
	s.expect(`,"body":`)
	from := s.pos
	s.skipValue(0)
	to := s.pos
	s.expect(`}`)
	if !s.ok || s.pos != len(raw) || f.Stamp.read(stamp) != nil {
		return f, false
	}
	f.Body, f.raw = raw[from:to:to], raw
	return f, true
}

// jsonScanner reads a text from start to end. ok becomes false where the text does not have
// what a method asks for.
type jsonScanner struct {
	text string
	pos  int
	ok   bool
}

// accept says whether word comes next, and skips it.
func (s *jsonScanner) accept(word string) bool {
	if !s.ok || !strings.HasPrefix(s.text[s.pos:], word) {
		return false
	}
	s.pos += len(word)
	return true
}

func (s *jsonScanner) expect(word string) { s.ok = s.accept(word) }

// nextByte returns the next character, or 0 at the end.
func (s *jsonScanner) nextByte() byte {
	if !s.ok || s.pos == len(s.text) {
		return 0
	}
	return s.text[s.pos]
}

// readPlainString returns a string of plain ASCII without escapes.
func (s *jsonScanner) readPlainString() string {
	s.expect(`"`)
	from, to := s.pos, s.pos
	for to < len(s.text) && plainASCII[s.text[to]] {
		to++
	}
	s.pos = to
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

// readInteger returns a whole number of up to 15 digits.
func (s *jsonScanner) readInteger() int64 {
	from := s.pos
	for c := s.nextByte(); c == '-' || c >= '0' && c <= '9'; c = s.nextByte() {
		s.pos++
	}
	t := s.text[from:s.pos]
	v, err := strconv.ParseInt(t, 10, 64)
	// Only as it would be written: no leading zeros, no -0.
	s.ok = s.ok && err == nil && len(t) <= 15 && (t[0] != '0' || v == 0 && len(t) == 1) && (t[0] != '-' || t[1] != '0')
	return v
}

// maxDepth says how deep a body may be nested to be read here; encoding/json reads on.
const maxDepth = 20

// skipValue goes past any JSON value that has no space between its parts (RFC 8259).
func (s *jsonScanner) skipValue(depth int) {
	switch c := s.nextByte(); {
	case depth > maxDepth:
		s.ok = false
	case c == '{' || c == '[':
		s.skipMembers(c == '{', depth+1)
	case c == '"':
		s.skipString()
	case c == '-' || c >= '0' && c <= '9':
		s.skipNumber()
	default:
		s.ok = s.accept("true") || s.accept("false") || s.accept("null")
	}
}

// skipMembers skips an object or an array, from the bracket that comes next to the bracket
// that closes it.
func (s *jsonScanner) skipMembers(named bool, depth int) {
	end := byte(']')
	if named {
		end = '}'
	}
	s.pos++
	if s.nextByte() == end {
		s.pos++
		return
	}
	for s.ok {
		if named {
			s.skipString()
			s.expect(`:`)
		}
		s.skipValue(depth)
		switch s.nextByte() {
		case ',':
			s.pos++
		case end:
			s.pos++
			return
		default:
			s.ok = false
		}
	}
}

// skipString goes past a string with any characters and escapes.
func (s *jsonScanner) skipString() {
	s.expect(`"`)
	for s.ok {
		for s.pos < len(s.text) && plainASCII[s.text[s.pos]] {
			s.pos++
		}
		c := s.nextByte()
		if s.ok = c >= ' '; !s.ok { // also at the end
			return
		}
		s.pos++
		switch c {
		case '"':
			return
		case '\\':
			s.skipEscape()
		}
	}
}

func (s *jsonScanner) skipEscape() {
	c := s.nextByte()
	if s.ok = c != 0 && strings.IndexByte(`"\/bfnrtu`, c) >= 0; !s.ok {
		return
	}
	s.pos++
	for i := 0; i < 4 && c == 'u'; i++ {
		x := s.nextByte()
		if s.ok = x >= '0' && x <= '9' || x >= 'a' && x <= 'f' || x >= 'A' && x <= 'F'; !s.ok {
			return
		}
		s.pos++
	}
}

// skipNumber goes past a number.
func (s *jsonScanner) skipNumber() {
	s.accept("-")
	if !s.accept("0") {
		s.skipDigits()
	}
	if s.accept(".") {
		s.skipDigits()
	}
	if s.accept("e") || s.accept("E") {
		_ = s.accept("+") || s.accept("-")
		s.skipDigits()
	}
}

// skipDigits goes past one or more.
func (s *jsonScanner) skipDigits() {
	from := s.pos
	for c := s.nextByte(); c >= '0' && c <= '9'; c = s.nextByte() {
		s.pos++
	}
	s.ok = s.ok && s.pos > from
}
