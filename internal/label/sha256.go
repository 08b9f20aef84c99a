package label

import (
	"encoding/binary"
	"encoding/hex"
	rot "math/bits"
)

// SHA256Hex returns the SHA-256 of text as 64 hex digits.
func SHA256Hex(text string) string {
	sum := sha256([]byte(text))
	return hex.EncodeToString(sum[:])
}

// sha256 is SHA-256 as in FIPS 180-4, section 6.2. The standard library's adds 50 kB of
// compressed WebAssembly for its other algorithms and self-tests, a twentieth of the whole
// core. A test compares the two.
func sha256(message []byte) [32]byte {
	h := sha256InitialState
	m := append(append([]byte(nil), message...), 0x80)
	for len(m)%64 != 56 {
		m = append(m, 0)
	}
	m = binary.BigEndian.AppendUint64(m, uint64(len(message))*8)
	for ; len(m) > 0; m = m[64:] {
		sha256Block(&h, m[:64])
	}
	var out [32]byte
	for i, v := range h {
		binary.BigEndian.PutUint32(out[4*i:], v)
	}
	return out
}

// sha256Block adds one block of 64 bytes to the hash h.
func sha256Block(h *[8]uint32, block []byte) {
	var w [64]uint32
	for i := range w {
		if i < 16 {
			w[i] = binary.BigEndian.Uint32(block[4*i:])
			continue
		}
		x, y := w[i-15], w[i-2]
		s0 := rot.RotateLeft32(x, -7) ^ rot.RotateLeft32(x, -18) ^ x>>3
		s1 := rot.RotateLeft32(y, -17) ^ rot.RotateLeft32(y, -19) ^ y>>10
		w[i] = w[i-16] + s0 + w[i-7] + s1
	}
	v := *h
	for i := range w {
		a, e := v[0], v[4]
		s1 := rot.RotateLeft32(e, -6) ^ rot.RotateLeft32(e, -11) ^ rot.RotateLeft32(e, -25)
		t1 := v[7] + s1 + (e&v[5] ^ ^e&v[6]) + sha256RoundConstants[i] + w[i]
		s0 := rot.RotateLeft32(a, -2) ^ rot.RotateLeft32(a, -13) ^ rot.RotateLeft32(a, -22)
		t2 := s0 + (a&v[1] ^ a&v[2] ^ v[1]&v[2])
		v = [8]uint32{t1 + t2, a, v[1], v[2], v[3] + t1, e, v[5], v[6]}
	}
	for i := range h {
		h[i] += v[i]
	}
}

// hmacSHA256 is HMAC with SHA-256: RFC 2104, section 2.
func hmacSHA256(key, message []byte) [32]byte {
	var inner, outer [64]byte
	if len(key) > 64 {
		k := sha256(key)
		key = k[:]
	}
	copy(inner[:], key)
	copy(outer[:], key)
	for i := range inner {
		inner[i] ^= 0x36
		outer[i] ^= 0x5c
	}
	sum := sha256(append(inner[:], message...))
	return sha256(append(outer[:], sum[:]...))
}

// FIPS 180-4, section 5.3.3: the start; section 4.2.2: the constants.
var (
	sha256InitialState   = [8]uint32{0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a, 0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19}
	sha256RoundConstants = [64]uint32{
		0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
		0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
		0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
		0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
		0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
		0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
		0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
		0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2,
	}
)
