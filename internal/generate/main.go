// Command generate builds the phone's programs and bundles and compresses the files of the
// phone app. It compiles cmd/phonecore and cmd/phoneextra to WebAssembly, copies the loader of the Go toolchain
// in use, writes the types of the core's calls and the constants shared with the page, joins
// the page's modules into one script, and compresses every file. `go generate ./...` runs it in the folder static. It needs only
// Go and writes the same bytes every time.
package main

import (
	"crypto/sha256"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

func main() {
	if err := generate("."); err != nil {
		fmt.Fprintln(os.Stderr, "generate:", err)
		os.Exit(1)
	}
}

// wasmProgram is a program for the phone: its package in cmd, the name of its file, and the
// packages whose functions are inlined all the same, because much time is spent in them.
type wasmProgram struct {
	path, name string
	inlined    []string
}

var wasmPrograms = []wasmProgram{
	{corePath, "core", nil},
	{extraPath, "extra", []string{"coldbatch/internal/fold", "coldbatch/internal/colour", "math", "encoding/binary"}},
}

// rawFile is the program as it was compiled. Only its compressed forms are embedded in the
// hub's program; package web finds them by hashFile, which holds its SHA-256 and its size.
func (p wasmProgram) rawFile() string  { return "_" + p.name + ".wasm" }
func (p wasmProgram) hashFile() string { return p.name + ".wasm.sha256" }

// generate fills dist in the folder static: the programs as _core.wasm and _extra.wasm, wasm_exec.js, constants.js,
// calls.d.ts (which is for editors and the type checker, and is not served), the bundle in
// app, and in packed the compressed forms of these and of all other files, each named by
// the SHA-256 of its source, so that none is served for a file that has changed since.
func generate(static string) error {
	dist := filepath.Join(static, "dist")
	packed := filepath.Join(dist, "packed")
	for _, dir := range []string{packed, filepath.Join(dist, "app")} {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			return err
		}
	}
	for _, p := range wasmPrograms {
		if err := p.generate(dist); err != nil {
			return err
		}
	}
	if err := removeOldPrograms(dist); err != nil {
		return err
	}
	loader, err := readWasmExec()
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(dist, "wasm_exec.js"), loader, 0o644); err != nil {
		return err
	}
	text, err := writeForPage()
	if err != nil {
		return err
	}
	if err := writeFiles(dist, text); err != nil {
		return err
	}
	bundle, err := bundleModules(static)
	if err != nil {
		return err
	}
	if err := writeFiles(dist, bundle); err != nil {
		return err
	}
	return packFiles(static, packed)
}

// writeFiles writes files to the folder dir, by their names in it.
func writeFiles(dir string, files map[string][]byte) error {
	for name, body := range files {
		if err := os.WriteFile(filepath.Join(dir, filepath.FromSlash(name)), body, 0o644); err != nil {
			return err
		}
	}
	return nil
}

func hashName(body []byte) string { return fmt.Sprintf("%x", sha256.Sum256(body)) }

// hashAndSize is what stands in the program for a file that is embedded in its compressed
// forms alone.
func hashAndSize(body []byte) []byte { return fmt.Appendf(nil, "%s %d\n", hashName(body), len(body)) }

// generate builds the program into dist, with the file that has its hash.
func (p wasmProgram) generate(dist string) error {
	if err := p.build(filepath.Join(dist, p.rawFile())); err != nil {
		return err
	}
	built, err := os.ReadFile(filepath.Join(dist, p.rawFile()))
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dist, p.hashFile()), hashAndSize(built), 0o644)
}

// removeOldPrograms removes the programs that an earlier version made: they would be embedded.
func removeOldPrograms(dist string) error {
	var made []string
	for _, p := range wasmPrograms {
		made = append(made, p.rawFile(), p.hashFile())
	}
	for _, pattern := range []string{"*.wasm", "*.wasm.sha256"} {
		files, err := filepath.Glob(filepath.Join(dist, pattern))
		if err != nil {
			return err
		}
		for _, f := range files {
			if slices.Contains(made, filepath.Base(f)) {
				continue
			}
			if err := os.Remove(f); err != nil {
				return err
			}
		}
	}
	return nil
}

// build compiles the program to out. The result does not depend on the path of the source
// tree or on version control. Functions are not inlined: this makes the compressed core a
// tenth smaller, and no answer noticeably slower; inlined names the exceptions.
func (p wasmProgram) build(out string) error {
	dir, err := os.MkdirTemp("", "coldbatch")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	without, err := writeOverlay(dir)
	if err != nil {
		return err
	}
	args := []string{"build", "-trimpath", "-buildvcs=false", "-ldflags=-s -w", "-gcflags=all=-l", "-overlay=" + without}
	for _, path := range p.inlined {
		args = append(args, "-gcflags="+path+"=")
	}
	cmd := exec.Command("go", append(args, "-o", out, p.path)...)
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0", "GOFLAGS=", "GOEXPERIMENT=nogreenteagc")
	if text, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("building %s for the phone: %w\n%s", p.path, err, text)
	}
	linked, err := os.ReadFile(out)
	if err != nil {
		return err
	}
	core, err := joinSegments(linked)
	if err != nil {
		return err
	}
	return os.WriteFile(out, core, 0o644)
}

// readWasmExec reads the toolchain's wasm_exec.js, which must have the compiler's version.
func readWasmExec() ([]byte, error) {
	root, err := goRoot()
	if err != nil {
		return nil, err
	}
	return os.ReadFile(filepath.Join(root, "lib", "wasm", "wasm_exec.js"))
}

// goRoot returns the folder of the Go toolchain in use.
func goRoot() (string, error) {
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return "", fmt.Errorf("asking go for its root: %w", err)
	}
	return strings.TrimSpace(string(root)), nil
}
