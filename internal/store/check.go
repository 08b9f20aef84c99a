package store

import (
	"bytes"
	"errors"
	"fmt"

	"coldbatch/internal/fault"
)

// Report is the result of Check. A file without Problems is good.
type Report struct {
	FactCount        int      `json:"facts"` // that read
	BatchCount       int      `json:"batches"`
	PlaceCount       int      `json:"places"`
	ByteCount        int64    `json:"bytes"` // of the pages in use or free, without room to grow
	Problems         []string `json:"problems,omitempty"`
	UnlistedProblems int      `json:"more,omitempty"` // problems beyond those listed
}

// maxProblems says how many problems a report lists.
const maxProblems = 20

func (r *Report) add(format string, args ...any) {
	if len(r.Problems) == maxProblems {
		r.UnlistedProblems++
		return
	}
	r.Problems = append(r.Problems, fmt.Sprintf(format, args...))
}

// Check reads the whole file at path, which no other program may have open for
// writing. It returns an error only if the file could not be opened at all.
func Check(path string) (Report, error) {
	if err := inspectFile(path, 0); err != nil {
		return Report{}, err
	}
	s, err := openFile(path, Options{ReadOnly: true}) // the index is read once its pages are known to be good
	if err != nil {
		return Report{}, err
	}
	defer s.Close()
	if err := s.loadFormat(); err != nil {
		return Report{}, err
	}
	return s.Check()
}

// errRollBack ends a transaction that must leave nothing behind.
var errRollBack = errors.New("checked")

// Check reads the whole file: its pages, the checksum of every record, every fact,
// and whether the lists of ids and scopes agree with the facts. It changes
// nothing. Writers wait meanwhile.
func (s *Store) Check() (Report, error) {
	var r Report
	check := func(t *Tx) error {
		r = t.check(s)
		return errRollBack
	}
	// bbolt's own check must not run beside a writer (its Tx.Check), so it runs
	// as one that is rolled back.
	run := s.Update
	if s.db.IsReadOnly() {
		run = s.View
	}
	if err := run(check); !errors.Is(err, errRollBack) {
		return Report{}, err
	}
	return r, nil
}

func (t *Tx) check(s *Store) Report {
	r := Report{ByteCount: t.tx.Size()}
	if !checkPages(s, r.add) {
		return r // bbolt would run into bad pages
	}
	for err := range t.tx.Check() {
		r.add("%v", err)
	}
	if s.index.seq == nil {
		if err := s.loadIndex(t); err != nil {
			r.add("%s", fault.AsFault(err).Sentence)
			return r
		}
	}
	t.checkFacts(&r)
	t.checkRecords(&r)
	return r
}

// checkFacts reads every fact and looks it up by id and by scope. If each is
// found and the lists have no more entries than there are facts, they agree.
func (t *Tx) checkFacts(r *Report) {
	records, next := 0, uint64(1)
	reportGap := func(end uint64) {
		r.UnlistedProblems += int(t.reportGap(next, end, func(what string) { r.add("%s", what) }))
		next = end
	}
	c := t.bucket(factsBucket).Cursor()
	for k, record := c.First(); k != nil; k, record = c.Next() {
		records++
		f, ok := t.readFact(k, record)
		seq, isKey := sequenceOf(k)
		if !ok {
			if isKey && seq == next {
				reportGap(seq + 1)
			}
			continue // or its key is damaged: then its number is missing
		}
		if seq > next {
			reportGap(seq)
		}
		next = seq + 1
		r.FactCount++
		id, _ := t.idAt(seq)
		key, _ := f.ID.Bits()
		known, _ := t.seqOf(key)
		text, _ := t.value(k, record)
		switch {
		case !bytes.Equal(f.Text(), text):
			r.add("fact %d (id %s, %s) is not stored as it was written", seq, f.ID, f.Scope)
		case id != f.ID:
			r.add("fact %d (id %s, %s) is not in the list of ids", seq, f.ID, f.Scope)
		case known != seq:
			r.add("fact %s is stored twice, as number %d and %d", f.ID, seq, known)
		case !t.isInScope(f.Scope, k):
			r.add("fact %d (id %s) is not in the list of %s", seq, f.ID, f.Scope)
		}
	}
	if last := uint64(records); last >= next {
		reportGap(last + 1)
	}
	ids, scoped := 0, 0
	t.eachID(func() { r.add("an entry of the list of ids is damaged") }, func(uint64, [idSize]byte) { ids++ })
	c = t.bucket(scopesBucket).Cursor()
	for k, record := c.First(); k != nil; k, record = c.Next() {
		_, _, seqs, ok := t.scopeEntry(k, record)
		if !ok {
			r.add("an entry of the lists of scopes is damaged")
		}
		scoped += len(seqs) / 8
	}
	if ids != records || scoped != records {
		r.add("there are %d facts, %d ids and %d entries of scopes; these should agree", records, ids, scoped)
	}
	if given := t.bucket(factsBucket).Sequence(); given != uint64(records) {
		r.add("there are %d facts, but numbers were given up to %d", records, given)
	}
	for _, s := range t.Scopes() {
		switch kind, _ := s.Split(); kind {
		case "batch":
			r.BatchCount++
		case "place":
			r.PlaceCount++
		}
	}
}

// checkRecords compares the checksums of meta and of the cache.
func (t *Tx) checkRecords(r *Report) {
	if t.store.format < 2 {
		return
	}
	for _, name := range [][]byte{metaBucket, cacheBucket} {
		c := t.bucket(name).Cursor()
		for k, record := c.First(); k != nil; k, record = c.Next() {
			if bytes.Equal(name, metaBucket) && string(k) == formatKey {
				continue
			}
			if _, ok := openRecord(k, record); !ok {
				r.add("the entry %q of %s is damaged", k, name)
			}
		}
	}
	meta := t.bucket(metaBucket)
	if sum, ok := readMetaChecksum(meta); !ok || sum != metaChecksum(meta) {
		r.add("an entry of meta is missing or damaged")
	}
}
