// Command generate builds what the phone needs of the core: it compiles
// cmd/phonecore to WebAssembly, compresses it, and copies the loader that belongs
// to the Go toolchain in use. It is run in the folder static by
// `go generate ./...`, needs Go alone, and gives the same bytes every time.
package main

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"github.com/andybalholm/brotli"
)

func main() {
	if err := generate("dist"); err != nil {
		fmt.Fprintln(os.Stderr, "generate:", err)
		os.Exit(1)
	}
}

// generate writes core.wasm, core.wasm.br, core.wasm.gz and wasm_exec.js into
// the folder dist.
func generate(dist string) error {
	if err := os.MkdirAll(dist, 0o755); err != nil {
		return err
	}
	core := filepath.Join(dist, "core.wasm")
	if err := build(core); err != nil {
		return err
	}
	raw, err := os.ReadFile(core)
	if err != nil {
		return err
	}
	br, gz, err := compress(raw)
	if err != nil {
		return err
	}
	loader, err := loader()
	if err != nil {
		return err
	}
	for _, f := range []struct {
		name string
		body []byte
	}{{"core.wasm", raw}, {"core.wasm.br", br}, {"core.wasm.gz", gz}, {"wasm_exec.js", loader}} {
		if err := os.WriteFile(filepath.Join(dist, f.name), f.body, 0o644); err != nil {
			return err
		}
		fmt.Printf("%-14s %8d bytes\n", f.name, len(f.body))
	}
	return nil
}

// build compiles the phone core to out. Neither the place of the source tree nor
// the state of version control goes into it. Functions are not inlined: it makes
// the compressed core a tenth smaller and no answer noticeably slower.
func build(out string) error {
	dir, err := os.MkdirTemp("", "coldbatch")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	without, err := withoutPNG(dir)
	if err != nil {
		return err
	}
	cmd := exec.Command("go", "build", "-trimpath", "-buildvcs=false", "-ldflags=-s -w", "-gcflags=all=-l", "-overlay="+without,
		"-o", out, "coldbatch/cmd/phonecore")
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0", "GOFLAGS=")
	if text, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("building the phone core: %w\n%s", err, text)
	}
	return nil
}

// compress gives raw in both encodings, as small as they go.
func compress(raw []byte) (br, gz []byte, err error) {
	var b, g bytes.Buffer
	bw := brotli.NewWriterOptions(&b, brotli.WriterOptions{Quality: brotli.BestCompression, LGWin: 24})
	gw, err := gzip.NewWriterLevel(&g, gzip.BestCompression)
	if err != nil {
		return nil, nil, err
	}
	for _, w := range []interface {
		Write([]byte) (int, error)
		Close() error
	}{bw, gw} {
		if _, err := w.Write(raw); err != nil {
			return nil, nil, err
		}
		if err := w.Close(); err != nil {
			return nil, nil, err
		}
	}
	return b.Bytes(), g.Bytes(), nil
}

// loader reads the toolchain's own wasm_exec.js: it must be of the same version
// as the compiler.
func loader() ([]byte, error) {
	root, err := goRoot()
	if err != nil {
		return nil, err
	}
	return os.ReadFile(filepath.Join(root, "lib", "wasm", "wasm_exec.js"))
}

// goRoot gives the folder of the toolchain in use.
func goRoot() (string, error) {
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return "", fmt.Errorf("asking go for its root: %w", err)
	}
	return strings.TrimSpace(string(root)), nil
}
