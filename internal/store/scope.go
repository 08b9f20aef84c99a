package store

import (
	"bytes"
	"encoding/binary"
	"slices"

	"coldbatch/internal/journal"
)

// scopeKey is scope, zero byte, sequence: no scope has a zero byte in it, so the
// keys of a scope are neighbours and no scope's keys start with another's.
func scopeKey(s journal.Scope, seq []byte) []byte {
	return append(scopePrefix(s), seq...)
}

func scopePrefix(s journal.Scope) []byte { return append([]byte(s), 0) }

// splitScopeKey undoes scopeKey; ok is false if key is not of that form.
func splitScopeKey(key []byte) (s journal.Scope, seq []byte, ok bool) {
	scope, seq, ok := bytes.Cut(key, []byte{0})
	return journal.Scope(scope), seq, ok && len(seq) == 8
}

// Scope returns the facts of one scope in the order they were stored. A damaged
// fact is reported (Options.OnDamage) and left out. Where the list of the scope is
// damaged, all facts are searched.
func (t *Tx) Scope(s journal.Scope) ([]journal.Fact, error) {
	t.flushPending()
	if !t.store.damage.hasBadScopes() {
		if facts, ok := t.listedFacts(s); ok {
			return facts, nil
		}
		t.markScopesDamaged()
	}
	var facts []journal.Fact
	err := t.Since(0, func(_ uint64, f journal.Fact) bool {
		if f.Scope == s {
			facts = append(facts, f)
		}
		return true
	})
	return facts, err
}

// listedFacts returns the facts in the list of a scope. ok is false if the list is
// damaged or not in order.
func (t *Tx) listedFacts(s journal.Scope) (facts []journal.Fact, ok bool) {
	prefix := scopePrefix(s)
	var last uint64
	c := t.bucket(scopesBucket).Cursor()
	for k, record := c.Seek(prefix); bytes.HasPrefix(k, prefix); k, record = c.Next() {
		_, _, seqs, ok := t.scopeEntry(k, record)
		if !ok {
			return nil, false
		}
		for ; len(seqs) >= 8; seqs = seqs[8:] {
			seq := binary.BigEndian.Uint64(seqs)
			if seq <= last {
				return nil, false
			}
			last = seq
			f, ok := t.readFact(seqs[:8], t.findRecord(seq))
			if !ok {
				t.reportGap(seq, seq+1, t.store.reportDamage)
				continue
			}
			facts = append(facts, f)
		}
	}
	return facts, true
}

// Scopes returns every scope that has a fact, sorted. It reads one key a scope.
func (t *Tx) Scopes() []journal.Scope {
	t.flushPending()
	if !t.store.damage.hasBadScopes() {
		if scopes, ok := t.listedScopes(); ok {
			return scopes
		}
		t.markScopesDamaged()
	}
	found := map[journal.Scope]bool{}
	err := t.Since(0, func(_ uint64, f journal.Fact) bool { found[f.Scope] = true; return true })
	if err != nil {
		t.fail(err)
	}
	scopes := make([]journal.Scope, 0, len(found))
	for s := range found {
		scopes = append(scopes, s)
	}
	slices.Sort(scopes)
	return scopes
}

// listedScopes returns the scopes that have a list. ok is false if the lists are
// not in order.
func (t *Tx) listedScopes() (scopes []journal.Scope, ok bool) {
	c := t.bucket(scopesBucket).Cursor()
	for k, _ := c.First(); k != nil; {
		s, _, ok := splitScopeKey(k)
		if n := len(scopes); !ok || n > 0 && s <= scopes[n-1] { // or this would go round for ever
			return nil, false
		}
		scopes = append(scopes, s)
		k, _ = c.Seek(append([]byte(s), 1))
	}
	return scopes, true
}
