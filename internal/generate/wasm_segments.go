package main

import (
	"encoding/binary"
	"errors"
	"sort"
)

// maxInnerZeros is the longest run of zeros that is written out rather than left
// between two data segments.
const maxInnerZeros = 4096

var errNotWasm = errors.New("the core is not WebAssembly as the linker writes it")

// joinSegments writes the module's initial memory as a few long data segments.
// The linker leaves every run of eight zeros out and so writes some 80 000 short
// ones, each with an address that compresses badly; the zeros themselves cost
// nothing once compressed. It makes the compressed core a twelfth smaller.
// The format is that of the WebAssembly core specification, section 5.5.14.
func joinSegments(wasm []byte) ([]byte, error) {
	out := append([]byte(nil), wasm[:min(8, len(wasm))]...)
	for r := (wasmReader{b: wasm, pos: 8}); r.pos < len(wasm); {
		start := r.pos
		id := r.byte()
		size := int(r.unsigned())
		from := r.pos
		if r.pos += size; r.pos > len(wasm) {
			return nil, errNotWasm
		}
		if id != dataSection {
			out = append(out, wasm[start:r.pos]...)
			continue
		}
		body, err := joinDataSection(wasm[from:r.pos])
		if err != nil {
			return nil, err
		}
		out = binary.AppendUvarint(append(out, dataSection), uint64(len(body)))
		out = append(out, body...)
	}
	return out, nil
}

// Codes of the specification: the data section, and the only form of segment
// that the linker writes: active, memory 0, at a constant address.
const (
	dataSection    = 11
	activeSegment  = 0x00
	i32ConstOpcode = 0x41
	endOpcode      = 0x0b
)

// dataSegment is a stretch of memory.
type dataSegment struct {
	at    int64
	bytes []byte
}

// joinDataSection returns the body of a data section with its segments joined.
func joinDataSection(body []byte) ([]byte, error) {
	r := wasmReader{b: body}
	all := make([]dataSegment, r.unsigned())
	for i := range all {
		if r.byte() != activeSegment || r.byte() != i32ConstOpcode {
			return nil, errNotWasm
		}
		all[i].at = r.signed()
		if r.byte() != endOpcode {
			return nil, errNotWasm
		}
		size := int(r.unsigned())
		if size > len(body)-r.pos {
			return nil, errNotWasm
		}
		all[i].bytes = body[r.pos : r.pos+size]
		r.pos += size
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].at < all[j].at })
	var few []dataSegment
	for _, s := range all {
		if n := len(few); n > 0 {
			last := &few[n-1]
			switch gap := s.at - last.at - int64(len(last.bytes)); {
			case gap < 0:
				return nil, errNotWasm
			case gap <= maxInnerZeros:
				last.bytes = append(append(last.bytes, make([]byte, gap)...), s.bytes...)
				continue
			}
		}
		few = append(few, dataSegment{s.at, append([]byte(nil), s.bytes...)})
	}
	out := binary.AppendUvarint(nil, uint64(len(few)))
	for _, s := range few {
		clearLineTables(s.bytes)
		out = appendSigned(append(out, activeSegment, i32ConstOpcode), s.at)
		out = binary.AppendUvarint(append(out, endOpcode), uint64(len(s.bytes)))
		out = append(out, s.bytes...)
	}
	return out, nil
}

// wasmReader reads bytes and LEB128 numbers; past the end it returns zeros.
type wasmReader struct {
	b   []byte
	pos int
}

func (r *wasmReader) byte() byte {
	if r.pos >= len(r.b) {
		return 0
	}
	r.pos++
	return r.b[r.pos-1]
}

// unsigned reads unsigned LEB128, which Go calls a uvarint.
func (r *wasmReader) unsigned() uint64 {
	v, n := binary.Uvarint(r.b[min(r.pos, len(r.b)):])
	r.pos += max(n, 0)
	return v
}

// signed reads signed LEB128.
func (r *wasmReader) signed() int64 {
	var v int64
	for shift := 0; shift < 63; {
		c := r.byte()
		v |= int64(c&0x7f) << shift
		if shift += 7; c < 0x80 {
			if c&0x40 != 0 {
				v -= 1 << shift
			}
			return v
		}
	}
	return v
}

func appendSigned(b []byte, v int64) []byte {
	for {
		c := byte(v & 0x7f)
		v >>= 7
		if v == 0 && c&0x40 == 0 || v == -1 && c&0x40 != 0 {
			return append(b, c)
		}
		b = append(b, c|0x80)
	}
}
