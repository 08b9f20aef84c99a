package main

import (
	"bytes"
	"testing"

	"pgregory.net/rapid"
)

// module writes a WebAssembly module of a custom section and these segments, as
// the linker would.
func module(segments []segment) []byte {
	body := appendUnsigned(nil, len(segments))
	for _, s := range segments {
		body = appendSigned(append(body, active, i32Const), s.at)
		body = append(appendUnsigned(append(body, end), len(s.bytes)), s.bytes...)
	}
	out := append([]byte("\x00asm\x01\x00\x00\x00"), 0, 3, 2, 'h', 'i')
	return append(appendUnsigned(append(out, dataSection), len(body)), body...)
}

func appendUnsigned(b []byte, v int) []byte {
	for ; v > 0x7f; v >>= 7 {
		b = append(b, byte(v)|0x80)
	}
	return append(b, byte(v))
}

// memory gives what a module's memory starts as.
func memory(t *rapid.T, wasm []byte, size int) []byte {
	out := make([]byte, size)
	r := reader{b: wasm, at: 8 + 5}
	if r.byte() != dataSection {
		t.Fatal("no data section where it should be")
	}
	r.unsigned()
	for range r.unsigned() {
		r.byte()
		r.byte()
		at := r.signed()
		r.byte()
		n := int(r.unsigned())
		copy(out[at:], wasm[r.at:r.at+n])
		r.at += n
	}
	return out
}

// Joining changes how memory is written, never what it is.
func TestJoinSegmentsKeepsMemory(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all []segment
		at := int64(0)
		for range rapid.IntRange(1, 30).Draw(t, "segments") {
			at += int64(rapid.SampledFrom([]int{0, 8, 63, 64, 4096, 4097, 9000}).Draw(t, "gap"))
			b := rapid.SliceOfN(rapid.Byte(), 1, 200).Draw(t, "bytes")
			all = append(all, segment{at, b})
			at += int64(len(b))
		}
		all = rapid.Permutation(all).Draw(t, "order")
		linked := module(all)
		joined, err := joinSegments(linked)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(memory(t, joined, int(at)), memory(t, linked, int(at))) {
			t.Fatal("the memory is another")
		}
		again, err := joinSegments(joined)
		if err != nil || !bytes.Equal(again, joined) {
			t.Fatalf("joining what is joined changed it: %v", err)
		}
	})
}

func TestJoinSegmentsRefusesWhatItDoesNotKnow(t *testing.T) {
	good := module([]segment{{8, []byte("ab")}, {100, []byte("cd")}})
	for why, bad := range map[string][]byte{
		"cut short":            good[:len(good)-3],
		"two that overlap":     module([]segment{{8, []byte("abcd")}, {9, []byte("x")}}),
		"a passive segment":    bytes.Replace(good, []byte{active, i32Const}, []byte{1, i32Const}, 1),
		"an address of 64 bit": bytes.Replace(good, []byte{active, i32Const}, []byte{active, 0x42}, 1),
	} {
		if _, err := joinSegments(bad); err == nil {
			t.Errorf("%s: was taken", why)
		}
	}
}
