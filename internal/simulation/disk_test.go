package simulation

import (
	"errors"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"coldbatch/internal/hub"
	"coldbatch/internal/journal"
	"coldbatch/internal/store"
)

// journalDisk is where the hub keeps its journal.
type journalDisk interface {
	hub.Journal
	// copied copies the file; put puts the copy in its place.
	copyForRestore() (put func())
}

// errCrash is the error of a write during which the hub stops.
var errCrash = errors.New("the program stopped")

// failingJournal is a disk under a program that may stop: before a write has reached it,
// or right after.
type failingJournal struct {
	journalDisk
	failsBefore, failsAfter bool
}

func (f *failingJournal) Update(do func(hub.Tx) error) error {
	err := f.journalDisk.Update(func(tx hub.Tx) error {
		if err := do(tx); err != nil || !f.failsBefore {
			return err
		}
		return errCrash
	})
	if err == nil && f.failsAfter {
		err = errCrash
	}
	return err
}

// memoryDisk is a journal in memory. It keeps nothing of an Update that fails.
type memoryDisk struct {
	facts  []journal.Fact
	at     map[journal.ID]int
	scopes map[journal.Scope][]int
	values map[string][]byte // meta and cache
}

func newMemoryDisk() *memoryDisk {
	return &memoryDisk{at: map[journal.ID]int{}, scopes: map[journal.Scope][]int{}, values: map[string][]byte{}}
}

func (m *memoryDisk) copyForRestore() func() {
	facts, values := slices.Clone(m.facts), maps.Clone(m.values)
	return func() {
		*m = *newMemoryDisk()
		for _, f := range facts {
			m.add(f)
		}
		m.values = maps.Clone(values)
	}
}

func (m *memoryDisk) add(f journal.Fact) {
	m.at[f.ID] = len(m.facts)
	m.scopes[f.Scope] = append(m.scopes[f.Scope], len(m.facts))
	m.facts = append(m.facts, f)
}

func (m *memoryDisk) View(do func(hub.Tx) error) error { return do(memoryTx{m, nil}) }

func (m *memoryDisk) Update(do func(hub.Tx) error) error {
	undo := m.snapshot()
	err := do(memoryTx{m, map[string]bool{}})
	if err != nil {
		undo()
	}
	return err
}

// snapshot returns a function that removes the facts added from now on and restores the values.
func (m *memoryDisk) snapshot() func() {
	n, values := len(m.facts), maps.Clone(m.values)
	return func() {
		for _, f := range m.facts[n:] {
			delete(m.at, f.ID)
			list := m.scopes[f.Scope]
			if m.scopes[f.Scope] = list[:len(list)-1]; len(list) == 1 {
				delete(m.scopes, f.Scope)
			}
		}
		m.facts, m.values = m.facts[:n], values
	}
}

// memoryTx is a transaction; one that reads has no writes.
type memoryTx struct {
	m      *memoryDisk
	writes map[string]bool
}

var errReading = errors.New("a write in a transaction that reads")

func (t memoryTx) Has(id journal.ID) bool { _, has := t.m.at[id]; return has }

func (t memoryTx) Append(f journal.Fact) (uint64, error) {
	if t.writes == nil {
		return 0, errReading
	}
	if !t.Has(f.ID) {
		t.m.add(f)
	}
	return uint64(t.m.at[f.ID] + 1), nil
}

func (t memoryTx) Since(seq uint64, each func(uint64, journal.Fact) bool) error {
	for i := int(min(seq, t.Last())); i < len(t.m.facts); i++ {
		if !each(uint64(i+1), t.m.facts[i]) {
			break
		}
	}
	return nil
}

func (t memoryTx) IDAt(seq uint64) (journal.ID, bool) {
	if seq < 1 || seq > t.Last() {
		return "", false
	}
	return t.m.facts[seq-1].ID, true
}

func (t memoryTx) Last() uint64 { return uint64(len(t.m.facts)) }

func (t memoryTx) Scope(s journal.Scope) (facts []journal.Fact, err error) {
	for _, i := range t.m.scopes[s] {
		facts = append(facts, t.m.facts[i])
	}
	return facts, nil
}

func (t memoryTx) Scopes() []journal.Scope { return slices.Sorted(maps.Keys(t.m.scopes)) }

func (t memoryTx) Meta(key string) []byte                  { return t.m.values["meta "+key] }
func (t memoryTx) Cache(key string) []byte                 { return t.m.values["cache "+key] }
func (t memoryTx) SetMeta(key string, value []byte) error  { return t.set("meta "+key, value) }
func (t memoryTx) SetCache(key string, value []byte) error { return t.set("cache "+key, value) }
func (t memoryTx) set(key string, value []byte) error {
	if t.writes == nil {
		return errReading
	}
	t.m.values[key] = value
	return nil
}

// fileDisk is the real journal. It is copied as a person does: the program stopped,
// the file copied.
type fileDisk struct {
	t    testing.TB
	path string
	s    *store.Store
}

func newFileDisk(t testing.TB) *fileDisk {
	f := &fileDisk{t: t, path: filepath.Join(t.TempDir(), "journal.db")}
	f.open()
	t.Cleanup(func() { f.s.Close() })
	return f
}

func (f *fileDisk) open() {
	var err error
	if f.s, err = store.Open(f.path, store.Options{}); err != nil {
		f.t.Fatal(err)
	}
}

func (f *fileDisk) requireNoError(err error) {
	if err != nil {
		f.t.Fatal(err)
	}
}

func (f *fileDisk) copyForRestore() func() {
	f.requireNoError(f.s.Close())
	bytes, err := os.ReadFile(f.path)
	f.requireNoError(err)
	f.open()
	return func() {
		f.requireNoError(f.s.Close())
		f.requireNoError(os.WriteFile(f.path, bytes, 0o600))
		f.open()
	}
}

func (f *fileDisk) View(do func(hub.Tx) error) error {
	return f.s.View(func(tx *store.Tx) error { return do(tx) })
}

func (f *fileDisk) Update(do func(hub.Tx) error) error {
	return f.s.Update(func(tx *store.Tx) error { return do(tx) })
}
