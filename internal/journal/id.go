package journal

import (
	"encoding/base32"
	"strings"

	"coldbatch/internal/fault"
)

// ID is 128 random bits written as 26 characters of Crockford's base32 in lower
// case. It names a fact, a device, a batch, a bag, a piece: whatever must stay
// itself when two phones meet. The empty ID is none.
type ID string

// idAlphabet is Crockford's, in lower case.
const idAlphabet = "0123456789abcdefghjkmnpqrstvwxyz"

var idEncoding = base32.NewEncoding(idAlphabet).WithPadding(base32.NoPadding)

const idLength = 26

// NewID writes 16 bytes as an ID. The bytes come from the edge: the core has no
// source of randomness.
func NewID(random [16]byte) ID { return ID(idEncoding.EncodeToString(random[:])) }

// Bytes returns the 16 bytes of a valid ID, or nil.
func (id ID) Bytes() []byte {
	if b, ok := id.Bits(); ok {
		return b[:]
	}
	return nil
}

// Bits returns the 16 bytes of an ID; ok is false where id has not the form of one.
func (id ID) Bits() (b [16]byte, ok bool) {
	if !id.Valid() {
		return b, false
	}
	var bits, held, n = uint32(0), 0, 0
	for i := range idLength {
		bits, held = bits<<5|uint32(digitValues[id[i]]), held+5
		if held >= 8 && n < len(b) {
			held -= 8
			b[n] = byte(bits >> held)
			n++
		}
	}
	return b, true
}

// digitValues returns what a character of an ID stands for, invalidDigit for any other.
var digitValues = func() (d [256]byte) {
	for i := range d {
		d[i] = invalidDigit
	}
	for i, c := range idAlphabet {
		d[c] = byte(i)
	}
	return d
}()

const invalidDigit = 1 << 7

// Valid says whether id has the form of an ID, in its one spelling. The last of 26
// characters holds three bits, so its two lowest are zero.
func (id ID) Valid() bool {
	if len(id) != idLength {
		return false
	}
	all := byte(0)
	for i := range idLength {
		all |= digitValues[id[i]]
	}
	return all&invalidDigit == 0 && digitValues[id[idLength-1]]&3 == 0
}

// Check returns a fault that names what when id is not an ID.
func (id ID) Check(what string) error {
	if id.Valid() {
		return nil
	}
	return fault.New(fault.Input, "%s %q is not an id", what, shorten(string(id))).
		WithHint("an id is 26 letters and digits, as this program shows it")
}

// shorten shortens foreign text before it is shown in a sentence.
func shorten(s string) string {
	if len(s) > 60 {
		return strings.ToValidUTF8(s[:60], "") + "…"
	}
	return s
}
