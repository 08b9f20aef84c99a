package main

import (
	"bufio"
	"coldbatch/internal/hubtest"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// What the program may weigh. A phone in a garden loads it over bad Wi-Fi, and
// the computer in the house may be a small board.
const (
	maxProgramSize = 28e6
	maxCoreSize    = 1.15e6 // brotli
	maxFirstLoad   = 1.4e6  // brotli, all that the first load brings
	maxIdleMemory  = 40e6   // resident memory
)

// checkLimit logs a size in bytes and fails the test where it is above the limit.
func checkLimit(t *testing.T, what string, got, most float64) {
	t.Helper()
	t.Logf("%-28s %6.2f MB of %5.2f MB", what, got/1e6, most/1e6)
	if got > most {
		t.Errorf("%s: %.0f bytes are more than %.0f", what, got, most)
	}
}

func TestSizes(t *testing.T) {
	path := filepath.Join(t.TempDir(), "coldbatch")
	t.Setenv("CGO_ENABLED", "0") // as a release is built
	if err := hubtest.Build(path, "-trimpath"); err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	checkLimit(t, "program", float64(info.Size()), maxProgramSize)

	port := hubtest.FreePort(t)
	url := fmt.Sprintf("http://localhost:%d", port)
	cmd := exec.Command(path, "--data", t.TempDir(), "--port", fmt.Sprint(port), "--https", fmt.Sprint(hubtest.FreePort(t)))
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() {
		cmd.Process.Signal(syscall.SIGTERM)
		if err := cmd.Wait(); err != nil {
			t.Errorf("it stopped with %v", err)
		}
	}()
	if err := hubtest.WaitUntilUp(url); err != nil {
		t.Fatal(err)
	}
	if runtime.GOOS == "linux" {
		time.Sleep(500 * time.Millisecond)
		checkLimit(t, "memory after the start", processMemory(t, cmd.Process.Pid, "VmRSS"), maxIdleMemory)
	}

	// All that the service worker takes, and the worker itself.
	first, core := compressedSize(t, url+"/sw.js"), 0
	for name := range readPrecacheList(t, url) {
		n := compressedSize(t, url+name)
		if first += n; name == "/dist/core.wasm" {
			core = n
		}
	}
	checkLimit(t, "core, brotli", float64(core), maxCoreSize)
	checkLimit(t, "first usable load, brotli", float64(first), maxFirstLoad)
	if runtime.GOOS == "linux" {
		time.Sleep(500 * time.Millisecond)
		checkLimit(t, "memory after a first load", processMemory(t, cmd.Process.Pid, "VmRSS"), maxIdleMemory)
	}
}

// compressedSize returns the number of bytes of a file as sent over the network.
func compressedSize(t *testing.T, url string) int {
	t.Helper()
	r, err := http.NewRequest("GET", url, nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Accept-Encoding", "gzip, deflate, br, zstd")
	resp, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	n, err := io.Copy(io.Discard, resp.Body)
	if err != nil || resp.StatusCode != 200 {
		t.Fatalf("%s: %s %v", url, resp.Status, err)
	}
	return int(n)
}

// readPrecacheList reads the list in front of the service worker's code.
func readPrecacheList(t *testing.T, url string) (assets map[string]string) {
	t.Helper()
	resp, err := http.Get(url + "/sw.js")
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	lines := bufio.NewScanner(resp.Body)
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		if list, ok := strings.CutPrefix(lines.Text(), "const ASSETS = "); ok {
			if err := json.Unmarshal([]byte(strings.TrimSuffix(list, ";")), &assets); err != nil {
				t.Fatal(err)
			}
			return assets
		}
	}
	t.Fatal("the worker has no list")
	return nil
}

// processMemory returns a figure of a process from /proc, in bytes: VmRSS is the resident
// memory, VmHWM its maximum so far.
func processMemory(t testing.TB, pid int, figure string) float64 {
	t.Helper()
	b, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		t.Error(err)
	}
	for line := range strings.Lines(string(b)) {
		if rest, ok := strings.CutPrefix(line, figure+":"); ok {
			kb, err := strconv.Atoi(strings.Fields(rest)[0])
			if err != nil {
				t.Error(err)
			}
			return float64(kb) * 1024
		}
	}
	t.Errorf("no %s", figure)
	return 0
}
