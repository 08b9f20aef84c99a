package store

import (
	"bytes"
	"encoding/binary"
	"sync"

	"go.etcd.io/bbolt"

	"coldbatch/internal/journal"
)

// For every fact that arrives the store must know whether it already has one with that id. An id is
// random: in a bucket with ids as keys, each fact of a call would change a page of
// its own, which made a call of 500 four times slower. The file holds ids in the
// order they arrived instead, those of one transaction under one key, and Open
// reads them into memory: a hundred thousand take 3 MB and 20 ms, half a million
// 27 MB and 80 ms.

// idSize is the number of bytes of an id.
const idSize = 16

// idIndex maps every id to its sequence, also those of facts that are being
// written: their sequences are beyond what any other transaction sees.
type idIndex struct {
	mu  sync.RWMutex
	seq map[[idSize]byte]uint64
}

// seqOf returns the sequence of an id, 0 if it is not known.
func (x *idIndex) seqOf(id [idSize]byte) uint64 {
	x.mu.RLock()
	defer x.mu.RUnlock()
	return x.seq[id]
}

// set stores the sequence of an id.
func (x *idIndex) set(id [idSize]byte, seq uint64) {
	x.mu.Lock()
	defer x.mu.Unlock()
	x.seq[id] = seq
}

// remove removes ids whose transaction was not committed.
func (x *idIndex) remove(ids [][idSize]byte) {
	x.mu.Lock()
	defer x.mu.Unlock()
	for _, id := range ids {
		delete(x.seq, id)
	}
}

// loadIndex reads the index from the file: when it is opened, and when a commit
// failed so late that part of it may be in the file. If the list of ids is
// damaged, it reads the facts instead.
func (s *Store) loadIndex(t *Tx) error {
	const smallest = 200 // bytes of a fact, or a little less; a number from a damaged file is not trusted
	seqs := make(map[[idSize]byte]uint64, min(t.last, uint64(t.tx.Size()/smallest)))
	ids, ok := 0, true
	t.eachID(func() { ok = false }, func(n uint64, id [idSize]byte) {
		ids++
		seqs[id] = n
	})
	var err error
	if !ok || uint64(ids) != t.bucket(factsBucket).Sequence() {
		s.reportDamage("its list of ids cannot be read or does not match the facts")
		clear(seqs)
		err = t.Since(0, func(n uint64, f journal.Fact) bool {
			key, _ := f.ID.Bits()
			seqs[key] = n
			return true
		})
	}
	s.index.mu.Lock()
	s.index.seq = seqs
	s.index.mu.Unlock()
	t.checkLists(ids)
	return err
}

// eachID calls each for every id in the bucket of ids, and bad for every entry
// that is damaged.
func (t *Tx) eachID(bad func(), each func(seq uint64, id [idSize]byte)) {
	c := t.bucket(idsBucket).Cursor()
	for k, record := c.First(); k != nil; k, record = c.Next() {
		ids, ok := t.value(k, record)
		if !ok || len(k) != 8 || len(ids) == 0 || len(ids)%idSize != 0 {
			bad()
			continue
		}
		first := binary.BigEndian.Uint64(k)
		for i := range len(ids) / idSize {
			each(first+uint64(i), [idSize]byte(ids[i*idSize:]))
		}
	}
}

// pendingEntries are entries for the buckets of ids and scopes that a transaction
// has not written yet: one key for all ids, since their sequences follow one
// another, and one for each scope.
type pendingEntries struct {
	firstSeq uint64 // sequence of the first of ids
	ids      []byte
	scopes   map[journal.Scope][]byte // sequences
}

func (p *pendingEntries) add(seq uint64, id [idSize]byte, scope journal.Scope) {
	if len(p.ids) == 0 {
		*p = pendingEntries{firstSeq: seq, scopes: map[journal.Scope][]byte{}}
	}
	p.ids = append(p.ids, id[:]...)
	p.scopes[scope] = binary.BigEndian.AppendUint64(p.scopes[scope], seq)
}

// flushPending writes pending entries to the buckets: before a read, so that a
// transaction sees what it wrote, and at the end of Update. An error stays with the
// transaction, which then cannot be committed.
func (t *Tx) flushPending() {
	p := t.pending
	if len(p.ids) == 0 || t.err != nil {
		return
	}
	t.pending = pendingEntries{}
	put := func(b *bbolt.Bucket, key, value []byte) {
		if err := b.Put(key, sealRecord(key, value)); err != nil {
			t.fail(asFault(t.store.path, err))
		}
	}
	ids := t.bucket(idsBucket)
	ids.FillPercent = 1
	put(ids, seqKey(p.firstSeq), p.ids)
	for scope, seqs := range p.scopes {
		put(t.bucket(scopesBucket), scopeKey(scope, seqs[:8]), seqs)
	}
}

// idAt finds the id of a sequence in the bucket of ids.
func (t *Tx) idAt(seq uint64) (journal.ID, bool) {
	k, record := atOrBefore(t.bucket(idsBucket), seqKey(seq))
	ids, ok := t.value(k, record)
	if !ok || len(k) != 8 {
		return "", false
	}
	i := seq - binary.BigEndian.Uint64(k)
	if i >= uint64(len(ids)/idSize) {
		return "", false
	}
	return journal.NewID([idSize]byte(ids[i*idSize:])), true
}

// isInScope reports whether the sequence of key seq is in the list of that scope.
func (t *Tx) isInScope(scope journal.Scope, seq []byte) bool {
	k, record := atOrBefore(t.bucket(scopesBucket), scopeKey(scope, seq))
	if !bytes.HasPrefix(k, scopePrefix(scope)) {
		return false
	}
	seqs, _ := t.value(k, record)
	for ; len(seqs) >= 8; seqs = seqs[8:] {
		if bytes.Equal(seqs[:8], seq) {
			return true
		}
	}
	return false
}

// atOrBefore returns the entry of that key or, if there is none, the one before.
func atOrBefore(b *bbolt.Bucket, key []byte) (k, v []byte) {
	c := b.Cursor()
	switch k, v = c.Seek(key); {
	case bytes.Equal(k, key):
		return k, v
	case k == nil:
		return c.Last()
	}
	return c.Prev()
}
