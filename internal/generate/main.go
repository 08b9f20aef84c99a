// Command generate builds the phone's core and bundles and compresses the files of the
// phone app. It compiles cmd/phonecore to WebAssembly, copies the loader of the Go toolchain
// in use, writes the types of the core's calls and the constants shared with the page, joins
// the page's modules into one script, and compresses every file. `go generate ./...` runs it in the folder static. It needs only
// Go and writes the same bytes every time.
package main

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

func main() {
	if err := generate("."); err != nil {
		fmt.Fprintln(os.Stderr, "generate:", err)
		os.Exit(1)
	}
}

// rawCore is the core as it was compiled. Only its compressed forms are embedded in the
// program; package web finds them by coreHash, which holds its SHA-256 and its size.
const (
	rawCore  = "_core.wasm"
	coreHash = "core.wasm.sha256"
)

// generate fills dist in the folder static: _core.wasm, wasm_exec.js, constants.js,
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
	if err := buildCore(filepath.Join(dist, rawCore)); err != nil {
		return err
	}
	core, err := os.ReadFile(filepath.Join(dist, rawCore))
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(dist, coreHash), hashAndSize(core), 0o644); err != nil {
		return err
	}
	if err := os.Remove(filepath.Join(dist, "core.wasm")); err != nil && !errors.Is(err, fs.ErrNotExist) { // of an earlier version
		return err
	}
	loader, err := readLoader()
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

// buildCore compiles the phone's core to out. The result does not depend on the path of
// the source tree or on version control. Functions are not inlined: this makes the
// compressed core a tenth smaller, and no answer noticeably slower.
func buildCore(out string) error {
	dir, err := os.MkdirTemp("", "coldbatch")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	without, err := writeOverlay(dir)
	if err != nil {
		return err
	}
	cmd := exec.Command("go", "build", "-trimpath", "-buildvcs=false", "-ldflags=-s -w", "-gcflags=all=-l", "-overlay="+without,
		"-o", out, "coldbatch/cmd/phonecore")
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0", "GOFLAGS=")
	if text, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("building the phone core: %w\n%s", err, text)
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

// readLoader reads the toolchain's wasm_exec.js, which must have the compiler's version.
func readLoader() ([]byte, error) {
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
