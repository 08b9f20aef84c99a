package main

import (
	"errors"
	"flag"
	"fmt"
	"log"
	"path/filepath"
	"syscall"

	"coldbatch/internal/fault"
)

// serve starts the program and waits until it is told to stop.
func (c command) serve(args []string) error {
	p := &Program{Zone: c.machineZone(), Log: log.New(c.err, "", log.LstdFlags)}
	f := c.flags("coldbatch", func(f *flags) {
		f.IntVar(&p.Port, "port", 0, "")
		f.BoolVar(&p.Example, "example", false, "")
	})
	if err := f.parse(args, 0); err != nil {
		return err
	}
	given := false
	f.Visit(func(x *flag.Flag) { given = given || x.Name == "port" })
	if given && (p.Port < 1 || p.Port > 65535) {
		return usage("port %d is not a port, which is 1 to 65535", p.Port)
	}
	p.Data = *f.data
	if err := p.Run(); err != nil {
		return err
	}
	file := journalFile
	if p.Example {
		file = exampleFile
	}
	fmt.Fprintf(c.out, "coldbatch: open %s (journal in %s)\n", p.URL(), filepath.Join(p.Data, file))
	select {
	case <-c.ctx.Done():
		return p.Close()
	case err := <-p.Failed():
		return errors.Join(err, p.Close())
	}
}

// busy says that a port cannot be had.
func busy(port int, err error) error {
	if inUse(err) {
		return fault.New(fault.Conflict, "port %d is busy: another program listens there", port).
			WithHint("stop that program, or a coldbatch that still runs")
	}
	return fault.New(fault.Unavailable, "port %d cannot be opened: %v", port, err).
		WithHint("ports below 1024 often need special rights")
}

// inUse says whether a port is taken. Windows has a number of its own for it
// (WSAEADDRINUSE), which package syscall does not map.
func inUse(err error) bool {
	var n syscall.Errno
	return errors.As(err, &n) && (n == syscall.EADDRINUSE || n == 10048)
}
