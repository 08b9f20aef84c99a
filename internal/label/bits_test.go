package label

import (
	"encoding/base32"
	"math/rand"
	"testing"
)

func bitsOf(data string) bitString {
	var b bitString
	for i := range len(data) {
		b.put(uint64(data[i]), 8)
	}
	return b
}

// The check value that the catalogue of parametrised CRC algorithms prints
// beside CRC-16/IBM-3740 (from memory).
func TestCRCOfTheCatalogue(t *testing.T) {
	if got := bitsOf("123456789").crc(); got != 0x29B1 {
		t.Errorf("crc %04X, want 29B1", got)
	}
}

// RFC 4648, section 10: "fooba" is "MZXW6YTB" in its alphabet. The grouping of
// bits in a label's id is the same, but its alphabet differs.
func TestTextGroupsBitsAsRFC4648(t *testing.T) {
	const rfc = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567"
	want := []byte("MZXW6YTB")
	for i, c := range want {
		for v := range len(rfc) {
			if rfc[v] == c {
				want[i] = base32Alphabet[v]
			}
		}
	}
	if got := bitsOf("fooba").text(); got != string(want) {
		t.Errorf("%s, want %s", got, want)
	}
	other := base32.NewEncoding(base32Alphabet)
	r := rand.New(rand.NewSource(1))
	for range 100 {
		data := make([]byte, 5*(1+r.Intn(8)))
		for i := range data {
			data[i] = byte(r.Intn(256))
		}
		s := bitsOf(string(data)).text()
		if want := other.EncodeToString(data); s != want {
			t.Fatalf("%x is %s, want %s", data, s, want)
		}
		if string(bitsFromText(s)) != string(bitsOf(string(data))) {
			t.Fatalf("%s does not read back", s)
		}
	}
}

func TestDigitReadsWhatPeopleConfuse(t *testing.T) {
	for c, want := range map[byte]int{'0': 0, 'O': 0, 'o': 0, '1': 1, 'I': 1, 'i': 1, 'L': 1, 'l': 1, 'Z': 31, 'z': 31, 'U': -1, 'u': -1, ' ': -1, 0xC5: -1, '-': -1} {
		if got := digitValue(c); got != want {
			t.Errorf("digitValue(%q) = %d, want %d", c, got, want)
		}
	}
}
