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
		f.intVar(&change.HelperCount, "helpers")
		f.intVar(&change.FactCount, "entries")
		f.intVar(&megabytes, "megabytes")
		f.intVar(&change.PhotoCount, "photos")
		f.intVar(&change.NewSubjectCount, "things")
	})
	if err := f.parse(args, 0); err != nil {
		return err
	}
	change.ByteCount = megabytes << 20
	if change.HelperCount < 0 || change.FactCount < 0 || megabytes < 0 || megabytes > 1<<20 || change.PhotoCount < 0 || change.NewSubjectCount < 0 {
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
`, l.HelperCount, l.FactCount, l.ByteCount>>20, l.PhotoCount, l.NewSubjectCount,
		hub.HelpersShare*l.FactCount, hub.HelpersShare*l.ByteCount>>20, hub.HelpersShare*l.PhotoCount, hub.HelpersShare*l.NewSubjectCount)
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
