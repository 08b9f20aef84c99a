package journal

import (
	"bytes"
	"encoding/json"
	"strconv"

	"coldbatch/internal/zone"
)

// Facts are read by the thousand, and nearly all stand there as Author.Write wrote
// them: the envelope's fields in their one order, without spaces, the body last.
// scanFact reads that form, in a third of the time that encoding/json takes for any
// other. ok is false where b is not quite that form, though it may well be a fact.
func scanFact(b []byte) (f Fact, ok bool) {
	s := scanner{bytes.Clone(b), 0, true}
	s.skip(`{"id":`)
	f.ID = ID(s.text())
	s.skip(`,"stamp":`)
	s.ok = s.ok && f.Stamp.UnmarshalText([]byte(s.text())) == nil
	s.skip(`,"device":`)
	f.Device = ID(s.text())
	s.skip(`,"scope":`)
	f.Scope = Scope(s.text())
	s.skip(`,"subject":`)
	f.Subject = ID(s.text())
	s.skip(`,"kind":`)
	f.Kind = s.text()
	s.skip(`,"v":`)
	f.Version = int(s.number())
	s.skip(`,"need":`)
	f.Need = int(s.number())
	s.skip(`,"at":`)
	f.At = zone.Instant(s.number())
	s.skip(`,"tz":`)
	f.TZ = s.text()
	if s.follows(`,"clock":{"offset":`) {
		f.Clock = &Clock{Offset: zone.Span(s.number())}
		s.skip(`,"age":`)
		f.Clock.Age = zone.Span(s.number())
		s.skip(`}`)
	}
	s.skip(`,"body":`)
	if !s.ok || len(s.b) == s.at || s.b[len(s.b)-1] != '}' {
		return f, false
	}
	f.Body, f.raw = s.b[s.at:len(s.b)-1:len(s.b)-1], s.b
	return f, compact(f.Body) && json.Valid(f.Body)
}

// scanner goes through a text and stops being ok where something else stands there
// than is asked for.
type scanner struct {
	b  []byte
	at int
	ok bool
}

// follows says whether word stands next, and goes past it.
func (s *scanner) follows(word string) bool {
	if !s.ok || len(s.b)-s.at < len(word) || string(s.b[s.at:s.at+len(word)]) != word {
		return false
	}
	s.at += len(word)
	return true
}

func (s *scanner) skip(word string) { s.ok = s.follows(word) }

// text gives a string of plain ASCII without escapes.
func (s *scanner) text() string {
	if s.skip(`"`); !s.ok {
		return ""
	}
	for i, c := range s.b[s.at:] {
		if c == '"' {
			t := string(s.b[s.at : s.at+i])
			s.at += i + 1
			return t
		}
		if c < ' ' || c == '\\' || c > '~' {
			break
		}
	}
	s.ok = false
	return ""
}

// number gives a whole number of up to 15 digits.
func (s *scanner) number() int64 {
	if !s.ok {
		return 0
	}
	n := 0
	for rest := s.b[s.at:]; n < len(rest) && (rest[n] == '-' || rest[n] >= '0' && rest[n] <= '9'); {
		n++
	}
	t := string(s.b[s.at : s.at+n])
	v, err := strconv.ParseInt(t, 10, 64)
	s.at += n
	// Only as it would be written: no leading zeros, no -0.
	s.ok = err == nil && n <= 15 && strconv.FormatInt(v, 10) == t
	return v
}

// compact says that there is no space between the parts of a JSON text.
func compact(b []byte) bool {
	quoted := false
	for i := 0; i < len(b); i++ {
		switch c := b[i]; {
		case c == '"':
			quoted = !quoted
		case quoted && c == '\\':
			i++
		case !quoted && c <= ' ':
			return false
		}
	}
	return true
}
