package store

import (
	"bytes"
	"errors"
	"fmt"

	"go.etcd.io/bbolt"
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
	s, err := Open(path, Options{ReadOnly: true})
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
	if len(r.Problems) == 0 {
		t.checkFacts(&r, problem)
	}
	return r
}

// checkFacts reads every fact and looks it up by id and by scope. When each is
// found under its own sequence and the counts agree, both indexes are whole.
func (t *Tx) checkFacts(r *Report, problem func(string, ...any)) {
	ids, scopes, facts := t.bucket(idsBucket), t.bucket(scopesBucket), t.bucket(factsBucket)
	_ = facts.ForEach(func(k, v []byte) error {
		r.Facts++
		f, err := t.read(k, v)
		switch {
		case err != nil:
			problem("%v", err)
		case !bytes.Equal(f.Text(), v):
			problem("fact %s is not kept as it was written", f.ID)
		case !bytes.Equal(ids.Get(f.ID.Bytes()), k):
			problem("fact %s is not found by its id", f.ID)
		case !has(scopes, scopeKey(f.Scope, k)):
			problem("fact %s is not found in %s", f.ID, f.Scope)
		}
		return nil
	})
	if n := ids.Stats().KeyN; n != r.Facts {
		problem("there are %d ids for %d facts", n, r.Facts)
	}
	if n := scopes.Stats().KeyN; n != r.Facts {
		problem("there are %d entries of scopes for %d facts", n, r.Facts)
	}
	if last, seq := t.Last(), facts.Sequence(); last > seq {
		problem("the newest fact has number %d, but numbers were only given up to %d", last, seq)
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

func has(b *bbolt.Bucket, key []byte) bool {
	k, _ := b.Cursor().Seek(key)
	return bytes.Equal(k, key)
}
