package store

import (
	"encoding/binary"

	"go.etcd.io/bbolt"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// The buckets of the file.
var (
	factsBucket  = []byte("facts")  // sequence → a fact's own JSON
	idsBucket    = []byte("ids")    // sequence → ids of that fact and some after it, 16 bytes each
	scopesBucket = []byte("scopes") // scope, zero byte, sequence → that and later sequences of the scope
	metaBucket   = []byte("meta")   // what the hub must remember
	cacheBucket  = []byte("cache")  // what it could work out again
)

// Tx is a transaction. It and what Since calls are only good until the function
// given to View or Update returns; facts and bytes that were read stay good.
type Tx struct {
	tx    *bbolt.Tx
	path  string
	index *index
	last  uint64         // sequence of the newest fact that it sees
	wrote [][idSize]byte // ids appended
	fresh fresh
	err   error
}

func (s *Store) begin(tx *bbolt.Tx) *Tx {
	t := &Tx{tx: tx, path: s.path, index: &s.index}
	t.last = t.Last()
	return t
}

func (t *Tx) bucket(name []byte) *bbolt.Bucket { return t.tx.Bucket(name) }

// sequence writes n so that keys sort as numbers do.
func sequence(n uint64) []byte { return binary.BigEndian.AppendUint64(nil, n) }

// Has says whether the fact of that id is kept.
func (t *Tx) Has(id journal.ID) bool {
	key, ok := id.Bits()
	_, known := t.seqOf(key)
	return ok && known
}

// seqOf leaves out what the index has from transactions that t does not see.
func (t *Tx) seqOf(id [idSize]byte) (uint64, bool) {
	seq := t.index.of(id)
	return seq, seq > 0 && seq <= t.last
}

// Append keeps f under the next sequence, 1 or more. A fact whose id is known
// is not replaced, whatever its text; its sequence is returned.
func (t *Tx) Append(f journal.Fact) (seq uint64, err error) {
	id, ok := f.ID.Bits()
	if !ok {
		return 0, f.ID.Check("fact")
	}
	if err := f.Scope.Check(); err != nil {
		return 0, err
	}
	if seq, known := t.seqOf(id); known {
		return seq, nil
	}
	text := f.Text()
	if len(text) == 0 {
		return 0, fault.New(fault.Input, "fact %s cannot be written as JSON", f.ID)
	}
	facts := t.bucket(factsBucket)
	if seq, err = facts.NextSequence(); err != nil {
		return 0, told(t.path, err)
	}
	facts.FillPercent = 1 // keys only ever grow: no room need be left between them
	if err := facts.Put(sequence(seq), text); err != nil {
		return 0, told(t.path, err)
	}
	t.last, t.wrote = seq, append(t.wrote, id)
	t.index.set(id, seq)
	t.fresh.add(seq, id, f.Scope)
	return seq, nil
}

// Since calls each with the facts after seq, in the order they came, until each
// returns false. A fact that does not read is a Damaged fault.
func (t *Tx) Since(seq uint64, each func(seq uint64, f journal.Fact) bool) error {
	c := t.bucket(factsBucket).Cursor()
	for k, v := c.Seek(sequence(seq + 1)); k != nil && seq+1 != 0; k, v = c.Next() {
		f, err := t.read(k, v)
		if err != nil {
			return err
		}
		n := binary.BigEndian.Uint64(k)
		if n <= seq {
			return damaged(t.path, "its facts are not in order")
		}
		if seq = n; !each(n, f) {
			return nil
		}
	}
	return nil
}

// IDAt gives the id of the fact at seq, if there is one.
func (t *Tx) IDAt(seq uint64) (journal.ID, bool) {
	t.enter()
	return t.idAt(seq)
}

// Last gives the sequence of the newest fact, 0 where there is none.
func (t *Tx) Last() uint64 {
	k, _ := t.bucket(factsBucket).Cursor().Last()
	if len(k) != 8 {
		return 0
	}
	return binary.BigEndian.Uint64(k)
}

// read makes a fact of what stands under key. It keeps no part of v.
func (t *Tx) read(key, v []byte) (journal.Fact, error) {
	var f journal.Fact
	if len(key) != 8 {
		return f, damaged(t.path, "a key of %d bytes stands among its facts", len(key))
	}
	if err := f.UnmarshalJSON(v); err != nil {
		return f, damaged(t.path, "fact number %d does not read", binary.BigEndian.Uint64(key))
	}
	return f, nil
}
