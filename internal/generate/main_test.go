package main

import (
	"bytes"
	"crypto/sha256"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const dist = "../../static/dist"

// A generated file that has gone stale is served as if it were the program; this
// builds the phone core anew and compares.
func TestDistIsFresh(t *testing.T) {
	for _, p := range wasmPrograms {
		have, err := os.ReadFile(filepath.Join(dist, p.rawFile()))
		if err != nil {
			t.Fatalf("%v: run go generate ./...", err)
		}
		out := filepath.Join(t.TempDir(), "built.wasm")
		if err := p.build(out); err != nil {
			t.Fatal(err)
		}
		want, err := os.ReadFile(out)
		if err != nil {
			t.Fatal(err)
		}
		if sha256.Sum256(have) != sha256.Sum256(want) {
			t.Errorf("static/dist/%s is older than its sources: run go generate ./...", p.rawFile())
		}
	}
	have, err := os.ReadFile(filepath.Join(dist, "wasm_exec.js"))
	if err != nil {
		t.Fatalf("%v: run go generate ./...", err)
	}
	want, err := readWasmExec()
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(have, want) {
		t.Error("static/dist/wasm_exec.js is not this toolchain's: run go generate ./...")
	}
	text, err := writeForPage()
	if err != nil {
		t.Fatal(err)
	}
	bundle, err := bundleModules("../../static")
	if err != nil {
		t.Fatal(err)
	}
	for _, files := range []map[string][]byte{text, bundle} {
		for name, want := range files {
			if have, err := os.ReadFile(filepath.Join(dist, name)); err != nil || !bytes.Equal(have, want) {
				t.Errorf("static/dist/%s is older than its sources: run go generate ./...", name)
			}
		}
	}
}

// Files that were changed since have no compressed form, which is right but slow.
func TestPackedIsFresh(t *testing.T) {
	err := eachFile("../../static", func(name string, body []byte) error {
		small, err := compressGzip(body)
		if err != nil || len(small) > len(body)*9/10 {
			return err
		}
		if _, err := os.Stat(filepath.Join(dist, "packed", hashName(body)+".gz")); err != nil {
			t.Errorf("static/%s has no compressed form: run go generate ./...", name)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// Two workers that wrote the same compressed form at once stopped go generate at times.
func TestEqualFilesAreCompressedOnce(t *testing.T) {
	static := t.TempDir()
	for _, dir := range []string{"vendor/a", "vendor/b"} {
		if err := os.MkdirAll(filepath.Join(static, dir), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(static, dir, "LICENSE"), []byte(strings.Repeat("as is ", 100)), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	list, err := listCompressions(static)
	if err != nil {
		t.Fatal(err)
	}
	if len(list) != 2 {
		t.Errorf("%d compressions are listed, want one by brotli and one by gzip", len(list))
	}
}
