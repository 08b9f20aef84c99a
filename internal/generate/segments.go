package main

import (
	"encoding/binary"
	"errors"
	"sort"
)

// mostZeros is the longest run of zeros that is written out rather than left
// between two data segments.
const mostZeros = 4096

var errNotWasm = errors.New("the core is not WebAssembly as the linker writes it")

// joinSegments writes the module's initial memory as a few long data segments.
// The linker leaves every run of eight zeros out and so writes some 80 000 short
// ones, each with an address that compresses badly; the zeros themselves cost
// nothing once compressed. It makes the compressed core a twelfth smaller.
// The format is that of the WebAssembly core specification, section 5.5.14.
func joinSegments(wasm []byte) ([]byte, error) {
	out := append([]byte(nil), wasm[:min(8, len(wasm))]...)
	for r := (reader{b: wasm, at: 8}); r.at < len(wasm); {
		start := r.at
		id := r.byte()
		size := int(r.unsigned())
		from := r.at
		if r.at += size; r.at > len(wasm) {
			return nil, errNotWasm
		}
		if id != dataSection {
			out = append(out, wasm[start:r.at]...)
			continue
		}
		body, err := joinedData(wasm[from:r.at])
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
	dataSection = 11
	active      = 0x00
	i32Const    = 0x41
	end         = 0x0b
)

// segment is a stretch of memory.
type segment struct {
	at    int64
	bytes []byte
}

// joinedData returns the body of a data section with its segments joined.
func joinedData(body []byte) ([]byte, error) {
	r := reader{b: body}
	all := make([]segment, r.unsigned())
	for i := range all {
		if r.byte() != active || r.byte() != i32Const {
			return nil, errNotWasm
		}
		all[i].at = r.signed()
		if r.byte() != end {
			return nil, errNotWasm
		}
		size := int(r.unsigned())
		if size > len(body)-r.at {
			return nil, errNotWasm
		}
		all[i].bytes = body[r.at : r.at+size]
		r.at += size
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].at < all[j].at })
	var few []segment
	for _, s := range all {
		if n := len(few); n > 0 {
			last := &few[n-1]
			switch gap := s.at - last.at - int64(len(last.bytes)); {
			case gap < 0:
				return nil, errNotWasm
			case gap <= mostZeros:
				last.bytes = append(append(last.bytes, make([]byte, gap)...), s.bytes...)
				continue
			}
		}
		few = append(few, segment{s.at, append([]byte(nil), s.bytes...)})
	}
	out := binary.AppendUvarint(nil, uint64(len(few)))
	for _, s := range few {
		clearLineTables(s.bytes)
		out = appendSigned(append(out, active, i32Const), s.at)
		out = binary.AppendUvarint(append(out, end), uint64(len(s.bytes)))
		out = append(out, s.bytes...)
	}
	return out, nil
}

// reader reads bytes and LEB128 numbers; past the end it gives zeros.
type reader struct {
	b  []byte
	at int
}

func (r *reader) byte() byte {
	if r.at >= len(r.b) {
		return 0
	}
	r.at++
	return r.b[r.at-1]
}

// unsigned reads unsigned LEB128, which Go calls a uvarint.
func (r *reader) unsigned() uint64 {
	v, n := binary.Uvarint(r.b[min(r.at, len(r.b)):])
	r.at += max(n, 0)
	return v
}

// signed reads signed LEB128.
func (r *reader) signed() int64 {
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
