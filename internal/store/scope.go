package store

import (
	"bytes"

	"coldbatch/internal/journal"
)

// scopeKey is scope, zero byte, sequence: no scope holds a zero byte, so a
// scope's keys stand together and no scope's keys start with another's.
func scopeKey(s journal.Scope, seq []byte) []byte {
	return append(scopePrefix(s), seq...)
}

func scopePrefix(s journal.Scope) []byte { return append([]byte(s), 0) }

// splitScopeKey undoes scopeKey; ok is false where key is none.
func splitScopeKey(key []byte) (s journal.Scope, seq []byte, ok bool) {
	scope, seq, ok := bytes.Cut(key, []byte{0})
	return journal.Scope(scope), seq, ok && len(seq) == 8
}

// Scope gives the facts of one scope in the order they came. A fact that is
// missing or does not read is a Damaged fault.
func (t *Tx) Scope(s journal.Scope) ([]journal.Fact, error) {
	t.enter()
	var facts []journal.Fact
	prefix := scopePrefix(s)
	var last []byte
	kept := t.bucket(factsBucket)
	c := t.bucket(scopesBucket).Cursor()
	for k, seqs := c.Seek(prefix); bytes.HasPrefix(k, prefix); k, seqs = c.Next() {
		for ; len(seqs) >= 8; seqs = seqs[8:] {
			v := kept.Get(seqs[:8])
			if bytes.Compare(seqs[:8], last) <= 0 {
				return nil, damaged(t.path, "the facts of %s are not in order", s)
			}
			last = seqs[:8]
			if v == nil {
				return nil, damaged(t.path, "a fact of %s is missing", s)
			}
			f, err := t.read(seqs[:8], v)
			if err != nil {
				return nil, err
			}
			facts = append(facts, f)
		}
	}
	return facts, nil
}

// Scopes gives every scope that has a fact, sorted. It looks for one key a scope.
// Where the file is damaged it gives none, and View or Update say so.
func (t *Tx) Scopes() []journal.Scope {
	t.enter()
	var scopes []journal.Scope
	c := t.bucket(scopesBucket).Cursor()
	for k, _ := c.First(); k != nil; {
		s, _, ok := splitScopeKey(k)
		if !ok {
			k, _ = c.Next()
			continue
		}
		if n := len(scopes); n > 0 && s <= scopes[n-1] { // or this would go round for ever
			t.err = damaged(t.path, "its scopes are not in order")
			return nil
		}
		scopes = append(scopes, s)
		k, _ = c.Seek(append([]byte(s), 1))
	}
	return scopes
}
