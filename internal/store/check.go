package store

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"

	"coldbatch/internal/fault"
)

// Report is what Check found. A file without Problems is good.
type Report struct {
	Facts    int      `json:"facts"`
	Batches  int      `json:"batches"`
	Places   int      `json:"places"`
	Bytes    int64    `json:"bytes"` // of the pages in use or free, without room to grow
	Problems []string `json:"problems,omitempty"`
}

// maxProblems is how many problems a report lists; one is enough to act on.
const maxProblems = 20

// Check looks through the whole file at path, which no other program may have
// open for writing. An error means that it could not be opened at all.
func Check(path string) (Report, error) {
	if err := inspect(path, 0); err != nil {
		return Report{}, err
	}
	s, err := open(path, Options{ReadOnly: true}) // the index is read once its pages are known to be good
	if err != nil {
		return Report{}, err
	}
	defer s.Close()
	return s.Check()
}

// errChecked ends a transaction that must leave nothing behind.
var errChecked = errors.New("checked")

// Check looks through the whole file: its pages, every fact, and that the ids and
// scopes agree with the facts. Writers wait meanwhile.
func (s *Store) Check() (Report, error) {
	var r Report
	look := func(t *Tx) error {
		r = t.check(s)
		return errChecked
	}
	// bbolt's own check must not run beside a writer (its Tx.Check), so it runs
	// as one, and takes it back.
	run := s.Update
	if s.db.IsReadOnly() {
		run = s.View
	}
	if err := run(look); !errors.Is(err, errChecked) {
		return Report{}, err
	}
	return r, nil
}

func (t *Tx) check(s *Store) Report {
	r := Report{Bytes: t.tx.Size()}
	problem := func(format string, args ...any) {
		if len(r.Problems) < maxProblems {
			r.Problems = append(r.Problems, fmt.Sprintf(format, args...))
		}
	}
	checkPages(s, problem)
	if len(r.Problems) > 0 {
		return r // bbolt's check would run into them
	}
	for err := range t.tx.Check() {
		problem("%v", err)
	}
	if len(r.Problems) == 0 && t.index.seq == nil {
		if err := t.index.load(t); err != nil {
			problem("%s", fault.Of(err).Sentence)
		}
	}
	if len(r.Problems) == 0 {
		t.checkFacts(&r, problem)
	}
	return r
}

// checkFacts reads every fact and looks it up by id and by scope. When each is
// found and the indexes have no more entries than there are facts, they agree.
func (t *Tx) checkFacts(r *Report, problem func(string, ...any)) {
	facts := t.bucket(factsBucket)
	_ = facts.ForEach(func(k, v []byte) error {
		r.Facts++
		f, err := t.read(k, v)
		if err != nil {
			problem("%s", fault.Of(err).Sentence)
			return nil
		}
		seq := binary.BigEndian.Uint64(k)
		id, _ := t.idAt(seq)
		key, _ := f.ID.Bits()
		known, _ := t.seqOf(key)
		switch {
		case !bytes.Equal(f.Text(), v):
			problem("fact %s is not kept as it was written", f.ID)
		case id != f.ID:
			problem("fact %s is not listed under its number %d", f.ID, seq)
		case known != seq:
			problem("fact %s is there twice, as number %d and %d", f.ID, seq, known)
		case !t.inScope(f.Scope, k):
			problem("fact %s is not listed in %s", f.ID, f.Scope)
		}
		return nil
	})
	ids, scoped := 0, 0
	_ = t.eachID(func(uint64, [idSize]byte) { ids++ })
	_ = t.bucket(scopesBucket).ForEach(func(k, v []byte) error {
		if s, seq, ok := splitScopeKey(k); !ok || s.Check() != nil || !bytes.HasPrefix(v, seq) || len(v)%8 != 0 {
			problem("an entry of the list of scopes does not read")
		}
		scoped += len(v) / 8
		return nil
	})
	if ids != r.Facts || scoped != r.Facts {
		problem("there are %d facts, %d ids and %d entries of scopes; these should agree", r.Facts, ids, scoped)
	}
	if last, given := t.Last(), facts.Sequence(); last > given {
		problem("the newest fact has number %d, but numbers were only given up to %d", last, given)
	}
	for _, s := range t.Scopes() {
		switch sort, _ := s.Split(); sort {
		case "batch":
			r.Batches++
		case "place":
			r.Places++
		}
	}
}
