package store

import (
	"bytes"
	"testing"

	"coldbatch/internal/fault"
)

// Whatever a file holds, its layout is either refused with a sentence or one that
// lies within the file. The checksum is made right, or nothing would get past it.
func FuzzLayout(f *testing.F) {
	good := sampleFile(f, 60)
	size := int64(len(good))
	meta := good[pageHeader : pageHeader+metaSize-8]
	f.Add(bytes.Clone(meta), []byte{})
	f.Add(bytes.Clone(meta), bytes.Repeat([]byte{0xff}, 40))
	f.Add(bytes.Repeat([]byte{0xff}, metaSize), []byte{1})
	f.Fuzz(func(t *testing.T, meta, list []byte) {
		b := changeMeta(good, func(m []byte) { copy(m[8:metaSize-8], meta[min(8, len(meta)):]) })
		if l, ok := readMeta(bytes.NewReader(b), 0); ok && l.freeListPage < uint64(size/l.pageSize) {
			copy(b[int64(l.freeListPage)*l.pageSize+8:], list) // the list of free pages behind its number
		}
		l, err := readLayout("x", bytes.NewReader(b), size)
		switch {
		case err != nil:
			if !fault.Is(err, fault.Damaged) {
				t.Error(err)
			}
		case int64(l.pageCount)*l.pageSize > size, l.root >= l.pageCount, l.freeListPage >= l.pageCount:
			t.Errorf("taken: %+v of %d bytes", l, size)
		}
	})
}
