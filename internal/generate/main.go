// Command generate builds the phone's core and bundles and compresses the files of the
// phone app. It compiles cmd/phonecore to WebAssembly, copies the loader of the Go toolchain
// in use, writes the types of the core's calls and the constants shared with the page, joins
// the page's modules into one script, and compresses every file. `go generate ./...` runs it in the folder static. It needs only
// Go and writes the same bytes every time.
package main

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"github.com/andybalholm/brotli"
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
	total, made := map[string]int{}, map[string]bool{}
	err = eachFile(static, func(name string, body []byte) error {
		for _, ext := range []string{".br", ".gz"} {
			small, err := compressors[ext](body)
			if err != nil {
				return err
			}
			if len(small) > len(body)*9/10 { // a font or a picture, which is compressed already
				small = body
			} else if err := os.WriteFile(filepath.Join(packed, hashName(body)+ext), small, 0o644); err != nil {
				return err
			}
			made[hashName(body)+ext] = true
			total[ext] += len(small)
			if name == "dist/"+rawCore {
				fmt.Printf("core.wasm%s %9d bytes, of %d\n", ext, len(small), len(body))
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	fmt.Printf("all files  %9d bytes as brotli, %d as gzip\n", total[".br"], total[".gz"])
	return removeOthers(packed, made)
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

// removeOthers deletes the files of earlier runs from the folder packed: all but made.
func removeOthers(packed string, made map[string]bool) error {
	files, err := os.ReadDir(packed)
	if err != nil {
		return err
	}
	for _, f := range files {
		if !made[f.Name()] {
			if err := os.Remove(filepath.Join(packed, f.Name())); err != nil {
				return err
			}
		}
	}
	return nil
}

// notServed are the extensions of files that are no part of the app.
var notServed = []string{".go", ".ts", ".sha256", ".sums"}

// eachFile calls do for every file of the app.
func eachFile(static string, do func(name string, body []byte) error) error {
	files := os.DirFS(static)
	return fs.WalkDir(files, ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case name == "dist/packed":
			return fs.SkipDir
		case d.IsDir() || strings.HasPrefix(d.Name(), ".") || slices.Contains(notServed, filepath.Ext(name)):
			return nil
		}
		body, err := fs.ReadFile(files, name)
		if err != nil {
			return err
		}
		return do(name, body)
	})
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

// compressors maps each file extension to its compression.
var compressors = map[string]func([]byte) ([]byte, error){".br": compressBrotli, ".gz": compressGzip}

func compressBrotli(body []byte) ([]byte, error) {
	var b bytes.Buffer
	err := writeAll(brotli.NewWriterLevel(&b, brotli.BestCompression), body)
	return b.Bytes(), err
}

func compressGzip(body []byte) ([]byte, error) {
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	err = writeAll(w, body)
	return b.Bytes(), err
}

func writeAll(w io.WriteCloser, body []byte) error {
	if _, err := w.Write(body); err != nil {
		return err
	}
	return w.Close()
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
