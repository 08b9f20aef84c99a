package main

import (
	"context"
	"errors"
	"os"
	"path/filepath"

	"coldbatch/internal/api"
	"coldbatch/internal/batchview"
	"coldbatch/internal/hub"
	"coldbatch/internal/store"
)

// openExample writes a new example into its own file and makes it active. The journal
// stays open, so that closing the example cannot fail.
func (p *Program) openExample(ctx context.Context) error {
	path := filepath.Join(p.Data, exampleFile)
	if err := os.Remove(path); err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	var err error
	if p.example, err = store.Open(path, store.Options{}); err != nil {
		return err
	}
	h, err := hub.Open(storeJournal{p.example}, api.Identity{HTTPPort: p.Port, Zone: p.journalHub.Zone}, machineSystem())
	if err != nil {
		return err
	}
	facts, err := batchview.Example(machineSystem().Now(), h.Zone, machineSystem().Random)
	if err != nil {
		return err
	}
	if err := h.SeedFacts(ctx, facts); err != nil {
		return err
	}
	h.Example = true
	p.activeHub.Store(h)
	return nil
}

// closeExample makes the journal active and removes the example. It does nothing where
// that is done.
func (p *Program) closeExample() error {
	h := p.activeHub.Load()
	if h == p.journalHub || !p.activeHub.CompareAndSwap(h, p.journalHub) {
		return nil
	}
	h.Close()
	return p.removeExample()
}

// removeExample closes and removes the example's file, where there is one.
func (p *Program) removeExample() error {
	p.exampleMu.Lock()
	defer p.exampleMu.Unlock()
	if p.example == nil {
		return nil
	}
	err := errors.Join(p.example.Close(), os.Remove(p.example.Path()))
	p.example = nil
	return err
}
