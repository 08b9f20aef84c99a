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

var idText = base32.NewEncoding("0123456789abcdefghjkmnpqrstvwxyz").WithPadding(base32.NoPadding)

const idLen = 26

// NewID writes 16 bytes as an ID. The bytes come from the edge: the core has no
// source of randomness.
func NewID(random [16]byte) ID { return ID(idText.EncodeToString(random[:])) }

// Bytes gives the 16 bytes of a valid ID, or nil. (The decoder alone would pass over
// line ends, and give 15.)
func (id ID) Bytes() []byte {
	if !id.Valid() {
		return nil
	}
	b, err := idText.DecodeString(string(id))
	if err != nil {
		return nil
	}
	return b
}

// Valid says whether id has the form of an ID, in its one spelling. The last of 26
// characters holds three bits, so it is one of eight.
func (id ID) Valid() bool {
	if len(id) != idLen || !strings.Contains("048cgmrw", string(id[idLen-1:])) {
		return false
	}
	for i := range len(id) {
		if c := id[i]; !(c >= '0' && c <= '9' || c >= 'a' && c <= 'z' && c != 'i' && c != 'l' && c != 'o' && c != 'u') {
			return false
		}
	}
	return true
}

// Check returns a fault that names what when id is not an ID.
func (id ID) Check(what string) error {
	if id.Valid() {
		return nil
	}
	return fault.New(fault.Input, "%s %q is not an id", what, clip(string(id))).
		WithHint("an id is 26 letters and digits, as this program writes them")
}

// clip shortens foreign text before it is shown in a sentence.
func clip(s string) string {
	if len(s) > 60 {
		return strings.ToValidUTF8(s[:60], "") + "…"
	}
	return s
}
