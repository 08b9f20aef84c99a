package evict

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// recordingSet adds things by name to a set and records which were ended.
type recordingSet struct {
	set        *Set[string]
	entries    map[string]*Entry[string]
	endedNames []string
}

func newRecordingSet(max, perKey int) *recordingSet {
	return &recordingSet{set: New[string](max, perKey), entries: map[string]*Entry[string]{}}
}

func (o *recordingSet) add(key, name string) {
	o.entries[name] = o.set.Add(key, func() {
		o.endedNames = append(o.endedNames, name)
		o.entries[name].Remove() // as what ends does, too
	})
}

func (o *recordingSet) requireEnded(t *testing.T, ended ...string) {
	t.Helper()
	if !slices.Equal(o.endedNames, ended) {
		t.Errorf("ended were %v, want %v", o.endedNames, ended)
	}
}

func TestTheOldestGoes(t *testing.T) {
	o := newRecordingSet(3, 2)
	o.add("a", "a1")
	o.add("a", "a2")
	o.add("a", "a3") // more than one key may have
	o.requireEnded(t, "a1")
	o.add("b", "b1")
	o.add("c", "c1") // more than fit
	o.requireEnded(t, "a1", "a2")
	o.entries["b1"].Remove()
	o.add("d", "d1") // fits again
	o.requireEnded(t, "a1", "a2")
}

func TestWhoIsKnownIsKept(t *testing.T) {
	o := newRecordingSet(2, 2)
	o.add("phone", "phone")
	o.entries["phone"].Keep()
	for i := range 5 {
		o.add(fmt.Sprint("stranger", i), fmt.Sprint(i))
	}
	o.requireEnded(t, "0", "1", "2", "3")
	o.entries["4"].Keep()
	o.add("last", "last") // where all are kept, the oldest goes nevertheless
	o.requireEnded(t, "0", "1", "2", "3", "phone")
}

// The set never holds more than it may, ends nothing twice and no newcomer.
func TestBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		max, perKey := rapid.IntRange(1, 6).Draw(t, "max"), rapid.IntRange(1, 6).Draw(t, "per key")
		s := New[int](max, perKey)
		open := map[int]int{} // name to key
		entries := map[int]*Entry[int]{}
		for name := range rapid.IntRange(1, 60).Draw(t, "steps") {
			key := rapid.IntRange(0, 4).Draw(t, "key")
			entries[name] = s.Add(key, func() {
				if _, is := open[name]; !is {
					t.Fatalf("%d ended twice, or before it was open", name)
				}
				delete(open, name)
			})
			open[name] = key
			if gone := rapid.IntRange(0, name).Draw(t, "gone"); rapid.Bool().Draw(t, "removes") {
				entries[gone].Remove()
				delete(open, gone)
			} else {
				entries[gone].Keep()
			}
			count := map[int]int{}
			for _, k := range open {
				count[k]++
			}
			if s.Len() != len(open) || len(open) > max || count[key] > perKey {
				t.Fatalf("%d in the set, %d open, of them %d of one key", s.Len(), len(open), count[key])
			}
		}
	})
}
