package main

import (
	"bytes"
	"testing"

	"pgregory.net/rapid"
)

// wasmModule writes a WebAssembly module of a custom section and these segments, as
// the linker would.
func wasmModule(segments []dataSegment) []byte {
	body := appendUnsigned(nil, len(segments))
	for _, s := range segments {
		body = appendSigned(append(body, activeSegment, i32ConstOpcode), s.at)
		body = append(appendUnsigned(append(body, endOpcode), len(s.bytes)), s.bytes...)
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

// initialMemory returns what a module's memory starts as.
func initialMemory(t *rapid.T, wasm []byte, size int) []byte {
	out := make([]byte, size)
	r := wasmReader{b: wasm, pos: 8 + 5}
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
		copy(out[at:], wasm[r.pos:r.pos+n])
		r.pos += n
	}
	return out
}

// Joining changes how memory is written, never what it is.
func TestJoinSegmentsKeepsMemory(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var all []dataSegment
		at := int64(0)
		for range rapid.IntRange(1, 30).Draw(t, "segments") {
			at += int64(rapid.SampledFrom([]int{0, 8, 63, 64, 4096, 4097, 9000}).Draw(t, "gap"))
			b := rapid.SliceOfN(rapid.Byte(), 1, 200).Draw(t, "bytes")
			all = append(all, dataSegment{at, b})
			at += int64(len(b))
		}
		all = rapid.Permutation(all).Draw(t, "order")
		linked := wasmModule(all)
		joined, err := joinSegments(linked)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(initialMemory(t, joined, int(at)), initialMemory(t, linked, int(at))) {
			t.Fatal("the memory is another")
		}
		again, err := joinSegments(joined)
		if err != nil || !bytes.Equal(again, joined) {
			t.Fatalf("joining what is joined changed it: %v", err)
		}
	})
}

func TestJoinSegmentsRefusesWhatItDoesNotKnow(t *testing.T) {
	good := wasmModule([]dataSegment{{8, []byte("ab")}, {100, []byte("cd")}})
	for why, bad := range map[string][]byte{
		"cut short":            good[:len(good)-3],
		"two that overlap":     wasmModule([]dataSegment{{8, []byte("abcd")}, {9, []byte("x")}}),
		"a passive segment":    bytes.Replace(good, []byte{activeSegment, i32ConstOpcode}, []byte{1, i32ConstOpcode}, 1),
		"an address of 64 bit": bytes.Replace(good, []byte{activeSegment, i32ConstOpcode}, []byte{activeSegment, 0x42}, 1),
	} {
		if _, err := joinSegments(bad); err == nil {
			t.Errorf("%s: was taken", why)
		}
	}
}
