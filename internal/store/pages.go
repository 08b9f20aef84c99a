package store

import (
	"fmt"

	"coldbatch/internal/fault"
)

// pageWalker visits every page that can be reached from the root bucket.
type pageWalker struct {
	s             *Store
	l             fileLayout
	seenPages     []bool // by page
	skippedBucket string // name of a bucket that is left out
	reportProblem func(string, ...any)
}

// checkPages visits every page in use and reports those that bbolt could not read
// without running over their end or round in a circle. It returns false if there are
// any.
func checkPages(s *Store, problem func(string, ...any)) (ok bool) {
	return walkPages(s, "", problem)
}

// checkListPages does the same for all pages but those of facts, before Open reads
// the lists.
func checkListPages(s *Store) (err error) {
	walkPages(s, string(factsBucket), func(format string, args ...any) {
		if err == nil {
			err = damagedFault(s.path, format, args...)
		}
	})
	return err
}

func walkPages(s *Store, skip string, problem func(string, ...any)) (ok bool) {
	info, err := s.file.Stat()
	if err != nil {
		problem("%v", asFault(s.path, err))
		return false
	}
	l, err := readLayout(s.path, s.file, info.Size())
	if err != nil {
		problem("%s", fault.AsFault(err).Sentence)
		return false
	}
	if l.hasBadMeta && skip == "" {
		problem("one of its two first pages cannot be read: the last entries may be missing")
	}
	ok = true
	w := &pageWalker{s: s, l: l, seenPages: make([]bool, l.pageCount), skippedBucket: skip, reportProblem: func(format string, args ...any) {
		ok = false
		problem(format, args...)
	}}
	w.checkPage(l.root)
	return ok
}

// checkPage reads one page and those below it.
func (w *pageWalker) checkPage(n uint64) {
	if n < 2 || n >= w.l.pageCount {
		w.reportProblem("page %d is referred to, but there are only %d", n, w.l.pageCount)
		return
	}
	if w.seenPages[n] {
		w.reportProblem("page %d is used twice", n)
		return
	}
	w.seenPages[n] = true
	b := make([]byte, w.l.pageSize)
	at := int64(n) * w.l.pageSize
	if _, err := w.s.file.ReadAt(b, at); err != nil {
		w.reportProblem("page %d cannot be read: %v", n, err)
		return
	}
	over := uint64(nativeByteOrder.Uint32(b[12:]))
	if nativeByteOrder.Uint64(b) != n || n+over >= w.l.pageCount {
		w.reportProblem("page %d does not say that it is page %d", n, n)
		return
	}
	if over > 0 {
		b = append(b, make([]byte, int64(over)*w.l.pageSize)...)
		if _, err := w.s.file.ReadAt(b, at); err != nil {
			w.reportProblem("page %d cannot be read: %v", n, err)
			return
		}
	}
	w.checkElements(b, fmt.Sprintf("page %d", n))
}

// checkElements checks the entries of a page: b is the page, or a small bucket that
// lies inside another's page.
func (w *pageWalker) checkElements(b []byte, where string) {
	const element = 16 // of a branch and of a leaf alike
	count := int(nativeByteOrder.Uint16(b[10:]))
	if pageHeader+count*element > len(b) {
		w.reportProblem("%s has no room for its %d entries", where, count)
		return
	}
	for i := range count {
		e := pageHeader + i*element
		switch nativeByteOrder.Uint16(b[8:]) {
		case branchPage: // pos 4, key size 4, page 8
			if !entryLiesIn(b, e, nativeByteOrder.Uint32(b[e:]), nativeByteOrder.Uint32(b[e+4:]), 0) {
				w.reportProblem("entry %d of %s runs over its end", i, where)
				continue
			}
			w.checkPage(nativeByteOrder.Uint64(b[e+8:]))
		case leafPage: // flags 4, pos 4, key size 4, value size 4
			pos, key, value := nativeByteOrder.Uint32(b[e+4:]), nativeByteOrder.Uint32(b[e+8:]), nativeByteOrder.Uint32(b[e+12:])
			if !entryLiesIn(b, e, pos, key, value) {
				w.reportProblem("entry %d of %s runs over its end", i, where)
				continue
			}
			if nativeByteOrder.Uint32(b[e:])&bucketEntry != 0 {
				start := e + int(pos) + int(key)
				if w.skippedBucket != "" && string(b[start-int(key):start]) == w.skippedBucket {
					continue
				}
				w.checkBucket(b[start:start+int(value)], fmt.Sprintf("entry %d of %s", i, where))
			}
		default:
			w.reportProblem("%s is of an unknown kind", where)
			return
		}
	}
}

const (
	bucketEntry  = 0x01
	bucketHeader = 16 // root page 8, sequence 8
)

// checkBucket follows the value v of a bucket to its root page, or reads the page
// inside v if the bucket is small.
func (w *pageWalker) checkBucket(v []byte, where string) {
	switch {
	case len(v) < bucketHeader:
		w.reportProblem("%s is too short for a bucket", where)
	case nativeByteOrder.Uint64(v) != 0:
		w.checkPage(nativeByteOrder.Uint64(v))
	case len(v) < bucketHeader+pageHeader:
		w.reportProblem("%s is too short for a bucket", where)
	default:
		w.checkElements(v[bucketHeader:], where)
	}
}

// entryLiesIn reports whether key and value, pos bytes after the entry at e, lie in b.
func entryLiesIn(b []byte, e int, pos, key, value uint32) bool {
	return uint64(e)+uint64(pos)+uint64(key)+uint64(value) <= uint64(len(b))
}
