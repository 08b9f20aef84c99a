// Package hubtest runs the program as it runs at home: built, as a process of its
// own, on a folder and ports that it keeps when it is started again. Call Start, or
// StartOnNetwork for a program that phones reach by https. It is for tests only; a
// package that uses it runs its tests through WithCleanup.
package hubtest

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"sync"
	"testing"
)

// Hub is a program that runs, or was stopped. Path and Args may be changed while it
// is stopped.
type Hub struct {
	Path      string   // of the built program
	Data      string   // its data folder
	Port      int      // of plain http
	HTTPSPort int      // port of https; 0: it answers on this computer alone
	Args      []string // flags beside those for folder and ports

	t   testing.TB
	cmd *exec.Cmd
	log output
}

// Start starts the program on an empty folder, on this computer alone.
func Start(t testing.TB, args ...string) *Hub {
	t.Helper()
	h := New(t, args...)
	h.Start()
	return h
}

// StartOnNetwork starts a program that also answers in the home network.
func StartOnNetwork(t testing.TB, args ...string) *Hub {
	t.Helper()
	h := New(t, args...)
	h.HTTPSPort = FreePort(t)
	h.Start()
	return h
}

// New returns a program that was not started yet.
func New(t testing.TB, args ...string) *Hub {
	t.Helper()
	h := &Hub{t: t, Path: Binary(t), Data: t.TempDir(), Port: FreePort(t), Args: args}
	t.Cleanup(func() {
		h.Stop()
		if t.Failed() && h.Log() != "" {
			t.Logf("the program said:\n%s", h.Log())
		}
	})
	return h
}

// Start starts the program and waits until it answers.
func (h *Hub) Start() {
	h.t.Helper()
	h.StartCommand(exec.Command(h.Path, h.Flags()...))
}

// StartCommand starts the program by a command that may wrap it.
func (h *Hub) StartCommand(cmd *exec.Cmd) {
	h.t.Helper()
	h.cmd = cmd
	cmd.Env = append(os.Environ(), "TZ=Europe/Lisbon")
	cmd.Stdout, cmd.Stderr = &h.log, &h.log
	if err := cmd.Start(); err != nil {
		h.cmd = nil
		h.t.Fatal(err)
	}
	if err := WaitUntilUp(h.URL()); err != nil {
		h.t.Fatalf("the program does not answer: %v\n%s", err, h.Log())
	}
}

// Flags returns the arguments that the program is started with.
func (h *Hub) Flags() []string {
	list := []string{"--data", h.Data, "--port", strconv.Itoa(h.Port)}
	if h.HTTPSPort == 0 {
		list = append(list, "--local-only")
	} else {
		list = append(list, "--https", strconv.Itoa(h.HTTPSPort))
	}
	return append(list, h.Args...)
}

// Stop kills the program, as a power cut would. A stopped program stays stopped.
func (h *Hub) Stop() {
	if h.cmd == nil {
		return
	}
	h.cmd.Process.Kill()
	h.cmd.Wait()
	h.cmd = nil
}

// SnapshotJournal keeps the journal as it is now, and returns a function that puts it
// back: the program then knows nothing that was written in between.
func (h *Hub) SnapshotJournal() (restore func()) {
	h.t.Helper()
	h.Stop()
	file := filepath.Join(h.Data, "coldbatch.db")
	old, err := os.ReadFile(file)
	if err != nil {
		h.t.Fatal(err)
	}
	h.Start()
	return func() {
		h.t.Helper()
		h.Stop()
		if err := os.WriteFile(file, old, 0o600); err != nil {
			h.t.Fatal(err)
		}
		h.Start()
	}
}

// URL is the program's address on this computer.
func (h *Hub) URL() string { return fmt.Sprintf("http://localhost:%d", h.Port) }

// AppURL is the one origin of the app on phones.
func (h *Hub) AppURL() string { return fmt.Sprintf("https://coldbatch.local:%d", h.HTTPSPort) }

// AuthorityFile is the certificate that phones must trust.
func (h *Hub) AuthorityFile() string { return filepath.Join(h.Data, "ca.crt") }

// PID is the number of the running process.
func (h *Hub) PID() int { return h.cmd.Process.Pid }

// Log is what the program wrote to its terminal so far.
func (h *Hub) Log() string { return h.log.String() }

// output collects what a process writes while a test reads it.
type output struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (o *output) Write(b []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.text.Write(b)
}

func (o *output) String() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.text.String()
}
