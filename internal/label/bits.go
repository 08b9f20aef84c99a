package label

// base32Alphabet is Crockford's base32 (Crockford, "Base 32", from memory): inside
// the alphanumeric set of a QR code, the same in either case, and without I, L,
// O and U, so that typing errors can be corrected. The alphabet of RFC 4648 fits a QR code
// as well, but has the letter O, which a person may type as 0.
const base32Alphabet = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

// digitValue returns the value of one character in either case, with O read as 0 and
// I and L as 1; -1 for any other.
func digitValue(c byte) int {
	if c >= 'a' && c <= 'z' {
		c -= 'a' - 'A'
	}
	switch c {
	case 'O':
		return 0
	case 'I', 'L':
		return 1
	}
	for i := range len(base32Alphabet) {
		if base32Alphabet[i] == c {
			return i
		}
	}
	return -1
}

func isBase32(s string) bool {
	for i := range len(s) {
		if digitValue(s[i]) < 0 {
			return false
		}
	}
	return true
}

// bitString is a sequence of bits, one a byte: a label has about 400 at most.
type bitString []byte

// put appends the low n bits of v, highest first.
func (b *bitString) put(v uint64, n int) {
	for n--; n >= 0; n-- {
		*b = append(*b, byte(v>>n)&1)
	}
}

// text returns b, a multiple of five bits, in base32.
func (b bitString) text() string {
	s := make([]byte, 0, len(b)/5)
	for i := 0; i+5 <= len(b); i += 5 {
		s = append(s, base32Alphabet[b[i]<<4|b[i+1]<<3|b[i+2]<<2|b[i+3]<<1|b[i+4]])
	}
	return string(s)
}

// bitsFromText reads base32 in either case; s has only digits of the alphabet.
func bitsFromText(s string) bitString {
	b := make(bitString, 0, 5*len(s))
	for i := range len(s) {
		b.put(uint64(digitValue(s[i])), 5)
	}
	return b
}

// crc is CRC-16/CCITT as the catalogue of parametrised CRC algorithms lists it
// under CRC-16/IBM-3740: polynomial 0x1021, start 0xFFFF, nothing reflected,
// nothing added; 0x29B1 for "123456789" (from memory). It goes bit by bit since
// a code need not end on a byte.
func (b bitString) crc() uint16 {
	r := uint16(0xFFFF)
	for _, bit := range b {
		top := byte(r>>15) ^ bit
		r <<= 1
		if top != 0 {
			r ^= 0x1021
		}
	}
	return r
}
