//go:build unix

package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
	"time"

	"coldbatch/internal/journal"
)

// house is the program as it runs at home: the built one, a process of its own
// on a folder and a port that it keeps when it is started again.
type house struct {
	t    testing.TB
	path string
	data string
	port int
	tls  int // port of https; 0: it answers on this computer alone
	args []string
	cmd  *exec.Cmd
	log  bytes.Buffer
}

// newHouse starts the program on an empty folder.
func newHouse(t testing.TB, args ...string) *house {
	t.Helper()
	return openHouse(t, &house{args: args})
}

// newHome is a house whose program also answers in the home network.
func newHome(t testing.TB, args ...string) *house {
	t.Helper()
	return openHouse(t, &house{tls: freePort(t), args: args})
}

func openHouse(t testing.TB, h *house) *house {
	t.Helper()
	h.t, h.path, h.data, h.port = t, binary(t), t.TempDir(), freePort(t)
	t.Cleanup(func() {
		h.stop()
		if t.Failed() && h.log.Len() > 0 {
			t.Logf("the program said:\n%s", h.log.String())
		}
	})
	h.start()
	return h
}

// start starts the program and waits until it answers.
func (h *house) start() {
	h.t.Helper()
	h.cmd = exec.Command(h.path, h.flags()...)
	h.cmd.Env = append(os.Environ(), "TZ=Europe/Lisbon")
	h.cmd.Stdout, h.cmd.Stderr = &h.log, &h.log
	if err := h.cmd.Start(); err != nil {
		h.t.Fatal(err)
	}
	if err := waitUp(h.url()); err != nil {
		h.t.Fatalf("the program does not answer: %v\n%s", err, h.log.String())
	}
}

// flags are how the program is called.
func (h *house) flags() []string {
	list := []string{"--data", h.data, "--port", strconv.Itoa(h.port)}
	if h.tls == 0 {
		list = append(list, "--here")
	} else {
		list = append(list, "--https", strconv.Itoa(h.tls))
	}
	return append(list, h.args...)
}

// secure is the one origin of the house's app.
func (h *house) secure() string { return fmt.Sprintf("https://coldbatch.local:%d", h.tls) }

// authority is the file of whom the phones of the house trust.
func (h *house) authority() string { return filepath.Join(h.data, "ca.crt") }

// invite gives the digits of a fresh invitation, as the computer itself gets them.
func (h *house) invite() (digits string) {
	h.t.Helper()
	resp, err := http.Post(h.url()+"/api/v1/invite", "application/json", nil)
	if err != nil {
		h.t.Fatal(err)
	}
	defer resp.Body.Close()
	var got struct {
		Digits string `json:"digits"`
	}
	if err := json.NewDecoder(resp.Body).Decode(&got); err != nil || got.Digits == "" {
		h.t.Fatalf("invite gave %s: %v", resp.Status, err)
	}
	return got.Digits
}

// stop kills the program, as a pulled plug would. What is stopped stays so.
func (h *house) stop() {
	if h.cmd == nil {
		return
	}
	h.cmd.Process.Kill()
	h.cmd.Wait()
	h.cmd = nil
}

// hang makes the program deaf: it takes connections and answers nothing, until
// wake.
func (h *house) hang() { h.signal(syscall.SIGSTOP) }
func (h *house) wake() { h.signal(syscall.SIGCONT) }

func (h *house) signal(s syscall.Signal) {
	h.t.Helper()
	if err := h.cmd.Process.Signal(s); err != nil {
		h.t.Fatal(err)
	}
}

func (h *house) url() string { return fmt.Sprintf("http://localhost:%d", h.port) }

// facts asks the program for every fact it has, as a phone that is new to it
// would.
func (h *house) facts() []journal.Fact {
	h.t.Helper()
	type cursor struct {
		Seq uint64 `json:"seq"`
		ID  string `json:"id"`
	}
	var all []journal.Fact
	var at *cursor
	for {
		body, err := json.Marshal(map[string]any{"device": strangerDevice, "now": time.Now().UnixMilli(), "cursor": at, "facts": []any{}})
		if err != nil {
			h.t.Fatal(err)
		}
		resp, err := http.Post(h.url()+"/api/v1/exchange", "application/json", bytes.NewReader(body))
		if err != nil {
			h.t.Fatal(err)
		}
		var got struct {
			Facts  []journal.Fact  `json:"facts"`
			Cursor *cursor         `json:"cursor"`
			More   bool            `json:"more"`
			Error  json.RawMessage `json:"error"`
		}
		err = json.NewDecoder(resp.Body).Decode(&got)
		resp.Body.Close()
		if err != nil || got.Error != nil {
			h.t.Fatalf("exchange: %v %s", err, got.Error)
		}
		all = append(all, got.Facts...)
		if !got.More {
			return all
		}
		at = got.Cursor
	}
}

// strangerDevice is a phone that wrote nothing.
const strangerDevice = "00000000000000000000000004" // the last character of an id has two bits to spare, both zero

// count says how many facts of a kind the program has.
func (h *house) count(kind string) int {
	h.t.Helper()
	n := 0
	for _, f := range h.facts() {
		if f.Kind == kind {
			n++
		}
	}
	return n
}

// written gives the ids of all facts that a person wrote, in the program's order.
func (h *house) written() []string {
	h.t.Helper()
	var ids []string
	for _, f := range h.facts() {
		if f.Kind != "device.joined" && f.Kind != "numbers.leased" {
			ids = append(ids, string(f.ID))
		}
	}
	return ids
}

// until waits for the condition to come true.
func until(t *testing.T, what string, is func() bool) {
	t.Helper()
	for end := time.Now().Add(patience); !is(); time.Sleep(50 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("in %v it did not come: %s", patience, what)
		}
	}
}
