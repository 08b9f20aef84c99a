package store

import (
	"encoding/binary"
	"hash/fnv"
	"io"
	"os"
	"time"
)

// This file reads bbolt's pages in the layout of its own source (go.etcd.io/bbolt
// v1.5.0, internal/common: page.go, meta.go, types.go; internal/freelist) without
// mapping the file, because bbolt trusts page numbers: one past the end is a panic
// or a signal.
const (
	pageHeader = 16 // number 8, flags 2, count 2, overflow 4

	branchPage   = 0x01
	leafPage     = 0x02
	freelistPage = 0x10

	metaMagic   = 0xED0CDAED
	metaVersion = 2
	metaSize    = 64 // with its checksum, the last 8 bytes
	noFreelist  = 1<<64 - 1

	minPageSize = 1 << 10
	maxPageSize = 16 << 20
)

// nativeByteOrder is the byte order of the file: that of the machine that wrote it.
var nativeByteOrder = binary.NativeEndian

// fileLayout is the content of the newer good meta page.
type fileLayout struct {
	pageSize     int64
	root         uint64 // page of the root bucket
	freeListPage uint64 // page of the list of free pages
	pageCount    uint64 // number of pages: none has this number or a higher one
	txid         uint64

	hasBadMeta bool // the other meta page cannot be read
}

// readMeta reads the meta page at offset at; ok is false if there is none or its
// checksum is wrong.
func readMeta(r io.ReaderAt, at int64) (l fileLayout, ok bool) {
	b := make([]byte, pageHeader+metaSize)
	if _, err := r.ReadAt(b, at); err != nil {
		return l, false
	}
	m := b[pageHeader:]
	sum := fnv.New64a()
	sum.Write(m[:metaSize-8])
	if nativeByteOrder.Uint32(m) != metaMagic || nativeByteOrder.Uint32(m[4:]) != metaVersion || nativeByteOrder.Uint64(m[56:]) != sum.Sum64() {
		return l, false
	}
	l = fileLayout{
		pageSize:     int64(nativeByteOrder.Uint32(m[8:])),
		root:         nativeByteOrder.Uint64(m[16:]),
		freeListPage: nativeByteOrder.Uint64(m[32:]),
		pageCount:    nativeByteOrder.Uint64(m[40:]),
		txid:         nativeByteOrder.Uint64(m[48:]),
	}
	return l, l.pageSize >= minPageSize && l.pageSize <= maxPageSize && l.pageSize&(l.pageSize-1) == 0
}

// readLayout reads the two meta pages of a file of size bytes and checks that
// the file is as long as they say.
func readLayout(path string, r io.ReaderAt, size int64) (fileLayout, error) {
	l, ok := readMeta(r, 0)
	if ok {
		m, also := readMeta(r, l.pageSize)
		also = also && m.pageSize == l.pageSize
		if also && m.txid > l.txid {
			l = m
		}
		l.hasBadMeta = !also
	}
	for at := int64(minPageSize); !ok && at <= maxPageSize; at *= 2 { // the first is lost: search the second
		l, ok = readMeta(r, at)
		ok = ok && l.pageSize == at
		l.hasBadMeta = true
	}
	switch need := int64(l.pageCount) * l.pageSize; {
	case !ok:
		return l, damagedFault(path, "its first pages cannot be read")
	case l.pageCount < 4 || l.pageCount > 1<<40 || l.root >= l.pageCount || l.root < 2:
		return l, damagedFault(path, "its first pages contradict themselves")
	case l.freeListPage == noFreelist:
		return l, damagedFault(path, "it has no list of free pages: another program wrote it")
	case l.freeListPage >= l.pageCount || l.freeListPage < 2:
		return l, damagedFault(path, "its first pages contradict themselves")
	case size < need:
		return l, damagedFault(path, "it is cut short: it has %d bytes, not %d", size, need)
	}
	return l, checkFreelist(path, r, l)
}

// checkFreelist checks the list of free pages, which bbolt reads when it opens a
// file: with a false count it would ask for any amount of memory.
func checkFreelist(path string, r io.ReaderAt, l fileLayout) error {
	bad := damagedFault(path, "its list of free pages cannot be read")
	head := make([]byte, pageHeader)
	if _, err := r.ReadAt(head, int64(l.freeListPage)*l.pageSize); err != nil {
		return bad
	}
	pages := uint64(nativeByteOrder.Uint32(head[12:])) + 1
	if nativeByteOrder.Uint64(head) != l.freeListPage || nativeByteOrder.Uint16(head[8:]) != freelistPage || l.freeListPage+pages > l.pageCount {
		return bad
	}
	b := make([]byte, int64(pages)*l.pageSize-pageHeader)
	if _, err := r.ReadAt(b, int64(l.freeListPage)*l.pageSize+pageHeader); err != nil {
		return bad
	}
	count := uint64(nativeByteOrder.Uint16(head[10:]))
	if count == 0xFFFF { // too many for the header: the first entry counts them
		count, b = nativeByteOrder.Uint64(b), b[8:]
	}
	if count > uint64(len(b)/8) {
		return bad
	}
	last := uint64(1)
	for i := range count {
		n := nativeByteOrder.Uint64(b[8*i:])
		if n <= last || n >= l.pageCount {
			return bad
		}
		last = n
	}
	return nil
}

// inspectFile checks the layout and the format of an existing file before bbolt opens
// it for writing. It writes nothing. Opening for reading takes bbolt's shared lock
// and reads only the two meta pages, so nobody writes while the rest is inspected.
func inspectFile(path string, wait time.Duration) error {
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return asFault(path, err)
	case info.IsDir():
		return damagedFault(path, "it is a folder")
	case !info.Mode().IsRegular():
		return damagedFault(path, "it is not a file")
	case info.Size() == 0:
		return damagedFault(path, "it is empty")
	case info.Size() < 4*minPageSize:
		return damagedFault(path, "it has only %d bytes", info.Size())
	}
	s, err := openFile(path, Options{LockWait: wait, ReadOnly: true})
	if err != nil {
		return err
	}
	defer s.Close()
	if info, err = s.file.Stat(); err != nil {
		return asFault(path, err)
	}
	if _, err := readLayout(path, s.file, info.Size()); err != nil {
		return err
	}
	return s.loadFormat()
}
