package main

import (
	"context"
	"fmt"
	"path/filepath"

	"coldbatch/internal/api"
	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/store"
)

// limits changes the limits that its flags name, and then prints how much helpers may send.
func (c command) limits(args []string) error {
	var change hub.Limits
	megabytes := 0
	f := c.flags("limits", func(f *flags) {
		f.intVar(&change.Helpers, "helpers")
		f.intVar(&change.Facts, "entries")
		f.intVar(&megabytes, "megabytes")
		f.intVar(&change.Photos, "photos")
		f.intVar(&change.Things, "things")
	})
	if err := f.parse(args, 0); err != nil {
		return err
	}
	change.Bytes = megabytes << 20
	if change.Helpers < 0 || change.Facts < 0 || megabytes < 0 || megabytes > 1<<20 || change.Photos < 0 || change.Things < 0 {
		return usage("limits: a limit is 1 or more")
	}
	var l hub.Limits
	running, err := callProgram(c.ctx, *f.data, "limits", change, &l)
	if !running && err == nil {
		l, err = changeLimitsOffline(c.ctx, *f.data, change)
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(c.out, `helpers of a batch   %d
a helper may send    %d entries, %d MB, %d photos, %d new things (bags, pieces, colours)
all of a batch       %d entries, %d MB, %d photos, %d new things
`, l.Helpers, l.Facts, l.Bytes>>20, l.Photos, l.Things,
		hub.HelpersShare*l.Facts, hub.HelpersShare*l.Bytes>>20, hub.HelpersShare*l.Photos, hub.HelpersShare*l.Things)
	return nil
}

// changeLimitsOffline is Hub.ChangeLimits for a program that does not run.
func changeLimitsOffline(ctx context.Context, data string, change hub.Limits) (hub.Limits, error) {
	path := filepath.Join(data, journalFile)
	if !fileExists(path) {
		return hub.Limits{}, fault.New(fault.NotFound, "there is no journal %s yet", path).WithHint("start coldbatch once")
	}
	s, err := store.Open(path, store.Options{})
	if err != nil {
		return hub.Limits{}, err
	}
	defer s.Close()
	h, err := hub.Open(storeJournal{s}, api.Identity{}, machineSystem())
	if err != nil {
		return hub.Limits{}, err
	}
	return h.ChangeLimits(ctx, h.LocalAsker(), change)
}
