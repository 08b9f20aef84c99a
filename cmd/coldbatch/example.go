package main

import (
	"errors"
	"os"
	"path/filepath"

	"coldbatch/internal/batch"
	"coldbatch/internal/hub"
	"coldbatch/internal/store"
)

// openExample makes the example's own file afresh and turns to it. The journal
// stays open beside it, so that going over to it later cannot fail.
func (p *Program) openExample() error {
	path := filepath.Join(p.Data, exampleFile)
	if err := os.Remove(path); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	var err error
	if p.example, err = store.Open(path, store.Options{}); err != nil {
		return err
	}
	h, err := hub.Open(bolt{p.example}, hub.Identity{Port: p.Port, Zone: p.real.Zone}, world())
	if err != nil {
		return err
	}
	facts, err := batch.Example(world().Now(), h.Zone, world().Random)
	if err != nil {
		return err
	}
	if err := h.SeedFacts(facts); err != nil {
		return err
	}
	h.Example = true
	p.current.Store(h)
	return nil
}

// endExample leaves the example for good and goes over to the journal. Where it
// was left already nothing is done.
func (p *Program) endExample() error {
	h := p.current.Load()
	if h == p.real || !p.current.CompareAndSwap(h, p.real) {
		return nil
	}
	h.Close()
	return p.closeExample()
}

// closeExample closes the example's file, where there is one, and removes it.
func (p *Program) closeExample() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.example == nil {
		return nil
	}
	err := errors.Join(p.example.Close(), os.Remove(p.example.Path()))
	p.example = nil
	return err
}
