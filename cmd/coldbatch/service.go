package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"coldbatch/internal/fault"
	"coldbatch/internal/lan"
)

// serviceWait says how long the system may take to start the program, or to stop it.
const serviceWait = 20 * time.Second

// service has the system start the program whenever this user logs in, or ends that, or
// says how it stands.
func (c command) service(args []string) error {
	action := ""
	if len(args) > 0 {
		action, args = args[0], args[1:]
	}
	p := &Program{}
	var f *flags
	switch action {
	case "install":
		f = c.startFlags("service install", p)
	case "remove", "status":
		f = c.flags("service "+action, func(*flags) {})
	case "-h", "-help", "--help":
		return flag.ErrHelp
	default:
		return usage("service takes install, remove or status, not %q", action)
	}
	if err := f.parse(args, 0); err != nil {
		return err
	}
	s, err := c.findService()
	if err != nil {
		return err
	}
	switch action {
	case "install":
		return c.installService(s, f, p)
	case "remove":
		return c.removeService(s)
	}
	return c.serviceStatus(s, *f.data)
}

// findService describes the service of this user on this system.
func (c command) findService() (serviceDefinition, error) {
	s := serviceDefinition{system: runtime.GOOS, home: c.env("HOME"), config: c.env("XDG_CONFIG_HOME"), userID: os.Getuid()}
	if s.system == "windows" {
		s.home = c.env("LocalAppData")
		u, err := user.Current()
		if err != nil {
			return s, fault.New(fault.Unavailable, "the system does not say which user you are: %v", err)
		}
		s.account = u.Username
	}
	if s.home == "" {
		return s, fault.New(fault.Unavailable, "you have no home folder, so the system cannot start coldbatch for you")
	}
	tool := s.tool()
	if tool == "" {
		return s, fault.New(fault.Unavailable, "coldbatch does not know how to start programs at login on %s", s.system).
			WithHint("add the program to what your system runs at login")
	}
	if _, err := exec.LookPath(tool); err != nil {
		return s, fault.New(fault.Unavailable, "%s is not installed here, so the system cannot start coldbatch at login", tool).
			WithHint("add the program to what your system runs at login")
	}
	return s, nil
}

func (c command) installService(s serviceDefinition, f *flags, p *Program) error {
	if err := checkStart(f, p); err != nil {
		return err
	}
	if p.Example || p.Dev {
		return usage("service install: --example and --dev are for trying things out, not for a service")
	}
	if p.Name != "" {
		if _, err := lan.ReadHost(p.Name); err != nil {
			return err
		}
	}
	program, err := os.Executable()
	if err != nil {
		return err
	}
	if strings.Contains(filepath.ToSlash(program), "/go-build") {
		return fault.New(fault.Conflict, "this program was started with `go run`, which deletes it when it ends").
			WithHint("build one that stays: go build ./cmd/coldbatch, then ./coldbatch service install")
	}
	if s.system == "linux" && strings.ContainsAny(program, "\"'\\") {
		return fault.New(fault.Conflict, "systemd cannot start a program with a quotation mark or a backslash in its path, such as %s", program).WithHint("move it")
	}
	s.command = append([]string{program, "--data", *f.data}, startArguments(f, p)...)
	var wait time.Duration
	if fileExists(s.file()) {
		_ = c.runSystem(s.stop()) // it may not run
		wait = serviceWait
	}
	if !c.waitForProgram(*f.data, false, wait) {
		return fault.New(fault.Conflict, "coldbatch is already running on %s", *f.data).WithHint("stop that program first")
	}
	if err := os.MkdirAll(filepath.Dir(s.file()), 0o755); err != nil {
		return fault.New(fault.Unavailable, "the folder of %s cannot be created: %v", s.file(), err)
	}
	if err := os.WriteFile(s.file(), s.content(), 0o644); err != nil {
		return fault.New(fault.Unavailable, "%s cannot be written: %v", s.file(), err)
	}
	fmt.Fprintf(c.out, "wrote %s\n", s.file())
	if err := c.runSystem(s.start()); err != nil {
		return err
	}
	if !c.waitForProgram(*f.data, true, serviceWait) {
		return fault.New(fault.Unavailable, "the system was asked to start coldbatch, but it does not answer after %v", serviceWait).
			WithHint("to see why: %s", s.logHint())
	}
	fmt.Fprintf(c.out, "coldbatch runs, and starts whenever you log in\n%s", s.afterInstall())
	return nil
}

// startArguments are the flags that were given for starting, with paths that hold in any
// folder.
func startArguments(f *flags, p *Program) (args []string) {
	f.Visit(func(x *flag.Flag) {
		value := x.Value.String()
		switch x.Name {
		case "data":
			return
		case "port":
			value = fmt.Sprint(p.Port)
		case "https":
			value = fmt.Sprint(p.HTTPS)
		case "local-only", "here":
			args = append(args, "--local-only")
			return
		case "tls-cert", "tls-key":
			if abs, err := filepath.Abs(value); err == nil {
				value = abs
			}
		case "on-ready":
			value = p.OnReady
		}
		args = append(args, "--"+x.Name, value)
	})
	return args
}

func (c command) removeService(s serviceDefinition) error {
	if !fileExists(s.file()) {
		return fault.New(fault.NotFound, "no service is installed: there is no %s", s.file())
	}
	stopped := c.runSystem(s.stop())
	if err := os.Remove(s.file()); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fault.New(fault.Unavailable, "%s cannot be removed: %v", s.file(), err)
	}
	if err := errors.Join(stopped, c.runSystem(s.forget())); err != nil {
		return err
	}
	fmt.Fprintf(c.out, "removed %s; the journal stays where it is\n", s.file())
	return nil
}

func (c command) serviceStatus(s serviceDefinition, data string) error {
	if !fileExists(s.file()) {
		return fault.New(fault.NotFound, "no service is installed: there is no %s", s.file()).WithHint("coldbatch service install")
	}
	fmt.Fprintf(c.out, "installed  %s\n", s.file())
	var host string
	if running, err := callProgram(c.ctx, data, "host", nil, &host); !running || err != nil {
		return fault.New(fault.Unavailable, "coldbatch is not running on %s", data).WithHint("to see why: %s", s.logHint())
	}
	fmt.Fprintf(c.out, "running    on %s\n", data)
	return nil
}

// waitForProgram waits until a program runs on a data folder, or none does.
func (c command) waitForProgram(data string, isRunning bool, wait time.Duration) bool {
	for end := time.Now().Add(wait); ; {
		var host string
		running, _ := callProgram(c.ctx, data, "host", nil, &host)
		if running == isRunning {
			return true
		}
		if c.ctx.Err() != nil || time.Now().After(end) {
			return false
		}
		time.Sleep(100 * time.Millisecond)
	}
}

// runSystem runs the system's own commands one after another, up to the first that fails.
func (c command) runSystem(commands [][]string) error {
	for _, words := range commands {
		ctx, stop := context.WithTimeout(c.ctx, serviceWait)
		out, err := exec.CommandContext(ctx, words[0], words[1:]...).CombinedOutput()
		stop()
		if err != nil {
			said := strings.Join(strings.Fields(string(bytes.ToValidUTF8(out, nil))), " ")
			if said == "" {
				said = err.Error()
			}
			return fault.New(fault.Unavailable, "%s says: %s", strings.Join(words, " "), said)
		}
	}
	return nil
}
