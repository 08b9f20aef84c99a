package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"coldbatch/internal/need"
)

// tracebackProgram is a program that leans on what the runtime knows of its stacks: it grows
// them, collects garbage under deep calls, switches goroutines, panics and recovers,
// and then asks for a line.
const tracebackProgram = `package main

import (
	"fmt"
	"runtime"
)

func deep(n int, s []string) (all int) {
	defer func() {
		if p := recover(); p != nil {
			all = p.(int)
		}
	}()
	if n == 0 {
		runtime.GC()
		panic(len(s))
	}
	if n%500 == 0 {
		runtime.GC()
	}
	return deep(n-1, append(s, fmt.Sprint(n))) + 1
}

func main() {
	sums := make(chan int)
	for range 20 {
		go func() { sums <- deep(2000, nil) }()
	}
	all := 0
	for range 20 {
		all += <-sums
	}
	_, file, line, _ := runtime.Caller(0)
	fmt.Println(all, file, line)
}
`

func TestDroppedLinesLeaveTheProgramWhole(t *testing.T) {
	need.Program(t, "node")
	dir := t.TempDir()
	source, out := filepath.Join(dir, "main.go"), filepath.Join(dir, "walker.wasm")
	if err := os.WriteFile(source, []byte(tracebackProgram), 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("go", "build", "-trimpath", "-ldflags=-s -w", "-gcflags=all=-l", "-o", out, source)
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0", "GOFLAGS=", "GOEXPERIMENT=nogreenteagc")
	if text, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	linked, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	joined, err := joinSegments(linked)
	if err != nil {
		t.Fatal(err)
	}
	if name := []byte("runtime/proc.go"); !bytes.Contains(linked, name) || bytes.Contains(joined, name) {
		t.Error("the names of files are not gone")
	}
	if err := os.WriteFile(out, joined, 0o600); err != nil {
		t.Fatal(err)
	}
	root, err := goRoot()
	if err != nil {
		t.Fatal(err)
	}
	said, err := exec.Command(filepath.Join(root, "lib", "wasm", "go_js_wasm_exec"), out).CombinedOutput()
	// In each of the 20 goroutines the deepest call counts 2000 strings, and each of the 2000
	// calls above it adds 1: 4000. The file and the line are gone.
	if got := strings.TrimSpace(string(said)); err != nil || got != "80000 ? 0" {
		t.Errorf("it says %q, %v", got, err)
	}
}

// What does not look like the tables of a Go program is left alone.
func TestDropLinesLeavesOtherMemory(t *testing.T) {
	head := []byte{0xf1, 0xff, 0xff, 0xff, 0, 0, 1, 8}
	for why, memory := range map[string][]byte{
		"none":                    bytes.Repeat([]byte("memory"), 100),
		"cut short":               head,
		"two of them":             append(append(bytes.Repeat([]byte{7}, 100), head...), append(bytes.Repeat([]byte{7}, 100), head...)...),
		"places that lead astray": append(append([]byte{}, head...), bytes.Repeat([]byte{0xff}, 200)...),
		"places that are nothing": append(append([]byte{}, head...), make([]byte, 200)...),
	} {
		was := bytes.Clone(memory)
		if clearLineTables(memory); !bytes.Equal(memory, was) {
			t.Errorf("%s: was changed", why)
		}
	}
}
