package store

import (
	"bytes"
	"encoding/binary"

	"go.etcd.io/bbolt"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// The buckets of the file. Every value ends with a checksum, see record.go.
var (
	factsBucket  = []byte("facts")  // sequence → a fact's own JSON
	idsBucket    = []byte("ids")    // sequence → ids of that fact and of some after it, 16 bytes each
	scopesBucket = []byte("scopes") // scope, zero byte, sequence → that and later sequences of the scope
	metaBucket   = []byte("meta")   // what the hub must remember
	cacheBucket  = []byte("cache")  // what the hub could compute again
)

// Tx is a transaction. It and what Since calls may be used only until the function
// given to View or Update returns; facts and bytes that were read stay valid.
type Tx struct {
	tx          *bbolt.Tx
	store       *Store
	last        uint64         // sequence of the newest fact that it sees
	appendedIDs [][idSize]byte // ids of facts appended in it
	pending     pendingEntries
	err         error // View and Update return it
}

func (s *Store) newTx(tx *bbolt.Tx) *Tx {
	t := &Tx{tx: tx, store: s}
	t.last = t.Last()
	return t
}

// fail makes View or Update return err; the first error counts.
func (t *Tx) fail(err error) {
	if t.err == nil {
		t.err = err
	}
}

func (t *Tx) bucket(name []byte) *bbolt.Bucket { return t.tx.Bucket(name) }

// seqKey writes a sequence so that keys sort as numbers do.
func seqKey(n uint64) []byte { return binary.BigEndian.AppendUint64(nil, n) }

// sequenceOf undoes seqKey; ok is false if key is not of that form.
func sequenceOf(key []byte) (n uint64, ok bool) {
	if len(key) != 8 {
		return 0, false
	}
	return binary.BigEndian.Uint64(key), true
}

// Has reports whether the fact of that id is stored and intact.
func (t *Tx) Has(id journal.ID) bool {
	key, ok := id.Bits()
	seq, known := t.seqOf(key)
	return ok && known && t.isIntact(seq)
}

// seqOf looks up an id and leaves out what the index has from transactions that t
// does not see.
func (t *Tx) seqOf(id [idSize]byte) (uint64, bool) {
	seq := t.store.index.seqOf(id)
	return seq, seq > 0 && seq <= t.last
}

// Append stores f under the next sequence, 1 or more. A fact whose id is known
// is not replaced, whatever its text; its sequence is returned. If the known fact
// is damaged, f is stored under a new sequence: then everyone receives it again.
func (t *Tx) Append(f journal.Fact) (seq uint64, err error) {
	id, ok := f.ID.Bits()
	if !ok {
		return 0, f.ID.Check("fact")
	}
	if err := f.Scope.Check(); err != nil {
		return 0, err
	}
	if seq, known := t.seqOf(id); known && t.isIntact(seq) {
		return seq, nil
	}
	text := f.Text()
	if len(text) == 0 {
		return 0, fault.New(fault.Input, "fact %s cannot be written as JSON", f.ID)
	}
	facts := t.bucket(factsBucket)
	if seq, err = facts.NextSequence(); err != nil {
		return 0, asFault(t.store.path, err)
	}
	if seq <= t.last {
		return 0, damagedFault(t.store.path, "its next number is %d, but there is a fact %d", seq, t.last)
	}
	facts.FillPercent = 1 // keys only ever grow: no room need be left between them
	key := seqKey(seq)
	if err := facts.Put(key, sealRecord(key, text)); err != nil {
		return 0, asFault(t.store.path, err)
	}
	t.last, t.appendedIDs = seq, append(t.appendedIDs, id)
	t.store.index.set(id, seq)
	t.pending.add(seq, id, f.Scope)
	return seq, nil
}

// Since calls each with the facts after seq, in the order they were stored, until
// each returns false. A damaged fact is reported (Options.OnDamage) and left out.
func (t *Tx) Since(seq uint64, each func(seq uint64, f journal.Fact) bool) error {
	next := seq + 1
	if next == 0 {
		return nil
	}
	// Sequences have no gaps. If one is missing, a damaged key may have led the
	// search astray, and all facts are looked through.
	c := t.bucket(factsBucket).Cursor()
	k, record := c.Seek(seqKey(next))
	steps := t.maxRecords()
	for isSearch := true; ; k, record = c.Next() {
		if steps--; steps < 0 {
			return damagedFault(t.store.path, "its pages refer to one another in a circle")
		}
		if isSearch && next <= t.last && !bytes.Equal(k, seqKey(next)) {
			isSearch = false
			k, record = c.First()
		}
		if k == nil {
			t.reportGap(next, t.bucket(factsBucket).Sequence()+1, t.store.reportDamage)
			return nil
		}
		f, ok := t.readFact(k, record)
		if n, _ := sequenceOf(k); ok && n >= next {
			t.reportGap(next, n, t.store.reportDamage)
			next = n + 1
			if !each(n, f) {
				return nil
			}
		}
	}
}

// IDAt returns the id of the fact at seq, if there is one.
func (t *Tx) IDAt(seq uint64) (journal.ID, bool) {
	t.flushPending()
	if id, ok := t.idAt(seq); ok {
		return id, true
	}
	f, ok := t.readFact(seqKey(seq), t.findRecord(seq)) // the list of ids may be damaged
	return f.ID, ok
}

// Last returns the sequence of the newest fact that is intact, 0 if there is none.
func (t *Tx) Last() uint64 {
	c := t.bucket(factsBucket).Cursor()
	for k, record := c.Last(); k != nil; k, record = c.Prev() {
		if _, ok := t.value(k, record); ok && len(k) == 8 {
			return binary.BigEndian.Uint64(k)
		}
	}
	return 0
}

// findRecord returns the intact record of the fact number seq, or nil. A damaged key
// may hide the record from a search, so that all are looked through then.
func (t *Tx) findRecord(seq uint64) []byte {
	key := seqKey(seq)
	facts := t.bucket(factsBucket)
	record := facts.Get(key)
	if _, ok := t.value(key, record); ok {
		return record
	}
	c, steps := facts.Cursor(), t.maxRecords()
	for k, record := c.First(); k != nil && steps > 0; k, record = c.Next() {
		steps--
		if _, ok := t.value(k, record); ok && bytes.Equal(k, key) {
			return record
		}
	}
	return nil
}

// maxRecords returns more than the file can have records: each takes at least 16
// bytes in its page. Damaged pages may lead a cursor round in a circle.
func (t *Tx) maxRecords() int64 { return 2 * (t.tx.Size()/16 + 1) }

// readFact returns the fact of a record. ok is false if the record is damaged. The
// fact keeps no part of record.
func (t *Tx) readFact(key, record []byte) (f journal.Fact, ok bool) {
	text, ok := t.value(key, record)
	if !ok || len(key) != 8 {
		return f, false
	}
	return f, f.UnmarshalJSON(text) == nil
}
