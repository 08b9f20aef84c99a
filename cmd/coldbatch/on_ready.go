package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"coldbatch/internal/batchview"
	"coldbatch/internal/zone"
)

// readyWatcher announces bags as they become ready: it rings the terminal's bell, and runs
// the owner's command.
type readyWatcher struct {
	program  *Program
	command  string    // file of the command; empty: none
	terminal io.Writer // nil: none
}

// The times of the watcher.
const (
	readyInterval  = 20 * time.Second       // from one look at the clock to the next
	readySettle    = 500 * time.Millisecond // after new facts, so that many count as one
	readyRecompute = time.Hour              // the times are computed again, also without new facts
	commandTimeout = time.Minute
)

const maxOutput = 500 // bytes of what the command writes, for the log

// findCommand returns the file of the owner's command. It is run as it is: without
// arguments, and never by a shell, which would read the names of batches and pieces.
func findCommand(name string) (string, error) {
	file, err := exec.LookPath(name)
	if err != nil && !errors.Is(err, exec.ErrDot) {
		return "", usage("--on-ready: there is no command %q that can be run; it takes one program or script, without arguments", name)
	}
	return filepath.Abs(file)
}

// run announces what becomes ready until ctx ends.
func (w readyWatcher) run(ctx context.Context) {
	h := w.program.journalHub
	changed, stop := h.Subscribe()
	defer stop()
	var groups []batchview.ReadyGroup
	var computed time.Time
	isStale := true
	for {
		if isStale || time.Since(computed) > readyRecompute {
			var err error
			if groups, err = h.ReadyGroups(ctx); err != nil {
				w.log(ctx, err)
			}
			computed, isStale = time.Now(), false
		}
		taken, err := h.TakeReady(ctx, groups)
		if err != nil {
			w.log(ctx, err)
		}
		for _, g := range taken {
			w.announce(ctx, g)
		}
		select {
		case <-ctx.Done():
			return
		case _, open := <-changed:
			if !open {
				return
			}
			isStale = true
			if !sleep(ctx, readySettle) {
				return
			}
		case <-time.After(readyInterval):
		}
	}
}

// sleep waits, and says whether ctx has not ended.
func sleep(ctx context.Context, d time.Duration) bool {
	select {
	case <-ctx.Done():
		return false
	case <-time.After(d):
		return true
	}
}

func (w readyWatcher) log(ctx context.Context, err error) {
	if ctx.Err() == nil {
		w.program.Log.Printf("which bags are ready: %v", err)
	}
}

// announce rings the bell and runs the command for one group of bags.
func (w readyWatcher) announce(ctx context.Context, g batchview.ReadyGroup) {
	if w.terminal != nil {
		fmt.Fprintf(w.terminal, "\a%s\n", g.Text())
	}
	if w.command == "" {
		return
	}
	ctx, cancel := context.WithTimeout(ctx, commandTimeout)
	defer cancel()
	input, err := json.Marshal(g)
	if err != nil {
		w.log(ctx, err)
		return
	}
	c := exec.CommandContext(ctx, w.command)
	c.Env = append(os.Environ(), readyVariables(g)...)
	c.Stdin = bytes.NewReader(append(input, '\n'))
	c.Cancel, c.WaitDelay = func() error { return nil }, shutdownTime // when the program stops, it may finish
	var out outputStart
	c.Stdout, c.Stderr = &out, &out
	if err := c.Run(); err != nil {
		w.program.Log.Printf("--on-ready %s: %v: %s", w.command, err, bytes.TrimSpace(out))
	}
}

// outputStart keeps the first bytes that a command writes: one that writes without end takes no
// memory of the program.
type outputStart []byte

func (o *outputStart) Write(p []byte) (int, error) {
	*o = append(*o, p[:min(len(p), maxOutput-len(*o))]...)
	return len(p), nil
}

// readyVariables are the variables of the command's environment.
func readyVariables(g batchview.ReadyGroup) []string {
	var numbers []string
	for _, b := range g.Bags {
		numbers = append(numbers, b.Number)
	}
	first := g.Bags[0]
	list := []string{"TEXT=" + g.Text(), "BAGS=" + strings.Join(numbers, " "), "BATCH=" + first.BatchName, "PLACE=" + first.PlaceName,
		"READY=" + zone.UTC().FormatStamp(first.Ready)}
	for i, v := range list {
		list[i] = "COLDBATCH_" + strings.Join(strings.Fields(strings.ReplaceAll(v, "\x00", "")), " ")
	}
	return list
}

// terminalOf returns out where a person reads it, else nil.
func terminalOf(out io.Writer) io.Writer {
	if f, ok := out.(*os.File); ok {
		if info, err := f.Stat(); err == nil && info.Mode()&os.ModeCharDevice != 0 {
			return out
		}
	}
	return nil
}
