package store

import (
	"encoding/binary"
	"hash/fnv"
	"io"
	"os"
	"time"
)

// What follows is the layout of bbolt's pages as its own source publishes it
// (go.etcd.io/bbolt v1.5.0, internal/common: page.go, meta.go, types.go;
// internal/freelist). It is read here without mapping the file, because bbolt
// trusts page numbers: one past the end is a panic or a signal.
const (
	pageHeader = 16 // number 8, flags 2, count 2, overflow 4

	branchPage   = 0x01
	leafPage     = 0x02
	freelistPage = 0x10

	metaMagic   = 0xED0CDAED
	metaVersion = 2
	metaSize    = 64 // with its checksum, the last 8 bytes
	noFreelist  = 1<<64 - 1

	minPage = 1 << 10
	maxPage = 16 << 20
)

// native is the order of bytes in the file: that of the machine that wrote it.
var native = binary.NativeEndian

// layout is what the newer good meta page says.
type layout struct {
	pageSize int64
	root     uint64 // page of the root bucket
	free     uint64 // page of the list of free pages
	high     uint64 // number of pages: none has this number or a higher one
	txid     uint64
}

// readMeta reads the meta page at offset at; ok is false where there is none or
// its checksum is wrong.
func readMeta(r io.ReaderAt, at int64) (l layout, ok bool) {
	b := make([]byte, pageHeader+metaSize)
	if _, err := r.ReadAt(b, at); err != nil {
		return l, false
	}
	m := b[pageHeader:]
	sum := fnv.New64a()
	sum.Write(m[:metaSize-8])
	if native.Uint32(m) != metaMagic || native.Uint32(m[4:]) != metaVersion || native.Uint64(m[56:]) != sum.Sum64() {
		return l, false
	}
	l = layout{
		pageSize: int64(native.Uint32(m[8:])),
		root:     native.Uint64(m[16:]),
		free:     native.Uint64(m[32:]),
		high:     native.Uint64(m[40:]),
		txid:     native.Uint64(m[48:]),
	}
	return l, l.pageSize >= minPage && l.pageSize <= maxPage && l.pageSize&(l.pageSize-1) == 0
}

// readLayout reads the two meta pages of a file of size bytes and checks that
// the file is as long as they say.
func readLayout(path string, r io.ReaderAt, size int64) (layout, error) {
	l, ok := readMeta(r, 0)
	if ok {
		if m, also := readMeta(r, l.pageSize); also && m.pageSize == l.pageSize && m.txid > l.txid {
			l = m
		}
	}
	for at := int64(minPage); !ok && at <= maxPage; at *= 2 { // the first is lost: where does the second stand?
		l, ok = readMeta(r, at)
		ok = ok && l.pageSize == at
	}
	switch need := int64(l.high) * l.pageSize; {
	case !ok:
		return l, damaged(path, "its first pages do not read")
	case l.high < 4 || l.high > 1<<40 || l.root >= l.high || l.root < 2:
		return l, damaged(path, "its first pages contradict themselves")
	case l.free == noFreelist:
		return l, damaged(path, "it has no list of free pages: another program wrote it")
	case l.free >= l.high || l.free < 2:
		return l, damaged(path, "its first pages contradict themselves")
	case size < need:
		return l, damaged(path, "it is cut short, %d bytes where %d should be", size, need)
	}
	return l, checkFreelist(path, r, l)
}

// checkFreelist checks the list of free pages, which bbolt reads when it opens a
// file: a false count there would have it ask for any amount of memory.
func checkFreelist(path string, r io.ReaderAt, l layout) error {
	bad := damaged(path, "its list of free pages does not read")
	head := make([]byte, pageHeader)
	if _, err := r.ReadAt(head, int64(l.free)*l.pageSize); err != nil {
		return bad
	}
	pages := uint64(native.Uint32(head[12:])) + 1
	if native.Uint64(head) != l.free || native.Uint16(head[8:]) != freelistPage || l.free+pages > l.high {
		return bad
	}
	b := make([]byte, int64(pages)*l.pageSize-pageHeader)
	if _, err := r.ReadAt(b, int64(l.free)*l.pageSize+pageHeader); err != nil {
		return bad
	}
	count := uint64(native.Uint16(head[10:]))
	if count == 0xFFFF { // too many for the header: the first entry counts them
		count, b = native.Uint64(b), b[8:]
	}
	if count > uint64(len(b)/8) {
		return bad
	}
	last := uint64(1)
	for i := range count {
		n := native.Uint64(b[8*i:])
		if n <= last || n >= l.high {
			return bad
		}
		last = n
	}
	return nil
}

// inspect looks at an existing file before it is opened for good, and writes
// nothing. Opening for reading only takes bbolt's shared lock and touches the two
// meta pages alone, so nobody writes while the rest is looked at.
func inspect(path string, wait time.Duration) error {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return told(path, err)
	case info.IsDir():
		return damaged(path, "it is a folder")
	case !info.Mode().IsRegular():
		return damaged(path, "it is not a file")
	case info.Size() == 0:
		return damaged(path, "it is empty")
	case info.Size() < 4*minPage:
		return damaged(path, "it has only %d bytes", info.Size())
	}
	s, err := open(path, Options{Wait: wait, ReadOnly: true})
	if err != nil {
		return err
	}
	defer s.Close()
	if info, err = s.file.Stat(); err != nil {
		return told(path, err)
	}
	if _, err := readLayout(path, s.file, info.Size()); err != nil {
		return err
	}
	return s.View(func(t *Tx) error { return known(path, t.tx) })
}
