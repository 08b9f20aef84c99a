package store

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"sync"

	"coldbatch/internal/fault"
	"coldbatch/internal/journal"
)

// damageLog remembers which damaged records were reported, so that each is
// reported once while the file is open.
type damageLog struct {
	mu             sync.Mutex
	reportedDamage map[string]bool
	scopes         bool // the lists of scopes cannot be relied on: facts are searched instead
	meta           bool // a record of meta is missing, nobody knows which
}

func (l *damageLog) hasBadScopes() bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.scopes
}

func (l *damageLog) hasLostMeta() bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.meta
}

// reportDamage tells Options.OnDamage of a damaged record that was skipped.
func (s *Store) reportDamage(what string) {
	s.damage.mu.Lock()
	known := s.damage.reportedDamage[what]
	if s.damage.reportedDamage == nil {
		s.damage.reportedDamage = map[string]bool{}
	}
	s.damage.reportedDamage[what] = true
	s.damage.mu.Unlock()
	if !known && s.onDamage != nil {
		s.onDamage(fault.New(fault.Damaged, "part of the file %s is damaged: %s", s.path, what).
			WithHint("everything else can still be used; restore a backup, or import what is missing from a phone that has it"))
	}
}

// reportGap reports the facts from first up to, not including, end, which are
// damaged or missing, unless they were appended again. It names the first ones only
// and returns how many it left out.
func (t *Tx) reportGap(first, end uint64, report func(what string)) (more uint64) {
	named := min(end, first+maxProblems)
	for seq := first; seq < named; seq++ {
		if !t.isReplaced(seq) {
			report(t.describeFact(seq) + " is damaged")
		}
	}
	return end - named
}

// isReplaced reports whether the damaged fact number seq was appended again and
// is intact under its new number.
func (t *Tx) isReplaced(seq uint64) bool {
	id, ok := t.idAt(seq)
	if !ok {
		return false
	}
	key, _ := id.Bits()
	again, known := t.seqOf(key)
	return known && again > seq && t.isIntact(again)
}

// isIntact reports whether the fact number seq is there and its checksum is right.
func (t *Tx) isIntact(seq uint64) bool { return t.findRecord(seq) != nil }

// describeFact describes a fact that cannot be read, by what the lists of ids and scopes say of
// it: "fact 5 (id …, batch/…)".
func (t *Tx) describeFact(seq uint64) string {
	id, scope := "unknown id", "unknown scope"
	if found, ok := t.idAt(seq); ok {
		id = "id " + string(found)
	}
	if found, ok := t.scopeOf(seq); ok {
		scope = string(found)
	}
	return fmt.Sprintf("fact %d (%s, %s)", seq, id, scope)
}

// scopeOf searches the lists of scopes for the fact number seq.
func (t *Tx) scopeOf(seq uint64) (scope journal.Scope, ok bool) {
	c := t.bucket(scopesBucket).Cursor()
	for k, record := c.First(); k != nil; k, record = c.Next() {
		s, _, seqs, good := t.scopeEntry(k, record)
		for ; good && len(seqs) >= 8; seqs = seqs[8:] {
			if binary.BigEndian.Uint64(seqs) == seq {
				return s, true
			}
		}
	}
	return "", false
}

// checkLists compares, when a file is opened, the lists of ids and scopes and meta
// with their counts and checksums. What is wrong is reported and then read from
// the facts instead.
func (t *Tx) checkLists(ids int) {
	given := t.bucket(factsBucket).Sequence()
	scoped, bad := 0, false
	c := t.bucket(scopesBucket).Cursor()
	for k, record := c.First(); k != nil; k, record = c.Next() {
		_, _, seqs, good := t.scopeEntry(k, record)
		scoped += len(seqs) / 8
		bad = bad || !good
	}
	if bad || scoped != ids || uint64(ids) != given {
		t.markScopesDamaged()
	}
	if meta := t.bucket(metaBucket); t.store.format >= 2 {
		if sum, ok := readMetaChecksum(meta); !ok || sum != metaChecksum(meta) {
			t.store.reportDamage("an entry of its meta is missing or damaged")
			t.store.damage.mu.Lock()
			t.store.damage.meta = true
			t.store.damage.mu.Unlock()
		}
	}
}

// markScopesDamaged has scopes read from the facts from now on.
func (t *Tx) markScopesDamaged() {
	t.store.reportDamage("its lists of scopes cannot be read or do not match the facts")
	t.store.damage.mu.Lock()
	t.store.damage.scopes = true
	t.store.damage.mu.Unlock()
}

// scopeEntry splits an entry of the bucket of scopes. ok is false if its checksum
// is wrong or it is not in the form of an entry.
func (t *Tx) scopeEntry(key, record []byte) (s journal.Scope, first, seqs []byte, ok bool) {
	seqs, ok = t.value(key, record)
	if !ok {
		return "", nil, nil, false
	}
	s, first, ok = splitScopeKey(key)
	ok = ok && s.Check() == nil && len(seqs) > 0 && len(seqs)%8 == 0 && bytes.HasPrefix(seqs, first)
	return s, first, seqs, ok
}
