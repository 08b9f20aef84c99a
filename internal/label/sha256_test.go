package label

import (
	"crypto/hmac"
	std "crypto/sha256"
	"encoding/hex"
	"testing"

	"pgregory.net/rapid"
)

// Go's own crypto/sha256 and crypto/hmac are the check from outside: every length
// around the block's edges, and any key and message.
func TestSHA256IsTheStandardLibrarys(t *testing.T) {
	for n := range 200 {
		m := make([]byte, n)
		for i := range m {
			m[i] = byte(i*7 + n)
		}
		if got, want := sha256(m), std.Sum256(m); got != want || SHA256Hex(string(m)) != hex.EncodeToString(want[:]) {
			t.Fatalf("%d bytes: %x, want %x", n, got, want)
		}
	}
	rapid.Check(t, func(rt *rapid.T) {
		key := rapid.SliceOfN(rapid.Byte(), 0, 150).Draw(rt, "key")
		m := rapid.SliceOfN(rapid.Byte(), 0, 300).Draw(rt, "message")
		h := hmac.New(std.New, key)
		h.Write(m)
		if got := hmacSHA256(key, m); !hmac.Equal(got[:], h.Sum(nil)) {
			rt.Fatalf("hmac %x, want %x", got, h.Sum(nil))
		}
	})
}
