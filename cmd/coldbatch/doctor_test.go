package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"coldbatch/internal/hubtest"
	"coldbatch/internal/store"
	"coldbatch/internal/zone"
)

// newTestDoctor looks at a program that runs in the network of this test, and whose
// surroundings are all in order.
func newTestDoctor(t *testing.T) *doctor {
	t.Helper()
	p := &Program{Data: t.TempDir(), AnyPort: true, Zone: "Europe/Lisbon", Log: log.New(t.Output(), "", 0)}
	if err := p.Run(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { p.Close() })
	c := command{ctx: t.Context(), out: &bytes.Buffer{}, err: &bytes.Buffer{}, env: os.Getenv}
	d := c.newDoctor(p.Data)
	if !d.isRunning || d.failure != nil {
		t.Fatalf("running %v, %v", d.isRunning, d.failure)
	}
	d.build = d.now.Add(-time.Hour)
	d.system = "linux"
	d.freeSpace = func(string) (uint64, error) { return 50e9, nil }
	d.addresses = func() ([]netip.Addr, error) { return []netip.Addr{netip.MustParseAddr("127.0.0.1")}, nil }
	d.answersTo = func(context.Context, string) (bool, string, error) { return true, "", nil }
	d.readFile = func(string) ([]byte, error) { return nil, os.ErrNotExist }
	d.runCommand = func(_ string, args ...string) (string, error) {
		if args[0] == "--state" {
			return "running\n", nil
		}
		return "yes\n", nil
	}
	return d
}

// findings are what doctor finds, by the name of the check.
func (d *doctor) findings() map[string]finding {
	m := map[string]finding{}
	for _, x := range d.checks() {
		m[x.name] = x.check()
	}
	return m
}

func answers(text string, err error) func(string, ...string) (string, error) {
	return func(string, ...string) (string, error) { return text, err }
}

// Where all is well doctor finds nothing; each fault is found by its own check alone, which
// says what to do.
func TestDoctorFindsEachFault(t *testing.T) {
	d := newTestDoctor(t)
	for name, f := range d.findings() {
		if f.verdict != good || f.advice != "" {
			t.Errorf("%s: %+v, though all is well", name, f)
		}
	}
	healthy := *d
	for _, row := range []struct {
		why, check string
		verdict    verdict
		damage     func(t *testing.T, d *doctor)
		found      string // part of what it says
		advice     string // part of what it says to do
	}{
		{"a record is damaged", "file", wrong, func(t *testing.T, d *doctor) {
			d.state.Report = store.Report{FactCount: 3, Problems: []string{"fact 2 is damaged"}, UnlistedProblems: 1}
		}, "2 problems: fact 2 is damaged", "restore a backup"},
		{"the file is cut short", "file", wrong, func(t *testing.T, d *doctor) {
			path := filepath.Join(t.TempDir(), journalFile)
			must(t, os.WriteFile(path, make([]byte, 5000), 0o600))
			_, d.failure = readStoppedState(path)
		}, "cut short", "put a backup in its place"},
		{"there is no journal yet", "file", unsure, func(t *testing.T, d *doctor) { d.isNew = true }, "no journal", "start coldbatch once"},
		{"a photo was changed", "photos", wrong, func(t *testing.T, d *doctor) {
			d.data = t.TempDir()
			name := strings.Repeat("ab", 32)
			must(t, os.MkdirAll(filepath.Join(d.data, photosFolder, "ab"), 0o700))
			must(t, os.WriteFile(filepath.Join(d.data, photosFolder, "ab", name), []byte("not a picture"), 0o600))
		}, "of 1 photo, 1 are damaged", "delete"},
		{"the folder is no folder", "disk", wrong, func(t *testing.T, d *doctor) { d.data = "/proc/1/coldbatch" }, "write to /proc/1", "--data"},
		{"the disk is nearly full", "disk", wrong, func(t *testing.T, d *doctor) {
			d.freeSpace = func(string) (uint64, error) { return 20 << 20, nil }
		}, "only 20 MB", "delete what you do not need"},
		{"nobody says how full it is", "disk", unsure, func(t *testing.T, d *doctor) {
			d.freeSpace = func(string) (uint64, error) { return 0, errors.ErrUnsupported }
		}, "how much space", ""},
		{"a clock without a battery", "clock", wrong, func(t *testing.T, d *doctor) { d.now = time.Unix(0, 0) }, "1970-01-01", "set this computer's clock"},
		{"the clock was set back by an hour", "clock", wrong, func(t *testing.T, d *doctor) {
			d.state.LatestTime = zone.Instant(d.now.Add(time.Hour).UnixMilli())
		}, "when coldbatch last wrote", "set this computer's clock"},
		{"the clock is twenty years ahead", "clock", wrong, func(t *testing.T, d *doctor) { d.build = d.now.AddDate(-21, 0, 0) }, "twenty years", "set this computer's clock"},
		{"another program answers on the port", "port", wrong, func(t *testing.T, d *doctor) {
			other := mustRunProgram(t, &Program{})
			d.state.Identity.HTTPPort = other.Port
		}, "another program answers", "stop that program"},
		{"the program hangs", "port", wrong, func(t *testing.T, d *doctor) { d.state.Identity.HTTPPort = hubtest.FreePort(t) }, "does not answer", "start it again"},
		{"the port is taken while it is stopped", "port", wrong, func(t *testing.T, d *doctor) {
			l, err := net.Listen("tcp", ":0")
			must(t, err)
			t.Cleanup(func() { l.Close() })
			d.isRunning, d.state.Identity.HTTPPort = false, l.Addr().(*net.TCPAddr).Port
		}, "in use by another program", "stop that program"},
		{"it is stopped", "port", unsure, func(t *testing.T, d *doctor) {
			d.isRunning, d.state.Identity.HTTPPort, d.state.Identity.HTTPSPort = false, hubtest.FreePort(t), hubtest.FreePort(t)
		}, "is not running", "start coldbatch"},
		{"no cable and no Wi-Fi", "port", wrong, func(t *testing.T, d *doctor) {
			d.addresses = func() ([]netip.Addr, error) { return nil, nil }
		}, "no address in a home network", "Wi-Fi"},
		{"https does not answer in the network", "port", wrong, func(t *testing.T, d *doctor) { d.state.Identity.HTTPSPort = hubtest.FreePort(t) }, "does not answer even from this computer", "firewall"},
		{"nobody answers to the name", "name", wrong, func(t *testing.T, d *doctor) {
			d.answersTo = func(context.Context, string) (bool, string, error) { return false, "", nil }
		}, "no computer answers to the name coldbatch.local", "5353"},
		{"another machine has the name", "name", wrong, func(t *testing.T, d *doctor) {
			d.answersTo = func(context.Context, string) (bool, string, error) { return true, "192.168.1.9", nil }
		}, "another machine, 192.168.1.9", "another --name"},
		{"the network cannot be asked", "name", wrong, func(t *testing.T, d *doctor) {
			d.answersTo = func(context.Context, string) (bool, string, error) { return false, "", errors.New("no link") }
		}, "", "connect this computer"},
		{"the authority ended", "authority", wrong, func(t *testing.T, d *doctor) { d.now = d.now.AddDate(11, 0, 0) }, "expired", "--renew"},
		{"the authority ends soon", "authority", unsure, func(t *testing.T, d *doctor) {
			d.isRunning, d.now = false, d.now.AddDate(10, 0, -30)
		}, "expires in", "--renew"},
		{"the authority lost its key", "authority", wrong, func(t *testing.T, d *doctor) { copyFolderWithout(t, d, "ca.key") }, "is missing", "restore"},
		{"the authority is for another name", "authority", wrong, func(t *testing.T, d *doctor) { d.state.Identity.Host = "dyehouse.local" }, "not for dyehouse.local", "keep the name"},
		{"the program presents another authority's certificate", "authority", wrong, func(t *testing.T, d *doctor) {
			copyFolderWithout(t, d, "ca.key", "ca.crt")
			_, err := openAuthority(d.data, d.state.Identity.Host, false)
			must(t, err)
		}, "does not vouch for", "start it again"},
		{"the program's certificate has expired", "authority", wrong, func(t *testing.T, d *doctor) { d.now = d.now.AddDate(3, 0, 0) }, "but not now", "renew it"},
		{"the owner's certificate is for another name", "authority", wrong, func(t *testing.T, d *doctor) {
			d.state.HasOwnCertificate, d.state.Identity.Host = true, "dye.example"
		}, "not for dye.example", "--tls-cert"},
		{"https does not answer", "authority", wrong, func(t *testing.T, d *doctor) { d.state.Identity.HTTPSPort = hubtest.FreePort(t) }, "https does not answer", "start it again"},
		{"ufw is on", "firewall", unsure, func(t *testing.T, d *doctor) {
			d.readFile = func(string) ([]byte, error) { return []byte("# /etc/ufw/ufw.conf\nENABLED=yes\nLOGLEVEL=low\n"), nil }
		}, "ufw is on", "sudo ufw allow"},
		{"firewalld keeps phones out", "firewall", wrong, func(t *testing.T, d *doctor) {
			d.runCommand = func(_ string, args ...string) (string, error) {
				if args[0] == "--state" {
					return "running\n", nil
				}
				return "no\n", errors.New("exit status 1")
			}
		}, "does not let phones reach", "sudo firewall-cmd"},
		{"no firewall that can be seen", "firewall", unsure, func(t *testing.T, d *doctor) { d.runCommand = answers("", errors.New("not found")) }, "neither ufw nor firewalld", "5353"},
		{"the Mac's firewall blocks it", "firewall", wrong, func(t *testing.T, d *doctor) {
			d.system = "darwin"
			d.runCommand = func(_ string, args ...string) (string, error) {
				if args[0] == "--getglobalstate" {
					return "Firewall is enabled. (State = 1)\n", nil
				}
				return "Incoming connection to the application is blocked\n", nil
			}
		}, "blocks coldbatch", "allow incoming"},
		{"the network counts as public", "firewall", wrong, func(t *testing.T, d *doctor) { d.system, d.runCommand = "windows", answers("Public\r\n", nil) }, "public", "Private"},
	} {
		t.Run(strings.ReplaceAll(row.why, " ", "-"), func(t *testing.T) {
			d := healthy
			row.damage(t, &d)
			f := d.findings()[row.check]
			if f.verdict != row.verdict || !strings.Contains(f.sentence, row.found) || !strings.Contains(f.advice, row.advice) {
				t.Errorf("%s: it finds %+v", row.check, f)
			}
			if f.verdict == wrong && f.advice == "" {
				t.Errorf("it does not say what to do: %+v", f)
			}
		})
	}
}

// copyFolderWithout has d look at a copy of its folder that lacks some files.
func copyFolderWithout(t *testing.T, d *doctor, names ...string) {
	t.Helper()
	to := t.TempDir()
	for _, name := range []string{"ca.key", "ca.crt"} {
		text, err := os.ReadFile(filepath.Join(d.data, name))
		must(t, err)
		must(t, os.WriteFile(filepath.Join(to, name), text, 0o600))
	}
	for _, name := range names {
		must(t, os.Remove(filepath.Join(to, name)))
	}
	d.data = to
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// The exit status says whether something is wrong, while the program runs and when it is
// stopped.
func TestDoctorExitStatus(t *testing.T) {
	p := mustRunProgram(t, &Program{})
	if code, said, errs := runCommand(t, p.Data, "doctor"); code != exitOK || !strings.Contains(said, "good      port") || errs != "" {
		t.Errorf("running: %d\n%s%s", code, said, errs)
	}
	must(t, p.Close())
	l, err := net.Listen("tcp", ":"+strconv.Itoa(p.Port))
	must(t, err)
	defer l.Close()
	code, said, errs := runCommand(t, p.Data, "doctor")
	if code != exitFailed || !strings.Contains(said, fmt.Sprintf("wrong     port       port %d is in use", p.Port)) || !strings.Contains(errs, "wrong") {
		t.Errorf("the port is taken: %d\n%s%s", code, said, errs)
	}
}
