package main

import (
	"errors"
	"flag"
	"fmt"
	"log"
	"path/filepath"
)

// serve starts the program and waits until it is told to stop.
func (c command) serve(args []string) error {
	p := &Program{Zone: c.machineZone(), Log: log.New(c.err, "", log.LstdFlags)}
	f := c.flags("coldbatch", func(f *flags) {
		f.whole(&p.Port, "port")
		f.whole(&p.HTTPS, "https")
		f.StringVar(&p.Name, "name", "", "")
		f.BoolVar(&p.Here, "here", false, "")
		f.StringVar(&p.Cert, "tls-cert", "", "")
		f.StringVar(&p.Key, "tls-key", "", "")
		f.BoolVar(&p.Example, "example", false, "")
	})
	if err := f.parse(args, 0); err != nil {
		return err
	}
	var wrong error
	f.Visit(func(x *flag.Flag) {
		if port := map[string]int{"port": p.Port, "https": p.HTTPS}; port[x.Name] < 1 && (x.Name == "port" || x.Name == "https") || port[x.Name] > 65535 {
			wrong = usage("%s %d is not a port, which is 1 to 65535", x.Name, port[x.Name])
		}
	})
	switch {
	case wrong != nil:
		return wrong
	case (p.Cert == "") != (p.Key == ""):
		return usage("--tls-cert and --tls-key go together")
	case p.Here && p.Cert != "":
		return usage("--here answers on this computer alone, which needs no certificate")
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
	if p.network != nil {
		fmt.Fprintf(c.out, "on a phone in this network: %s\n", p.network.now().Door())
	}
	door, err := p.firstPhone()
	if err == nil && door != nil {
		err = door.print(c.out)
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
