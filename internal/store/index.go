package store

import (
	"bytes"
	"encoding/binary"
	"sync"

	"go.etcd.io/bbolt"

	"coldbatch/internal/journal"
)

// Which ids are kept is asked for every fact that comes in. An id is random, so
// in the file a bucket of ids would have each fact of a call change a page of its
// own; with it a call of 500 took four times as long. The file holds them in the
// order they came instead, those of one transaction under one key, and Open reads
// them into an index: a hundred thousand take 3 MB and 20 ms, half a million 27 MB
// and 80 ms.

// idSize is the number of bytes of an id.
const idSize = 16

// index is the sequence of every id, also of facts that are just being written:
// their sequences lie beyond what any other transaction sees.
type index struct {
	mu  sync.RWMutex
	seq map[[idSize]byte]uint64
}

// of gives the sequence of an id, 0 where it is not known.
func (x *index) of(id [idSize]byte) uint64 {
	x.mu.RLock()
	defer x.mu.RUnlock()
	return x.seq[id]
}

// set notes the sequence of an id that was not known.
func (x *index) set(id [idSize]byte, seq uint64) {
	x.mu.Lock()
	defer x.mu.Unlock()
	x.seq[id] = seq
}

// drop forgets ids that were not written after all.
func (x *index) drop(ids [][idSize]byte) {
	x.mu.Lock()
	defer x.mu.Unlock()
	for _, id := range ids {
		delete(x.seq, id)
	}
}

// load reads the index afresh: when the file is opened, and when a transaction
// failed so late that part of it may be there.
func (x *index) load(t *Tx) error {
	const smallest = 200 // bytes of a fact, or a little less; a number from a damaged file is not trusted
	seq := make(map[[idSize]byte]uint64, min(t.last, uint64(t.tx.Size()/smallest)))
	err := t.eachID(func(n uint64, id [idSize]byte) { seq[id] = n })
	x.mu.Lock()
	defer x.mu.Unlock()
	x.seq = seq
	return err
}

// eachID calls each for every entry of the bucket of ids.
func (t *Tx) eachID(each func(seq uint64, id [idSize]byte)) error {
	return t.bucket(idsBucket).ForEach(func(k, v []byte) error {
		if len(k) != 8 || len(v) == 0 || len(v)%idSize != 0 {
			return damaged(t.path, "its list of ids does not read")
		}
		first := binary.BigEndian.Uint64(k)
		for i := range len(v) / idSize {
			each(first+uint64(i), [idSize]byte(v[i*idSize:]))
		}
		return nil
	})
}

// fresh is what a transaction appended and has not yet entered in the buckets of
// ids and scopes: one key for all ids, since their sequences follow one another,
// and one for each scope.
type fresh struct {
	first  uint64 // sequence of the first of ids
	ids    []byte
	scopes map[journal.Scope][]byte // sequences
}

func (n *fresh) add(seq uint64, id [idSize]byte, scope journal.Scope) {
	if len(n.ids) == 0 {
		*n = fresh{first: seq, scopes: map[journal.Scope][]byte{}}
	}
	n.ids = append(n.ids, id[:]...)
	n.scopes[scope] = binary.BigEndian.AppendUint64(n.scopes[scope], seq)
}

// enter puts what is fresh into the buckets. Reading does so first, so that a
// transaction sees what it wrote; the end of Update does so last. An error stays
// with the transaction, which then cannot be committed.
func (t *Tx) enter() {
	n := t.fresh
	if len(n.ids) == 0 || t.err != nil {
		return
	}
	t.fresh = fresh{}
	put := func(b *bbolt.Bucket, key, value []byte) {
		if err := b.Put(key, value); err != nil && t.err == nil {
			t.err = told(t.path, err)
		}
	}
	ids := t.bucket(idsBucket)
	ids.FillPercent = 1
	put(ids, sequence(n.first), n.ids)
	for scope, seqs := range n.scopes {
		put(t.bucket(scopesBucket), scopeKey(scope, seqs[:8]), seqs)
	}
}

// idAt finds the id of a sequence in the bucket of ids.
func (t *Tx) idAt(seq uint64) (journal.ID, bool) {
	k, v := atOrBefore(t.bucket(idsBucket), sequence(seq))
	if len(k) != 8 {
		return "", false
	}
	i := seq - binary.BigEndian.Uint64(k)
	if i >= uint64(len(v)/idSize) {
		return "", false
	}
	return journal.NewID([idSize]byte(v[i*idSize:])), true
}

// inScope says whether the sequence seq is entered under that scope.
func (t *Tx) inScope(scope journal.Scope, seq []byte) bool {
	k, v := atOrBefore(t.bucket(scopesBucket), scopeKey(scope, seq))
	if !bytes.HasPrefix(k, scopePrefix(scope)) {
		return false
	}
	for ; len(v) >= 8; v = v[8:] {
		if bytes.Equal(v[:8], seq) {
			return true
		}
	}
	return false
}

// atOrBefore gives the entry of that key or, where there is none, the one before.
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
