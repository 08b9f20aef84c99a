// Package evict bounds how many things are open at a time by ending the oldest: of
// connections, requests and streams that anybody may open, a newcomer is let in and the
// oldest goes. A bound that refuses newcomers instead would let whoever fills it shut out
// everyone else. Call New, and Add for each thing that opens.
package evict

import (
	"container/list"
	"sync"
)

// Set holds the things that are open, each under a key that says whose it is. Its
// methods may be called concurrently.
type Set[K comparable] struct {
	max, perKey int

	mu    sync.Mutex
	byAge *list.List // of *Entry[K], the oldest first
	count map[K]int
}

// New returns a set of at most max things, and at most perKey under one key. max and
// perKey are at least 1.
func New[K comparable](max, perKey int) *Set[K] {
	return &Set[K]{max: max, perKey: perKey, byAge: list.New(), count: map[K]int{}}
}

// Entry is one thing in a set.
type Entry[K comparable] struct {
	set      *Set[K]
	key      K
	end      func()
	isKept   bool
	position *list.Element // nil once it left the set
}

// Add adds an entry; end is what ends it. If the set is full, Add first ends another entry: the
// oldest with that key, or the oldest of all. It ends an entry marked as kept only if every
// candidate is. end is called at most once, and may call Remove.
func (s *Set[K]) Add(key K, end func()) *Entry[K] {
	e := &Entry[K]{set: s, key: key, end: end}
	s.mu.Lock()
	var evicted *Entry[K]
	switch {
	case s.count[key] >= s.perKey:
		evicted = s.oldest(func(x *Entry[K]) bool { return x.key == key })
	case s.byAge.Len() >= s.max:
		evicted = s.oldest(func(*Entry[K]) bool { return true })
	}
	if evicted != nil {
		s.remove(evicted)
	}
	e.position = s.byAge.PushBack(e)
	s.count[key]++
	s.mu.Unlock()
	if evicted != nil {
		evicted.end()
	}
	return e
}

// Keep marks a thing as belonging to somebody who is known: others are ended before it.
func (e *Entry[K]) Keep() {
	e.set.mu.Lock()
	defer e.set.mu.Unlock()
	e.isKept = true
}

// Remove takes a thing out of its set, because it ended by itself. It may be called
// again.
func (e *Entry[K]) Remove() {
	e.set.mu.Lock()
	defer e.set.mu.Unlock()
	e.set.remove(e)
}

// Len returns how many things are in the set.
func (s *Set[K]) Len() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.byAge.Len()
}

// oldest returns the oldest entry that matches, and a kept one only if no other matches.
func (s *Set[K]) oldest(match func(*Entry[K]) bool) *Entry[K] {
	var kept *Entry[K]
	for p := s.byAge.Front(); p != nil; p = p.Next() {
		e := p.Value.(*Entry[K])
		switch {
		case !match(e):
		case !e.isKept:
			return e
		case kept == nil:
			kept = e
		}
	}
	return kept
}

func (s *Set[K]) remove(e *Entry[K]) {
	if e.position == nil {
		return
	}
	s.byAge.Remove(e.position)
	e.position = nil
	if s.count[e.key]--; s.count[e.key] == 0 {
		delete(s.count, e.key)
	}
}
