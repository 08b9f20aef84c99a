package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"time"

	"coldbatch/internal/api"
	"coldbatch/internal/fault"
	"coldbatch/internal/hub"
	"coldbatch/internal/lan"
	"coldbatch/internal/store"
	"coldbatch/internal/zone"
)

// verdict is what a check of doctor comes to, in the words of the phone's own check.
type verdict string

const (
	good   verdict = "good"
	unsure verdict = "not sure"
	wrong  verdict = "wrong"
)

// finding is what one check found, and what to do about it, in a sentence each.
type finding struct {
	verdict  verdict
	sentence string
	advice   string // empty where there is nothing to do
}

func goodFinding(format string, args ...any) finding {
	return finding{verdict: good, sentence: fmt.Sprintf(format, args...)}
}

// isFault makes a finding of a fault: its hint is the advice.
func faultFinding(err error) finding {
	f := fault.AsFault(err)
	return finding{wrong, f.Sentence, f.Hint}
}

// programState is what doctor must know of the journal and of the program that has it.
type programState struct {
	Identity          api.Identity
	Report            store.Report
	LatestTime        zone.Instant // that the program's clock had shown when it last wrote
	LocalOnly         bool
	HasOwnCertificate bool
}

// doctor looks at the things on this computer that the program needs. Its fields are what
// it asks, so that tests can answer.
type doctor struct {
	ctx       context.Context
	data      string
	state     programState
	isRunning bool
	isNew     bool  // there is no journal yet
	failure   error // why the journal could not be read

	now        time.Time
	build      time.Time // of the program's source; zero: not known
	system     string    // as runtime.GOOS names it
	program    string    // its file
	freeSpace  func(folder string) (uint64, error)
	addresses  func() ([]netip.Addr, error) // of this computer in the home network
	answersTo  func(ctx context.Context, host string) (own bool, other string, err error)
	runCommand func(name string, args ...string) (string, error)
	readFile   func(path string) ([]byte, error)
}

// doctor checks what the program needs, and says what to do.
func (c command) doctor(args []string) error {
	f := c.flags("doctor", func(*flags) {})
	if err := f.parse(args, 0); err != nil {
		return err
	}
	d := c.newDoctor(*f.data)
	wrongs := 0
	for _, x := range d.checks() {
		r := x.check()
		if r.verdict == wrong {
			wrongs++
		}
		fmt.Fprintf(c.out, "%-9s %-10s %s\n", r.verdict, x.name, r.sentence)
		if r.advice != "" {
			fmt.Fprintf(c.out, "%-9s %-10s → %s\n", "", "", r.advice)
		}
	}
	if wrongs > 0 {
		return fault.New(fault.Conflict, "%s wrong", map[bool]string{true: "1 thing is", false: fmt.Sprintf("%d things are", wrongs)}[wrongs == 1])
	}
	return nil
}

func (c command) newDoctor(data string) *doctor {
	d := &doctor{ctx: c.ctx, data: data, now: time.Now(), build: buildTime(), system: runtime.GOOS, freeSpace: freeSpace, readFile: os.ReadFile}
	d.addresses = func() ([]netip.Addr, error) { return lan.Addresses(lan.MachineLinks) }
	d.program, _ = os.Executable()
	d.answersTo = func(ctx context.Context, host string) (bool, string, error) {
		own, other, err := lan.AnswersTo(ctx, host, lan.MachineLinks)
		if !other.IsValid() {
			return own, "", err
		}
		return own, other.String(), err
	}
	d.runCommand = func(name string, args ...string) (string, error) {
		ctx, stop := context.WithTimeout(c.ctx, 10*time.Second)
		defer stop()
		out, err := exec.CommandContext(ctx, name, args...).CombinedOutput()
		return string(out), err
	}
	if d.isRunning, d.failure = callProgram(c.ctx, data, "state", nil, &d.state); d.isRunning {
		return d
	}
	path := filepath.Join(data, journalFile)
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		d.isNew, d.failure = true, nil
		d.state.Identity = api.Identity{Host: hub.DefaultHost, HTTPPort: hub.DefaultPort, HTTPSPort: hub.DefaultHTTPS}
		return d
	}
	d.state, d.failure = readStoppedState(path)
	return d
}

// buildTime is the time of the commit that the program was built from; zero where that is
// not known.
func buildTime() (t time.Time) {
	if b, ok := debug.ReadBuildInfo(); ok {
		for _, s := range b.Settings {
			if s.Key == "vcs.time" {
				t, _ = time.Parse(time.RFC3339, s.Value)
			}
		}
	}
	return t
}

// readState is programState of a program that runs.
func (p *Program) readState() (programState, error) {
	s := programState{Identity: p.journalHub.Identity, LocalOnly: p.LocalOnly, HasOwnCertificate: p.Cert != ""}
	s.Identity.HTTPPort, s.Identity.HTTPSPort = p.Port, p.HTTPS
	return s, s.readJournal(p.journal)
}

// readStoppedState is programState of a program that does not run.
func readStoppedState(path string) (s programState, err error) {
	s.Report, err = store.Check(path) // also where the rest cannot be read
	if err != nil {
		return s, err
	}
	j, err := store.Open(path, store.Options{ReadOnly: true})
	if err != nil {
		return s, err
	}
	defer j.Close()
	if s.Identity, _, err = hub.ReadIdentity(storeJournal{j}); err != nil {
		return s, err
	}
	return s, s.readJournal(j)
}

func (s *programState) readJournal(j *store.Store) (err error) {
	if s.Report, err = j.Check(); err != nil {
		return err
	}
	s.LatestTime, err = hub.ReadLatestTime(storeJournal{j})
	return err
}

// namedCheck is one of the checks, with the word that stands before what it found.
type namedCheck struct {
	name  string
	check func() finding
}

// checks are all checks in the order in which a person deals with them: what comes first
// may be the cause of what follows.
func (d *doctor) checks() []namedCheck {
	return []namedCheck{
		{"file", d.checkFile}, {"photos", d.checkPhotos}, {"disk", d.checkDisk}, {"clock", d.checkClock}, {"port", d.checkPorts},
		{"name", d.checkName}, {"authority", d.checkAuthority}, {"firewall", d.checkFirewall},
	}
}

// probeClient asks the program on this computer.
var probeClient = http.Client{Timeout: 5 * time.Second}
