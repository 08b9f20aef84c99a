package journal

import (
	"strings"

	"coldbatch/internal/fault"
)

// codeLength is the characters of a code: 80 random bits.
const codeLength = 16

// NewCode writes ten random bytes as a code with which a phone may join: 16
// characters of Crockford's base32, shown in fours, as in "K7M2-Q9X4-TTRW-9ABC".
func NewCode(random [10]byte) string {
	return FormatCode(strings.ToUpper(idEncoding.EncodeToString(random[:])))
}

// FormatCode groups the canonical text of a code as NewCode shows it.
func FormatCode(canonical string) string {
	var groups []string
	for len(canonical) > 4 {
		groups, canonical = append(groups, canonical[:4]), canonical[4:]
	}
	return strings.Join(append(groups, canonical), "-")
}

// ParseCode reads a code as a person types it, in either case, with O for 0, with I
// or L for 1, with any spaces, hyphens and stops between, and returns its canonical
// text: 16 characters in upper case. Anything else returns code Input.
func ParseCode(typed string) (canonical string, err error) {
	var b strings.Builder
	for _, r := range strings.ToUpper(typed) {
		switch {
		case strings.ContainsRune(" \t\u00a0\u202f-‐‑–—−._/", r):
			continue
		case r == 'O':
			r = '0'
		case r == 'I' || r == 'L':
			r = '1'
		}
		if r > 127 || !strings.ContainsRune("0123456789ABCDEFGHJKMNPQRSTVWXYZ", r) {
			return "", codeError(typed, "%q does not occur in a code", r)
		}
		b.WriteRune(r)
	}
	if b.Len() != codeLength {
		return "", codeError(typed, "a code has %d letters and digits, this has %d", codeLength, b.Len())
	}
	return b.String(), nil
}

func codeError(typed, format string, args ...any) error {
	return fault.New(fault.Input, format, args...).At("code", shorten(typed)).
		WithHint("a code looks like K7M2-Q9X4-TTRW-9ABC, or has 8 digits")
}

// ParseDigits reads the short code, 8 digits with any spaces and hyphens between;
// ok is false where typed is not that.
func ParseDigits(typed string) (digits string, ok bool) {
	var b strings.Builder
	for _, r := range typed {
		switch {
		case r >= '0' && r <= '9':
			b.WriteRune(r)
		case !strings.ContainsRune(" \t\u00a0\u202f-‐‑–—−.", r):
			return "", false
		}
	}
	return b.String(), b.Len() == 8
}
