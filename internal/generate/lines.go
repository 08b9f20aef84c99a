package main

import (
	"bytes"
	"encoding/binary"
)

// clearLineTables clears the tables in a Go program's memory that map instructions to
// files and lines. Only the text of a stack trace needs them, and nobody reads one on a
// phone; the tables for walking the stack stay. The compressed core becomes a fifteenth
// smaller.
//
// The layout is that of runtime/symtab.go and runtime/runtime2.go in Go 1.20 to 1.26: a
// header, names, files, tables of values by instruction, and functions. Offset 0 means
// that there is no table, and the runtime then prints "?". Memory with another layout,
// such as a later Go's, stays unchanged.
func clearLineTables(memory []byte) {
	// The magic number of Go 1.20, two zeros, instructions of 1 byte, words of 8.
	head := []byte{0xf1, 0xff, 0xff, 0xff, 0, 0, 1, 8}
	start := bytes.Index(memory, head)
	if start < 0 || bytes.Contains(memory[start+1:], head) || len(memory) < start+72 {
		return
	}
	t := memory[start:]
	word := func(n int) int { return int(binary.LittleEndian.Uint64(t[8*n:])) }
	funcs, units, files, tables, list := word(1), word(5), word(6), word(7), word(8)
	if !(0 < units && units <= files && files <= tables && tables <= list && list < len(t) && 0 < funcs && list+8*funcs < len(t)) {
		return
	}
	kept := make([]bool, list-tables)
	for i := range funcs {
		at := list + int(binary.LittleEndian.Uint32(t[list+8*i+4:]))
		if at+fixedFunc > len(t) {
			return
		}
		f := t[at:]
		n := int(binary.LittleEndian.Uint32(f[pcData:]))
		if n > 16 || fixedFunc+4*n > len(f) {
			return
		}
		markTable(kept, t[tables:list], binary.LittleEndian.Uint32(f[pcStack:]))
		for k := range n {
			markTable(kept, t[tables:list], binary.LittleEndian.Uint32(f[fixedFunc+4*k:]))
		}
	}
	for i := range funcs {
		f := t[list+int(binary.LittleEndian.Uint32(t[list+8*i+4:])):]
		clear(f[pcFile:pcData])     // file and line by instruction
		clear(f[pcUnit : pcUnit+8]) // the unit, and the line where it begins
	}
	clear(t[units:tables])
	for i, keep := range kept {
		if !keep {
			t[tables+i] = 0
		}
	}
}

// Offsets within a function's record.
const (
	pcStack   = 16 // how deep the stack is, by instruction
	pcFile    = 20 // then the line
	pcData    = 28 // how many tables of other kinds follow the record
	pcUnit    = 32
	fixedFunc = 44
)

// markTable marks the bytes of the table at offset as kept. A table is a list of pairs of
// numbers; it ends where the first number of a pair is 0.
func markTable(kept []bool, tables []byte, offset uint32) {
	at := int(offset)
	if at == 0 {
		return
	}
	for first := true; at < len(tables); first = false {
		for k := range 2 {
			end := k == 0 && !first && tables[at] == 0
			for more := true; more && at < len(tables); at++ {
				kept[at] = true
				more = tables[at] >= 0x80
			}
			if end {
				return
			}
		}
	}
}
