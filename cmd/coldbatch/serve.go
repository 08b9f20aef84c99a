package main

import (
	"errors"
	"flag"
	"fmt"
	"log"
	"path/filepath"
)

// serve starts the program and waits until ctx ends or a server fails.
func (c command) serve(args []string) error {
	p := &Program{Zone: c.machineZone(), Log: log.New(c.err, "", log.LstdFlags)}
	f := c.startFlags("coldbatch", p)
	if err := f.parse(args, 0); err != nil {
		return err
	}
	if err := checkStart(f, p); err != nil {
		return err
	}
	p.Data, p.Terminal = *f.data, terminalOf(c.out)
	if err := p.Run(); err != nil {
		return err
	}
	file := journalFile
	if p.Example {
		file = exampleFile
	}
	fmt.Fprintf(c.out, "coldbatch: open %s (journal in %s)\n", p.URL(), filepath.Join(p.Data, file))
	if p.network != nil {
		fmt.Fprintf(c.out, "on a phone on this network: %s\n", p.network.current().JoinURL())
	}
	info, err := p.inviteFirstPhone(c.ctx)
	if err == nil && info != nil {
		err = info.print(c.out)
	}
	if err != nil {
		return errors.Join(err, p.Close())
	}
	select {
	case <-c.ctx.Done():
		return p.Close()
	case err := <-p.Failed():
		return errors.Join(err, p.Close())
	}
}

// startFlags makes the flags that start the program as p says.
func (c command) startFlags(name string, p *Program) *flags {
	return c.flags(name, func(f *flags) {
		f.intVar(&p.Port, "port")
		f.intVar(&p.HTTPS, "https")
		f.StringVar(&p.Name, "name", "", "")
		f.BoolVar(&p.LocalOnly, "local-only", false, "")
		f.BoolVar(&p.LocalOnly, "here", false, "") // its name in earlier versions
		f.StringVar(&p.Cert, "tls-cert", "", "")
		f.StringVar(&p.Key, "tls-key", "", "")
		f.BoolVar(&p.Example, "example", false, "")
		f.BoolVar(&p.Dev, "dev", false, "")
		f.StringVar(&p.OnReady, "on-ready", "", "")
	})
}

// checkStart checks flags that were parsed, together, and completes p.
func checkStart(f *flags, p *Program) error {
	var wrong error
	f.Visit(func(x *flag.Flag) {
		if port := map[string]int{"port": p.Port, "https": p.HTTPS}; port[x.Name] < 1 && (x.Name == "port" || x.Name == "https") || port[x.Name] > 65535 {
			wrong = usage("%s %d is not a port: from 1 to 65535", x.Name, port[x.Name])
		}
	})
	switch {
	case wrong != nil:
		return wrong
	case (p.Cert == "") != (p.Key == ""):
		return usage("--tls-cert and --tls-key must be given together")
	case p.LocalOnly && p.Cert != "":
		return usage("--local-only answers on this computer alone, which needs no certificate")
	}
	if p.OnReady != "" {
		if p.OnReady, wrong = findCommand(p.OnReady); wrong != nil {
			return wrong
		}
	}
	return nil
}
