package journal

import (
	"bytes"
	"encoding/json"
	"strings"

	"coldbatch/internal/fault"
)

// isHidden says whether r must not be in a text: a control character other than a tab and
// a line's end, which a terminal may obey, or a mark that changes the direction of writing
// (Unicode Standard Annex #9, section 2), so that a text looks like a different one.
func isHidden(r rune) bool {
	switch {
	case r == '\t' || r == '\n':
		return false
	case r < ' ' || r >= 0x7f && r < 0xa0:
		return true
	}
	return r == 0x61c || r == 0x200e || r == 0x200f || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
}

// PlainText returns a text without control characters and marks of direction.
func PlainText(s string) string {
	return strings.Map(func(r rune) rune {
		if isHidden(r) {
			return -1
		}
		return r
	}, s)
}

// PlainBody returns a fact's body without control characters and marks of direction in its
// texts. The fact itself keeps them: it is never changed.
func PlainBody(body json.RawMessage) json.RawMessage {
	if !mayContainHidden(body) {
		return body
	}
	value, err := decodeAny(body)
	if err != nil {
		return body
	}
	text, err := encodeJSON(mapTexts(value, PlainText))
	if err != nil {
		return body
	}
	return text
}

// RejectHiddenCharacters returns a fault where a text of f has a control character or a mark of
// direction.
func RejectHiddenCharacters(f Fact) error {
	if r := strings.IndexFunc(f.TZ, isHidden); r >= 0 {
		return fault.New(fault.Input, "time zone %q of fact is not a zone name", shorten(f.TZ))
	}
	if !mayContainHidden(f.Body) {
		return nil
	}
	value, err := decodeAny(f.Body)
	if err != nil {
		return fault.New(fault.Input, "the body of kind %s is not JSON", f.Kind)
	}
	bad := rune(-1)
	mapTexts(value, func(s string) string {
		if i := strings.IndexFunc(s, isHidden); i >= 0 && bad < 0 {
			for _, r := range s[i:] {
				bad = r
				break
			}
		}
		return s
	})
	if bad >= 0 {
		return fault.New(fault.Input, "a text of %s has the character %U", f.Kind, bad).
			WithHint("texts may not contain control characters or marks that change the direction of writing; write it again without them")
	}
	return nil
}

// mayContainHidden says whether a JSON text may have hidden characters: whether it has one as it
// is, or any as \u with its number.
func mayContainHidden(text []byte) bool {
	for i, c := range text {
		rest := text[i+1:]
		switch {
		case c == '\\' && len(rest) > 0 && rest[0] == 'u':
			return true
		case c == 0x7f, c == 0xc2 && len(rest) > 0 && rest[0] < 0xa0, c == 0xd8 && len(rest) > 0 && rest[0] == 0x9c:
			return true
		case c == 0xe2 && len(rest) > 1 && (rest[0] == 0x80 || rest[0] == 0x81):
			return true
		case c == '\\' && len(rest) > 0 && strings.IndexByte("bfr", rest[0]) >= 0:
			return true
		}
	}
	return false
}

// decodeAny decodes a JSON text and keeps its numbers as they are written.
func decodeAny(text []byte) (v any, err error) {
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	err = d.Decode(&v)
	return v, err
}

// mapTexts returns v with change made to every text of it, the names of fields included.
func mapTexts(v any, change func(string) string) any {
	switch v := v.(type) {
	case string:
		return change(v)
	case []any:
		for i := range v {
			v[i] = mapTexts(v[i], change)
		}
	case map[string]any:
		out := make(map[string]any, len(v))
		for name, x := range v {
			out[change(name)] = mapTexts(x, change)
		}
		return out
	}
	return v
}
