package exchange

import (
	"bytes"
	"encoding/json"
	"slices"

	"coldbatch/internal/fault"
)

// ParseRequest reads a request as it comes from a phone. It does not parse the
// facts: they stay slices of body, so one that is not valid JSON does not block the others.
func ParseRequest(body []byte) (Request, error) {
	if r, ok := parseRequestFast(body); ok {
		return r, nil
	}
	var r Request
	if err := json.Unmarshal(body, &r); err != nil {
		return Request{}, fault.New(fault.Input, "the request is not the JSON that is expected: %v", err)
	}
	return r, nil
}

// parseRequestFast takes the facts out and has encoding/json read what is left, which is
// short: to go through hundreds of facts twice, and once more for each of them, would
// take longer than to keep them. ok is false where the request is not as phones
// write it.
func parseRequestFast(body []byte) (r Request, ok bool) {
	const key = `"facts":[`
	at := bytes.Index(body, []byte(key))
	if at < 0 {
		return Request{}, false
	}
	at += len(key)
	facts, end := splitList(body[at:])
	if end < 0 {
		return Request{}, false
	}
	left := slices.Concat(body[:at], body[at+end:])
	// The empty list that is left must be the one that is read.
	if bytes.Count(left, []byte(`"facts"`)) != 1 || json.Unmarshal(left, &r) != nil || r.Facts == nil || len(r.Facts) > 0 {
		return Request{}, false
	}
	r.Facts = facts
	return r, true
}

// splitList returns the parts of a list, whose bracket was opened just before b, and where
// it closes; that is -1 where it does not, or a part is empty.
func splitList(b []byte) (parts []json.RawMessage, end int) {
	depth, from := 0, 0
	for i := 0; i < len(b); i++ {
		c := b[i]
		switch c {
		case '"':
			n := findStringEnd(b[i+1:])
			if n < 0 {
				return nil, -1
			}
			i += 1 + n
		case '{', '[':
			depth++
		case '}', ']', ',':
			if depth > 0 {
				if c != ',' {
					depth--
				}
				continue
			}
			part := bytes.TrimSpace(b[from:i])
			switch {
			case c == ']' && len(part) == 0 && len(parts) == 0:
				return []json.RawMessage{}, i
			case c == '}' || len(part) == 0:
				return nil, -1
			}
			parts, from = append(parts, part), i+1
			if c == ']' {
				return parts, i
			}
		}
	}
	return nil, -1
}

// findStringEnd returns the index in b of the quotation mark that ends a string which began just
// before b, or -1.
func findStringEnd(b []byte) int {
	for at := 0; ; at++ {
		n := bytes.IndexByte(b[at:], '"')
		if n < 0 {
			return -1
		}
		at += n
		escapes := 0
		for escapes < at && b[at-1-escapes] == '\\' {
			escapes++
		}
		if escapes%2 == 0 {
			return at
		}
	}
}
